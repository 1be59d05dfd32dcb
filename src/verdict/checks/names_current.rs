//! `names-current`: the documents speak of the parts that there are.

use super::{Check, Context, finding};
use crate::diagnostic::{Code, Span};
use crate::record::Id;
use crate::verdict::Finding;
use crate::verdict::documents::written;
use crate::verdict::markdown::line_that_names;

pub(super) const CHECK: Check = Check {
    code: Code("names-current"),
    title: "The documents name no replaced part",
    doc: "No document of the manifest names a part that another one `replaces` and that is gone. A \
          name of several words is one wherever it stands, a single word where it is marked as code.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    let replaced: Vec<(&Id, &Id)> = design
        .parts
        .iter()
        .filter_map(|part| Some((&part.replaces.as_ref()?.value, &part.id.value)))
        .filter(|(gone, _)| design.part(gone.as_str()).is_none())
        .collect();
    let mut found = Vec::new();
    for (_, path) in written(design) {
        let text = context.documents.text(path).unwrap_or_default();
        for (gone, by) in &replaced {
            let Some(line) = line_that_names(&text, gone.as_str()) else { continue };
            found.push(Finding {
                part: design.part(by.as_str()),
                place: Some((path.clone(), Span::default())),
                remedy: Some(format!("speak of `{by}` in line {line} of `{path}`")),
                ..finding(
                    CHECK.code,
                    format!("`{path}`, line {line}: `{gone}` was replaced by `{by}`"),
                )
            });
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use crate::fixture::MANIFEST;
    use crate::verdict::tests::found;

    fn with(text: &str, parts: &str) -> Vec<String> {
        let text = format!(
            "\n== tagworthy.toml\n{MANIFEST}docs = {{ assembly = \"build.md\" }}\n\
             \n== p.toml\n[part.scanner]\norigin = \"printed\"\nreplaces = \"slotted-gate\"\n{parts}\
             \n== build.md\n{text}\n"
        );
        found("names-current", &text, "1.0.0")
    }

    #[test]
    fn a_part_that_is_gone_is_named_no_more() {
        assert_eq!(
            with("# Build\nHang the slotted-gate.", ""),
            ["`build.md`, line 2: `slotted-gate` was replaced by `scanner`"]
        );
        assert_eq!(with("Hang the scanner.", ""), [""; 0]);
        let still_there = "[part.slotted-gate]\norigin = \"printed\"\n";
        assert_eq!(with("Hang the slotted-gate.", still_there), [""; 0]);
    }
}
