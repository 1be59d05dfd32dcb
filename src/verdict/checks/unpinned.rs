//! `unpinned`: what was measured of a part with files says of which state of them.

use super::{Check, Context, finding};
use crate::diagnostic::Code;
use crate::quantity::Basis;
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("unpinned"),
    title: "Measurements belong to a state of the files",
    doc: "A figure that stands as `measured` beside a part with files would stay when the files \
          change: it counts with the allowance of a calculated one. A measurement that knows what \
          was on the bench is a record of evidence with its seal. All such figures are told \
          together.",
    waivable: true,
    run,
};

/// Figures that are named in the finding.
const NAMED_FIGURES: usize = 5;

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    let with_files = design.part_indices().filter(|part| {
        let mut files = design.files[part.index()].all();
        files.next().is_some()
    });
    let mut parts = Vec::new();
    let mut named: Vec<String> = Vec::new();
    for part in with_files {
        for (name, sourced) in design.figures[part.index()].iter() {
            if sourced.figure.basis == Some(Basis::Measured) {
                parts.push(part);
                named.push(format!("{name} of `{}`", design.id(part)));
            }
        }
    }
    if named.is_empty() {
        return Vec::new();
    }
    let others = named.len().saturating_sub(NAMED_FIGURES);
    named.truncate(NAMED_FIGURES);
    let others = if others > 0 { format!(" and {others} more") } else { String::new() };
    let named = named.join(", ");
    let message = format!("measured of no particular state of the files: {named}{others}");
    vec![Finding {
        through: parts,
        remedy: Some(
            "record it as sealed evidence with `tagworthy measure`, and let the part itself say \
                 `calculated` or `estimated`"
                .into(),
        ),
        ..finding(CHECK.code, message)
    }]
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found;

    fn lid(files: &str, mass: &str) -> Vec<String> {
        let text = format!("[part.scanner]\norigin = \"printed\"\n{files}\nmass = \"{mass}\"\n");
        found("unpinned", &text, "1.0.0")
    }

    #[test]
    fn a_measurement_beside_files_is_told() {
        let file = "exports = [\"lid.stl\"]";
        assert_eq!(lid(file, "30 g calculated"), [""; 0]);
        assert_eq!(lid("", "30 g measured"), [""; 0], "there is nothing that could change");
        assert_eq!(
            lid(file, "30 g measured"),
            ["measured of no particular state of the files: mass of `scanner`"]
        );
    }
}
