//! The message of a release's tag: what it is, the notes, the record.

use super::layout;
use super::markdown::markdown;
use super::untrusted::one_line;
use crate::report::ReleaseReport;

/// The message, ending in its record. Nothing in the notes that comes from the repository begins a
/// line or acts.
#[must_use]
pub fn tag_message(report: &ReleaseReport) -> String {
    let subject = one_line(&format!("{} {}", report.design, report.release));
    let notes = markdown(&layout::notes(report));
    format!("{subject}\n\n{notes}\n{}", report.record.text())
}
