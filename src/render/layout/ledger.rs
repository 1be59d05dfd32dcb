//! The ledger on a page, and on a sheet.

use super::super::page::{Line, Page, Row, Span, Table, Tone};
use super::impact::through;
use crate::compare::How;
use crate::report::{BudgetMove, ChangedPartRow, LedgerReport, LedgerRow, Shown, VerdictRow};

/// Parts that are named in one row.
const MOST_PARTS: usize = 4;
/// Budgets that are named in one row.
const MOST_BUDGETS: usize = 4;

/// A row a revision, as [`ledger_line`] lays it out.
#[must_use]
pub fn ledger(report: &LedgerReport, rows: Vec<Row>) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.list("", remarks(&report.remarks));
    let columns = vec!["revision", "date", "author", "subject"];
    page.table("revisions", Table { columns, named: false, rows });
    page
}

pub(super) fn remarks(remarks: &[String]) -> Vec<Line> {
    remarks.iter().map(|remark| vec![Span::new(remark.as_str(), Tone::Doubtful)]).collect()
}

/// What a revision is, then what it moved.
#[must_use]
pub fn ledger_line(row: &LedgerRow) -> Row {
    let revision = &row.revision;
    let tone = if row.readable { Tone::Strong } else { Tone::Bad };
    let is_said = revision.subject.to_lowercase().starts_with("merge");
    let merge = if revision.is_merge && !is_said { "merge: " } else { "" };
    Row {
        cells: vec![
            Span::new(revision.revision.as_str(), tone),
            revision.date.as_str().into(),
            Span::new(revision.author.as_str(), Tone::Faint),
            format!("{merge}{}", revision.subject).into(),
        ],
        remarks: told(row),
    }
}

/// What a row says besides its revision.
fn told(row: &LedgerRow) -> Vec<String> {
    if let Some(why) = &row.unreadable {
        return vec![format!("cannot be read: {why}")];
    }
    let ids = |what: &str, ids: Vec<&str>| {
        (!ids.is_empty()).then(|| format!("{what} {}", ids.join(", ")))
    };
    let loosened = row.loosened.iter().map(|less| {
        let after = if less.after.is_empty() { "gone" } else { less.after.as_str() };
        let told = crate::report::less(&less.what, &less.before, after);
        format!("{} promises less: {told}", less.requirement)
    });
    let opened = ids("opened", row.opened.iter().map(|item| item.id.as_str()).collect());
    let closed = ids("closed", row.closed.iter().map(|item| item.id.as_str()).collect());
    let decided = ids("decided", row.decided.iter().map(|it| it.id.as_str()).collect());
    let told: Vec<String> = verdicts(&row.verdicts)
        .into_iter()
        .chain(loosened)
        .chain(parts(&row.parts))
        .chain(budgets(&row.budgets))
        .chain([opened, closed, decided].into_iter().flatten())
        .collect();
    if told.is_empty() { vec!["nothing moved".to_owned()] } else { told }
}

/// `37 parts added; led-panel geometry, settings; lid removed`.
fn parts(parts: &[ChangedPartRow]) -> Vec<String> {
    let of = |how: How| parts.iter().filter(move |part| part.how == how);
    let mut told = Vec::new();
    for how in [How::Added, How::Removed] {
        let word = how.word();
        let ids: Vec<&str> = of(how).map(|part| part.part.as_str()).collect();
        match ids.len() {
            0 => {}
            few if few <= MOST_PARTS => told.push(format!("{word} {}", ids.join(", "))),
            many => told.push(format!("{word} {many} parts")),
        }
    }
    let changed: Vec<String> = of(How::Changed)
        .map(|part| format!("{} {}", part.part, part.facet_words.join(", ")))
        .collect();
    told.extend(some(&changed, MOST_PARTS, "part"));
    told
}

fn some(all: &[String], most: usize, noun: &str) -> Vec<String> {
    let more = all.len().saturating_sub(most);
    let rest = (more > 0).then(|| format!("{} more", crate::report::count(more, noun)));
    all.iter().take(most).cloned().chain(rest).collect()
}

/// `mass +34 g to 1218 g ± 9 g`.
fn budgets(budgets: &[BudgetMove]) -> Vec<String> {
    let moved: Vec<String> = budgets.iter().filter_map(budget).collect();
    some(&moved, MOST_BUDGETS, "budget")
}

fn budget(budget: &BudgetMove) -> Option<String> {
    let text = |shown: &Shown| shown.text.clone();
    let name = &budget.name;
    match (&budget.before, &budget.predicted) {
        (None, Some(now)) => Some(format!("{name} {}", text(now))),
        (Some(_), None) => Some(format!("{name} gone")),
        // What lies beyond the last digit is no move.
        (Some(before), Some(now)) if before.text != now.text => {
            let by = budget.difference.as_ref().filter(|by| by.base != 0.0).map(text);
            let Some(by) = by else { return Some(format!("{name} {}", text(now))) };
            let known = now.text.strip_prefix("from ").unwrap_or(&now.text);
            let more = if now.lower_bound { " or more" } else { "" };
            Some(format!("{name} {by} to {known}{more}"))
        }
        _ => None,
    }
}

pub(super) fn verdicts(turns: &[VerdictRow]) -> Vec<String> {
    let told = |turn: &VerdictRow| {
        let by = through(&turn.shares).map(|by| format!(" {by}")).unwrap_or_default();
        format!("{} {}{by}", turn.name(), turn.turned())
    };
    turns.iter().map(told).collect()
}
