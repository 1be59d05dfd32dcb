//! What `item list` tells, on a page.

use super::super::page::{Page, Row, Span, Table, Tone};
use super::checklist;
use crate::report::{ClosedItemRow, ItemList};

/// Open items, then closed ones.
#[must_use]
pub fn items(report: &ItemList) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.table("open", checklist::items(&report.open));
    page.table("closed", closed(&report.closed));
    page
}

pub(super) fn closed(rows: &[ClosedItemRow]) -> Table {
    let row = |row: &ClosedItemRow| Row {
        cells: vec![
            Span::new("closed", Tone::Good),
            row.id.as_str().into(),
            row.closed.as_deref().unwrap_or_default().into(),
        ],
        remarks: row.title.iter().chain(&row.result).cloned().collect(),
    };
    Table {
        columns: vec!["standing", "item", "day"],
        named: false,
        rows: rows.iter().map(row).collect(),
    }
}
