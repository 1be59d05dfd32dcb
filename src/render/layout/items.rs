//! What `item list` tells, on a page.

use super::super::page::{Line, Page, Row, Span, Table, Tone};
use super::{checklist, joined};
use crate::report::{ClosedItemRow, ItemList, WorkLeft};

/// Open items, then closed ones.
#[must_use]
pub fn items(report: &ItemList) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.table("open", checklist::items(&report.open));
    page.list("work left", work_left(report.work.as_ref()));
    page.table("closed", closed(&report.closed));
    page
}

/// How much there is to do, and the chain that takes longest.
pub(super) fn work_left(work: Option<&WorkLeft>) -> Vec<Line> {
    let Some(work) = work.filter(|work| work.effort.base > 0.0) else { return Vec::new() };
    let without = match work.without_effort {
        0 => String::new(),
        1 => "; 1 item does not say how much".to_owned(),
        more => format!("; {more} items do not say how much"),
    };
    let all = vec![format!("{}{without}", work.effort.text).into()];
    let chain = joined(&work.longest_chain, " → ");
    let longest =
        vec![format!("{} at least, one after the other: {chain}", work.longest.text).into()];
    let has_chain = work.longest_chain.len() > 1;
    std::iter::once(all).chain(has_chain.then_some(longest)).collect()
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
