//! Every file that a record names is there.

use super::{Check, Context, finding, place, unusable};
use crate::design::{Design, NamedFile, PartIx};
use crate::diagnostic::Code;
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("files-present"),
    title: "Every file that a record names is there",
    doc: "The sources, exports and meshes of parts and the files of evidence are regular files of \
          the revision; a glob means at least one. A symbolic link is never followed, and a file \
          in another repository is not part of the revision.",
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
    of_parts.chain(of_evidence).collect()
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
    use crate::verdict::tests::found;

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
}
