//! `export-order`: exports are made from the sources as they are.

use super::{Check, Context, finding, place};
use crate::design::{Design, NamedFile, PartIx};
use crate::diagnostic::Code;
use crate::fileset::RepoPath;
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("export-order"),
    title: "No export is older than its source",
    doc: "No export or mesh of a part was last changed in a commit that comes before the one in which \
          a source of the part was last changed; what is not committed yet comes after every commit. \
          Commits of which neither came first are not told apart, and neither are two states of an \
          exchange file that hold the same geometry.",
    waivable: true,
    run,
};

/// What exports were made from: every (source, export) of a part that are files of the revision.
#[must_use]
pub fn made_from(design: &Design) -> Vec<(RepoPath, RepoPath)> {
    let mut pairs: Vec<_> = design.part_indices().flat_map(|part| of_part(design, part)).collect();
    pairs.sort();
    pairs.dedup();
    pairs
}

fn of_part(design: &Design, part: PartIx) -> impl Iterator<Item = (RepoPath, RepoPath)> + '_ {
    let files = &design.files[part.index()];
    let sources = files.sources.iter().flat_map(|named| &named.found);
    sources.flat_map(move |(source, _)| {
        let made = made(design, part).flat_map(|named| &named.found);
        made.filter(move |(export, _)| export != source)
            .map(move |(export, _)| (source.clone(), export.clone()))
    })
}

fn made(design: &Design, part: PartIx) -> impl Iterator<Item = &NamedFile> {
    let files = &design.files[part.index()];
    files.exports.iter().chain(&files.mesh)
}

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    design.part_indices().flat_map(|part| overtaken(context, part)).collect()
}

fn overtaken(context: &Context<'_>, part: PartIx) -> Vec<Finding> {
    let design = context.design;
    let overtaken = &context.occasion.past.overtaken;
    let mut found: Vec<Finding> = Vec::new();
    for (source, export) in of_part(design, part).filter(|pair| overtaken.contains(pair)) {
        let id = design.id(part);
        let message = format!("`{export}` (of `{id}`) is older than its source `{source}`");
        if found.iter().any(|told| told.message == message) {
            continue;
        }
        let named =
            made(design, part).find(|named| named.found.iter().any(|(path, _)| *path == export));
        found.push(Finding {
            part: Some(part),
            place: named.map(|named| place(&named.by, &named.written)),
            remedy: Some(format!("export `{export}` anew")),
            ..finding(CHECK.code, message)
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;
    use crate::verdict::Past;
    use crate::verdict::tests::found_after;

    const LID: &str = "\n== p.toml\n[part.scanner]\norigin = \"printed\"\nsources = [\"*.scad\"]\n\
        exports = [\"lid.stl\"]\nmesh = { file = \"lid.stl\", unit = \"mm\" }\n\
        \n== lid.scad\n1\n== rim.scad\n2\n== lid.stl\n3";

    #[test]
    fn every_export_is_made_from_every_source() {
        let pairs = made_from(&fixture::design(LID)).into_iter();
        let pairs: Vec<String> = pairs.map(|(one, other)| format!("{one} {other}")).collect();
        assert_eq!(pairs, ["lid.scad lid.stl", "rim.scad lid.stl"]);
    }

    #[test]
    fn an_export_that_was_overtaken_is_named_once() {
        let pair = |source: &str| (RepoPath::from(source), RepoPath::from("lid.stl"));
        let past = Past { overtaken: [pair("rim.scad")].into(), ..Past::default() };
        assert_eq!(
            found_after("export-order", LID, past, "1.0.0"),
            ["`lid.stl` (of `scanner`) is older than its source `rim.scad`"]
        );
        assert_eq!(found_after("export-order", LID, Past::default(), "1.0.0"), [""; 0]);
    }
}
