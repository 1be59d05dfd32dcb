//! What the release checks found.

use serde::Serialize;

use super::place::Lines;
use super::requirements::WaiverRow;
use crate::design::Design;
use crate::diagnostic::Code;
use crate::record::Id;
use crate::verdict::{Assessed, Finding, Verdict};

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
    /// The line of that file, from 1.
    pub line: Option<usize>,
    /// The waiver that covers it.
    pub waiver: Option<WaiverRow>,
}

/// `finding`, whose parts are those of `design`.
pub(super) fn row(design: &Design, finding: &Finding, lines: Lines<'_>) -> FindingRow {
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
        line: finding.place.as_ref().map(|(path, span)| lines(path, *span)),
        waiver: finding.covered.as_ref().map(WaiverRow::of),
    }
}

/// The check whose findings are open items, which have rows of their own.
const ITEMS_DUE: Code = Code("items-due");
/// The check whose findings are results, which the requirements that they speak to tell of too.
const EVIDENCE_CURRENT: Code = Code("evidence-current");
/// The check whose findings are parts that do not go together.
const VERSIONS_FIT: Code = Code("versions-fit");

/// Whether a finding is about an open item.
pub(super) fn is_of_item(finding: &Finding) -> bool {
    finding.check == ITEMS_DUE
}

/// Whether a finding is about parts that do not go together.
pub(super) fn is_misfit(finding: &Finding) -> bool {
    finding.check == VERSIONS_FIT
}

/// The result that is not current, which a finding says.
pub(super) fn result_of<'a>(assessed: &'a Assessed, finding: &Finding) -> Option<&'a Id> {
    Some(&assessed.design.evidence[index_of_result(assessed, finding)?].id.value)
}

/// Whether a finding says that a result does not count, and the row of a requirement says so too:
/// one that is stale or unproven without that result.
pub(super) fn is_of_requirement(assessed: &Assessed, finding: &Finding) -> bool {
    let Some(index) = index_of_result(assessed, finding) else { return false };
    assessed.judged.iter().any(|judged| {
        let speaks = judged.evidence.as_ref().is_some_and(|used| used.results.contains(&index));
        speaks && matches!(judged.beneath, Verdict::Stale | Verdict::Unproven)
    })
}

/// It is the one at the same place.
fn index_of_result(assessed: &Assessed, finding: &Finding) -> Option<usize> {
    let (path, span) = finding.place.as_ref().filter(|_| finding.check == EVIDENCE_CURRENT)?;
    let mut results = assessed.standings.results(&assessed.design);
    let is_meant = |index: usize| {
        let held = &assessed.design.evidence[index];
        (&held.path, held.id.span) == (path, *span)
    };
    let found = results.find(|(index, _, stands)| !stands.is_current() && is_meant(*index));
    found.map(|(index, ..)| index)
}

/// Whether a finding holds up the release and has no row of another kind.
pub(super) fn holds_up(assessed: &Assessed, finding: &Finding) -> bool {
    finding.covered.is_none() && !is_of_item(finding) && !is_of_requirement(assessed, finding)
}

#[cfg(test)]
mod tests {
    use super::{EVIDENCE_CURRENT, ITEMS_DUE, VERSIONS_FIT};
    use crate::verdict::CHECKS;

    #[test]
    fn the_checks_that_are_told_apart_are_there() {
        for code in [ITEMS_DUE, EVIDENCE_CURRENT, VERSIONS_FIT] {
            assert!(CHECKS.iter().any(|check| check.code == code), "{code}");
        }
    }
}
