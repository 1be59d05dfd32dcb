//! What `check` tells, on a page.

use super::super::page::{Page, Row, Span, Table};
use super::{findings, first};
use crate::record::Id;
use crate::report::{BudgetRow, CheckReport, ContributionRow};

/// Diagnostics that are shown.
const MOST_DIAGNOSTICS: usize = 50;
/// Parts in no build that are named.
const MOST_ASIDE: usize = 12;
/// Parts without a figure that are named.
const MOST_MISSING: usize = 4;

/// Diagnostics first, then budgets and findings.
#[must_use]
pub fn check(report: &CheckReport) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.diagnostics(&report.diagnostics, MOST_DIAGNOSTICS);
    page.table("budgets", budgets(&report.budgets));
    page.table("release checks", findings(&report.findings));
    page.list("in no build", aside(&report.aside));
    page.list("next", vec![vec![report.next.as_str().into()]]);
    page
}

/// One line: parts that nobody built in yet.
fn aside(parts: &[Id]) -> Vec<Vec<Span>> {
    let named = || format!("{}: in no assembly of the product", first(parts, MOST_ASIDE, ", "));
    if parts.is_empty() { Vec::new() } else { vec![vec![named().into()]] }
}

fn budgets(rows: &[BudgetRow]) -> Table {
    let columns = vec!["budget", "basic", "predicted", "promised", "verdict"];
    Table { columns, named: true, rows: rows.iter().map(budget).collect() }
}

fn budget(row: &BudgetRow) -> Row {
    let grows = row.basic.text != row.predicted.text;
    let predicted = if grows { row.predicted.text.as_str() } else { "" };
    let promise = row.promises.first();
    Row {
        cells: vec![
            row.name.as_str().into(),
            row.basic.text.as_str().into(),
            predicted.into(),
            promise.map(|promise| promise.promised.as_str()).unwrap_or_default().into(),
            promise.map_or_else(Span::default, |promise| promise.verdict.into()),
        ],
        remarks: remarks(row),
    }
}

fn remarks(row: &BudgetRow) -> Vec<String> {
    let further = row.promises.iter().skip(1);
    let mut remarks: Vec<String> = further
        .map(|promise| {
            format!("{} {}: {}", promise.requirement, promise.promised, promise.verdict.word())
        })
        .collect();
    if let Some(with) = row.with_options.as_ref().filter(|with| with.base != row.predicted.base) {
        remarks.push(format!("{} with all optional parts", with.text));
    }
    if let Some(own) = &row.disagrees_with {
        remarks.push(format!("{} itself states {}", row.part, own.text));
    }
    if !row.missing.is_empty() {
        remarks.push(missing(row));
    }
    if row.largest.len() > 1 {
        let share = |part: &ContributionRow| format!("{} {:.0} %", part.part, part.share * 100.0);
        remarks.push(row.largest.iter().map(share).collect::<Vec<_>>().join(", "));
    }
    if row.without_uncertainty > 0 {
        remarks.push(format!("{} without ±", row.without_uncertainty));
    }
    remarks
}

/// `without a figure: belt (nobody offers it), felt (states none) and 3 more`.
fn missing(row: &BudgetRow) -> String {
    let named = row.missing.iter().take(MOST_MISSING);
    let named: Vec<String> = named.map(|part| format!("{} ({})", part.part, part.why)).collect();
    let more = match row.missing.len().saturating_sub(MOST_MISSING) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!("without a figure: {}{more}", named.join(", "))
}
