//! `editable-source`: what is made can be changed by others.

use bstr::ByteSlice;

use super::{Check, Context, finding, place};
use crate::design::{Design, NamedFile, PartIx};
use crate::diagnostic::Code;
use crate::fileset::RepoPath;
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("editable-source"),
    title: "Every made part has an editable source",
    doc: "A part that is printed, machined, cut, modified or a board names the files that it is drawn \
          in. A mesh, a drawing to print out and a machine's program are made from such files and \
          replace none: the open hardware definition asks for the form in which one prefers to make \
          changes.",
    waivable: true,
    run,
};

/// Endings of files that are made from others (common practice).
const MADE: [&str; 15] = [
    ".stl", ".3mf", ".amf", ".obj", ".ply", ".gcode", ".nc", ".gbr", ".drl", ".pdf", ".png",
    ".jpg", ".jpeg", ".hex", ".bin",
];

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    let made = |part: &PartIx| design.record(*part).origin.is_made();
    design.part_indices().filter(made).filter_map(|part| of_part(design, part)).collect()
}

fn of_part(design: &Design, part: PartIx) -> Option<Finding> {
    let sources = &design.files[part.index()].sources;
    let id = design.id(part);
    let found = || sources.iter().flat_map(|named| &named.found);
    let is_unknown = sources.iter().any(|named| named.found.is_empty());
    let message = match found().next() {
        None if sources.is_empty() => format!("`{id}` names no source"),
        // That a file is not there is told by another check.
        _ if is_unknown || found().any(|(path, _)| !is_made(path)) => return None,
        _ => {
            let names = sources.iter().map(|named| format!("`{}`", named.written.value));
            let names = names.collect::<Vec<_>>().join(", ");
            format!("`{id}` has no editable source: {names} is made from one")
        }
    };
    let held = design.record(part);
    let written = |file: &NamedFile| place(&file.by, &file.written);
    Some(Finding {
        part: Some(part),
        place: sources.first().map(written).or_else(|| Some(place(&held.path, &held.id))),
        remedy: Some(format!("add the files that `{id}` is drawn in to its sources")),
        ..finding(CHECK.code, message)
    })
}

fn is_made(path: &RepoPath) -> bool {
    let name = path.file_name().to_ascii_lowercase();
    MADE.iter().any(|ending| name.ends_with_str(ending))
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found;

    fn lid(origin: &str, keys: &str) -> Vec<String> {
        let text = format!(
            "\n== p.toml\n[part.scanner]\norigin = \"{origin}\"\n{keys}\n\
             \n== lid.scad\n\n== lid.stl\n\n== lid.STL\n"
        );
        found("editable-source", &text, "1.0.0")
    }

    #[test]
    fn a_made_part_has_what_it_is_drawn_in() {
        assert_eq!(lid("printed", "sources = [\"lid.scad\"]\nexports = [\"lid.stl\"]"), [""; 0]);
        assert_eq!(lid("printed", "exports = [\"lid.stl\"]"), ["`scanner` names no source"]);
        assert_eq!(lid("bought", ""), [""; 0]);
    }

    /// Open source hardware definition 1.0, 1: what is ready for the printer does not replace the
    /// design files.
    #[test]
    fn an_export_is_no_source() {
        assert_eq!(
            lid("printed", "sources = [\"lid.STL\"]"),
            ["`scanner` has no editable source: `lid.STL` is made from one"]
        );
        assert_eq!(lid("printed", "sources = [\"lid.*\"]"), [""; 0], "one of them is");
    }
}
