//! Every document of the manifest is there.

use super::{Check, Context, finding, place, unusable};
use crate::diagnostic::Code;
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("documents-present"),
    title: "Every document of the manifest is there",
    doc: "The documents that `docs` names in the manifest are regular files of the revision.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let docs = context.design.docs.iter();
    let absent = docs.filter_map(|(role, file)| {
        Some(Finding {
            place: Some(place(&file.by, &file.written)),
            remedy: Some("write it, or take it out of `docs`".to_owned()),
            ..finding(CHECK.code, format!("the document `{role}`: {}", unusable(file)?))
        })
    });
    absent.collect()
}

#[cfg(test)]
mod tests {
    use crate::fixture::MANIFEST;
    use crate::verdict::tests::found;

    #[test]
    fn a_document_that_is_not_there_is_named_by_its_role() {
        let text = format!(
            "\n== tagworthy.toml\n{MANIFEST}docs = {{ readme = \"README.md\", assembly = \"docs/build.md\" }}\n\
             \n== p.toml\n[part.scanner]\norigin = \"bought\"\n\n== README.md\n# Lantern\n"
        );
        assert_eq!(
            found("documents-present", &text, "1.0.0"),
            ["the document `assembly`: `docs/build.md` is not there"]
        );
    }
}
