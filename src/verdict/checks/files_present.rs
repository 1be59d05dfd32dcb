//! Every file that a record names is there.

use std::collections::BTreeSet;

use super::{Check, Context, finding, place, unusable};
use crate::design::{Design, NamedFile, PartIx};
use crate::diagnostic::Code;
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("files-present"),
    title: "Every file that a record names is there",
    doc: "The sources, exports and meshes of parts and the files of evidence are regular files of \
          the revision; a glob means at least one. A symbolic link is never followed, and a file \
          in another repository is not part of the revision. Where a release is judged, the content \
          of a file of a part is here, too, and not a pointer to it alone.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    let of_parts = design.part_indices().flat_map(|part| {
        design.files[part.index()].all().filter_map(move |file| absent(design, Some(part), file))
    });
    let of_evidence = design.evidence.iter().zip(&design.evidence_files);
    let of_evidence = of_evidence.flat_map(|(evidence, files)| {
        let part = evidence.part.as_ref().and_then(|part| design.part(part.as_str()));
        files.iter().filter_map(move |file| absent(design, part, file))
    });
    let mut found: Vec<Finding> = of_parts.chain(of_evidence).chain(unfetched(context)).collect();
    // A file that is an export and the mesh too lacks once.
    let mut told = BTreeSet::new();
    found.retain(|finding| told.insert((finding.part, finding.message.clone())));
    found
}

/// Pointers whose content is not here; of meshes and exchange files their own check tells.
fn unfetched<'a>(context: &'a Context<'_>) -> impl Iterator<Item = Finding> + use<'a> {
    let (design, unfetched) = (context.design, &context.occasion.past.unfetched);
    let named = design
        .part_indices()
        .flat_map(move |part| design.files[part.index()].all().map(move |file| (part, file)));
    let found = named.flat_map(|(part, file)| {
        file.found.iter().map(move |(path, entry)| (part, file, path, entry))
    });
    let found = found.filter(move |(part, _, path, entry)| {
        unfetched.contains(*path) && design.facts_of(*part, path, entry).is_none()
    });
    found.map(move |(part, file, path, _)| Finding {
        part: Some(part),
        place: Some(place(&file.by, &file.written)),
        remedy: Some("fetch the content, as `git lfs pull` does".to_owned()),
        ..finding(CHECK.code, format!("`{path}` (of `{}`) is only a pointer here", design.id(part)))
    })
}

fn absent(design: &Design, part: Option<PartIx>, file: &NamedFile) -> Option<Finding> {
    let why = unusable(file)?;
    let named_by = part.map(|part| format!(" (of `{}`)", design.id(part))).unwrap_or_default();
    Some(Finding {
        part,
        place: Some(place(&file.by, &file.written)),
        remedy: Some("commit the file, or correct its path".to_owned()),
        ..finding(CHECK.code, format!("{why}{named_by}"))
    })
}

#[cfg(test)]
mod tests {
    use crate::fileset::RepoPath;
    use crate::verdict::Past;
    use crate::verdict::tests::{found, found_after};

    const GATE: &str = "\n== parts/gate.toml\n[part.scanner]\norigin = \"printed\"\n\
        sources = [\"gate.step\"]\nexports = [\"*.stl\"]\n";

    #[test]
    fn a_file_that_is_not_there_is_named_with_its_part() {
        assert_eq!(
            found("files-present", GATE, "1.0.0"),
            ["`gate.step` is not there (of `scanner`)", "`*.stl` is not there (of `scanner`)"]
        );
        let there = format!("{GATE}\n== parts/gate.step\n\n== parts/gate.stl\n");
        assert_eq!(found("files-present", &there, "1.0.0"), [""; 0]);
        let elsewhere = format!("{GATE}\n== gate.step\n\n== parts/gate.stl\n");
        assert_eq!(found("files-present", &elsewhere, "1.0.0").len(), 1);
    }

    #[test]
    fn a_file_that_is_named_twice_lacks_once() {
        let text = GATE.replace("*.stl", "gate.stl")
            + "mesh = { file = \"gate.stl\", unit = \"mm\" }\n\n== parts/gate.step\n";
        assert_eq!(
            found("files-present", &text, "1.0.0"),
            ["`gate.stl` is not there (of `scanner`)"]
        );
    }

    #[test]
    fn a_source_of_which_only_a_pointer_is_here_is_named_where_a_release_is_judged() {
        let there = format!("{GATE}\n== parts/gate.step\n\n== parts/gate.stl\n");
        let unfetched = [RepoPath::from("parts/gate.step")].into();
        let past = Past { unfetched, ..Past::default() };
        assert_eq!(
            found_after("files-present", &there, past, "1.0.0"),
            ["`parts/gate.step` (of `scanner`) is only a pointer here"]
        );
    }
}
