//! What came of working a release's record out again, on a page.

use super::super::page::{Page, Row, Span, Table, Tone};
use crate::release::Difference;
use crate::report::VerifyReport;

/// Whether it agrees, then what differs.
#[must_use]
pub fn verify(report: &VerifyReport) -> Page {
    let tone = if report.agrees { Tone::Good } else { Tone::Bad };
    let mut page =
        Page { headline: vec![Span::new(report.headline.as_str(), tone)], sections: Vec::new() };
    page.table("", differences(&report.differences));
    if report.signed {
        let line = format!("it is signed; `git verify-tag {}` says by whom", report.tag);
        page.list("", vec![vec![line.into()]]);
    }
    page
}

fn differences(rows: &[Difference]) -> Table {
    let text = |of: &Option<String>| of.clone().unwrap_or_else(|| "nothing".to_owned());
    let row = |row: &Difference| {
        let variant = row.variant.as_ref().map(|id| format!(" in {id}")).unwrap_or_default();
        Row {
            cells: vec![
                Span::new(format!("{}{variant}", row.what), Tone::Strong),
                text(&row.recorded).into(),
                text(&row.found).into(),
            ],
            remarks: Vec::new(),
        }
    };
    let columns = vec!["what", "in the record", "worked out"];
    Table { columns, named: true, rows: rows.iter().map(row).collect() }
}
