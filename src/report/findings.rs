//! What the release checks found.

use serde::Serialize;

use super::requirements::WaiverRow;
use crate::design::Design;
use crate::diagnostic::Code;
use crate::record::Id;
use crate::verdict::Finding;

/// Something that a release check found.
#[derive(Clone, Debug, Serialize)]
pub struct FindingRow {
    /// The check.
    pub check: Code,
    /// The parts that it is about and goes through, the first one foremost.
    pub parts: Vec<Id>,
    /// What was found.
    pub message: String,
    /// What to do about it.
    pub remedy: Option<String>,
    /// The waiver that covers it.
    pub waiver: Option<WaiverRow>,
}

/// `finding`, whose parts are those of `design`.
pub(super) fn row(design: &Design, finding: &Finding) -> FindingRow {
    let mut parts: Vec<Id> = Vec::new();
    for part in finding.part.iter().chain(&finding.through) {
        let id = design.id(*part);
        if !parts.contains(id) {
            parts.push(id.clone());
        }
    }
    FindingRow {
        check: finding.check,
        parts,
        message: finding.message.clone(),
        remedy: finding.remedy.clone(),
        waiver: finding.covered.as_ref().map(WaiverRow::of),
    }
}
