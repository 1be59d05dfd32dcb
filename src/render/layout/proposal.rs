//! Which version is due, on a page.

use super::super::page::{Page, Row, Span, Table, Tone};
use crate::release::Step;
use crate::report::{ProposalReport, ReasonRow};

/// The version, then every reason for it.
#[must_use]
pub fn proposal(report: &ProposalReport) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.table("reasons", reasons(&report.reasons));
    page
}

/// Adds which version is due, and why, to another page.
pub(super) fn version(page: &mut Page, due: &ProposalReport) {
    page.list("version", vec![vec![due.headline.as_str().into()]]);
    page.table("reasons", reasons(&due.reasons));
}

fn reasons(rows: &[ReasonRow]) -> Table {
    let row = |row: &ReasonRow| {
        let step = match row.step {
            Step::Major => Span::new("break", Tone::Bad),
            Step::Minor => Span::new("minor", Tone::Doubtful),
            Step::Patch => Span::new("patch", Tone::Faint),
        };
        let about = Span::new(row.about.as_str(), Tone::Strong);
        Row { cells: vec![step, about], remarks: vec![row.text.clone()] }
    };
    Table { columns: vec!["step", "about"], named: false, rows: rows.iter().map(row).collect() }
}
