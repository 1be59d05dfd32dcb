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
    /// The file that it is written in; lossy where its path is not UTF-8.
    pub path: Option<String>,
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
        path: finding.place.as_ref().map(|(path, _)| path.to_string()),
        waiver: finding.covered.as_ref().map(WaiverRow::of),
    }
}

/// The check whose findings are open items, which have rows of their own.
const ITEMS_DUE: Code = Code("items-due");

/// Whether a finding is about an open item.
pub(super) fn is_of_item(finding: &Finding) -> bool {
    finding.check == ITEMS_DUE
}

/// Whether a finding holds up the release and has no row of another kind.
pub(super) fn holds_up(finding: &Finding) -> bool {
    finding.covered.is_none() && !is_of_item(finding)
}

#[cfg(test)]
mod tests {
    use super::ITEMS_DUE;
    use crate::verdict::CHECKS;

    #[test]
    fn the_check_of_items_is_one_of_the_checks() {
        assert!(CHECKS.iter().any(|check| check.code == ITEMS_DUE));
    }
}
