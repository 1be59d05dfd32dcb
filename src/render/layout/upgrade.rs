//! The way from one release to another, on a page.

use super::super::page::{Page, Row, Span, Table, Tone};
use super::{cautions, joined};
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
    let row = |row: &GetRow| {
        let cost = row.purchase.as_ref().map(|found| found.cost.text.clone()).unwrap_or_default();
        let from = row.purchase.as_ref().map(|found| {
            let code = found.code.as_ref().map(|code| format!(" {code}")).unwrap_or_default();
            format!("{} × {}{code}", found.units, found.supplier)
        });
        let title = row.title.clone();
        Row {
            cells: vec![
                Span::new(row.part.as_str(), Tone::Strong),
                row.amount.as_str().into(),
                row.version.as_deref().unwrap_or_default().into(),
                row.origin.into(),
                cost.into(),
            ],
            remarks: [Some(row.why.clone()), from, title].into_iter().flatten().collect(),
        }
    };
    let columns = vec!["part", "amount", "version", "origin", "cost"];
    Table { columns, named: false, rows: rows.iter().map(row).collect() }
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
