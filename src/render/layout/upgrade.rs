//! The way from one release to another, on a page.

use super::super::page::{Line, Page, Row, Span, Table, Tone};
use super::{bom, cautions, joined};
use crate::report::{BreakRow, GetRow, KeptRow, RedoRow, SetRow, TestRow, UpgradeReport};

/// What to get, what to do, what to show again; then what is no longer needed.
#[must_use]
pub fn upgrade(report: &UpgradeReport) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    sections(&mut page, report);
    page.table("keep", kept(&report.keep));
    page.list("cautions", cautions(report.cautions.as_ref()));
    page
}

/// All but what stays, and the cautions.
pub(super) fn sections(page: &mut Page, report: &UpgradeReport) {
    page.table("no longer interchangeable", breaks(&report.breaks));
    page.table("make", get(&report.make));
    page.table("buy", get(&report.buy));
    page.table("order", bom::order(&report.parcels));
    page.table("cannot be bought", bom::missing(&report.missing));
    page.list("", order_cost(report).into_iter().collect());
    page.table("set anew", set(&report.set));
    page.table("steps, in this order", steps(&report.steps));
    page.table("tests to repeat", tests(&report.tests));
    page.table("discard", kept(&report.discard));
    page.table("left over", kept(&report.left_over));
}

fn breaks(rows: &[BreakRow]) -> Table {
    let row = |row: &BreakRow| Row {
        cells: vec![Span::new(row.part.as_str(), Tone::Strong)],
        remarks: vec![row.text.clone()],
    };
    Table { columns: vec!["part"], named: false, rows: rows.iter().map(row).collect() }
}

fn get(rows: &[GetRow]) -> Table {
    let row = |row: &GetRow| Row {
        cells: vec![
            Span::new(row.part.as_str(), Tone::Strong),
            row.amount.as_str().into(),
            row.version.as_deref().unwrap_or_default().into(),
            row.origin.into(),
        ],
        remarks: std::iter::once(row.why.clone()).chain(row.title.clone()).collect(),
    };
    let columns = vec!["part", "amount", "version", "origin"];
    Table { columns, named: false, rows: rows.iter().map(row).collect() }
}

/// `the order: 12.60 EUR, the cheapest choice of all offers`.
fn order_cost(report: &UpgradeReport) -> Option<Line> {
    let cost = report.order_cost.as_ref()?;
    let least = report.at_least.as_ref();
    let below = least.map(|least| format!(", and none is below {}", least.text));
    let told = format!("the order: {}, {}", cost.text, bom::how_cheap(least));
    Some(vec![Span::new(told + &below.unwrap_or_default(), Tone::Faint)])
}

fn set(rows: &[SetRow]) -> Table {
    let row = |row: &SetRow| Row {
        cells: vec![Span::new(row.part.as_str(), Tone::Strong), joined(&row.settings, ", ").into()],
        remarks: Vec::new(),
    };
    let columns = vec!["part", "settings"];
    Table { columns, named: false, rows: rows.iter().map(row).collect() }
}

fn steps(rows: &[RedoRow]) -> Table {
    let row = |row: &RedoRow| {
        let tools = (!row.tools.is_empty()).then(|| format!("with {}", row.tools.join(", ")));
        Row {
            cells: vec![Span::new(row.step.as_str(), Tone::Strong), row.why.as_str().into()],
            remarks: row.title.iter().cloned().chain(tools).collect(),
        }
    };
    Table { columns: vec!["step", "why"], named: false, rows: rows.iter().map(row).collect() }
}

fn tests(rows: &[TestRow]) -> Table {
    let row = |row: &TestRow| Row {
        cells: vec![
            Span::new(row.requirement.as_str(), Tone::Strong),
            format!("by {}", row.method).into(),
        ],
        remarks: row.title.iter().cloned().collect(),
    };
    let columns = vec!["requirement", "method"];
    Table { columns, named: false, rows: rows.iter().map(row).collect() }
}

fn kept(rows: &[KeptRow]) -> Table {
    let row = |row: &KeptRow| Row {
        cells: vec![row.part.as_str().into(), row.amount.as_str().into()],
        remarks: row.title.iter().cloned().collect(),
    };
    Table { columns: vec!["part", "amount"], named: false, rows: rows.iter().map(row).collect() }
}
