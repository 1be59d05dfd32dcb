//! `reference`: what can be written, what can be asked, and what a release is checked for.

use crate::outside::Outcome;
use crate::reference;
use crate::verdict::CHECKS;

/// The reference, as Markdown.
pub fn run() -> Outcome {
    Outcome::of(
        [reference::records(), &reference::units(), reference::commands(), &checks()].join("\n"),
    )
}

/// A page on the release checks, from what each says of itself.
fn checks() -> String {
    let section = |check: &crate::verdict::Check| {
        format!("\n## `{}`: {}\n\n{}\n", check.code, check.title, check.doc)
    };
    let sections: String = CHECKS.iter().map(section).collect();
    format!("# Release checks\n{sections}")
}
