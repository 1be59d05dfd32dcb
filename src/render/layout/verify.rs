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

/// Digits of a digest that are shown: whether two differ is seen at the first ones.
const SHOWN_DIGITS: usize = 12;

fn shortened(text: &str) -> String {
    let digits = text.strip_prefix("sha256:").and_then(|digits| digits.get(..SHOWN_DIGITS));
    digits.map_or_else(|| text.to_owned(), |digits| format!("sha256:{digits}…"))
}

fn differences(rows: &[Difference]) -> Table {
    let text = |of: &Option<String>| of.as_deref().map_or_else(|| "nothing".to_owned(), shortened);
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
