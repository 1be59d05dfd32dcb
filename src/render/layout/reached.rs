//! Results, plans and variants that a change reaches.

use super::super::page::{Row, Span, Table, Tone};
use super::{cut, first, parts};
use crate::compare::{How, Planned, ResultTurn, Touch};
use crate::record::Id;
use crate::report::{FindingRow, PartRow, ResultTurnRow, TouchedRow, VariantTurnRow};

/// Requirements or parts that are named for one row.
const MOST_NAMES: usize = 4;
/// Items, decisions and steps that are named.
const MOST_TOUCHED: usize = 16;
/// Findings that are named for one variant.
const MOST_FINDINGS: usize = 4;

/// What became of results, those first that are to be repeated.
pub(super) fn results(rows: &[ResultTurnRow]) -> Table {
    let row = |row: &ResultTurnRow| {
        let now = match row.turn {
            ResultTurn::Overtaken => Span::new("to repeat", Tone::Bad),
            ResultTurn::HoldsAgain => Span::new("holds again", Tone::Good),
            ResultTurn::Added => "new".into(),
            ResultTurn::Removed => Span::new("gone", Tone::Doubtful),
            ResultTurn::SetAside => Span::new("set aside", Tone::Doubtful),
        };
        let name = match &row.variant {
            Some(variant) => format!("{} in {variant}", row.evidence),
            None => row.evidence.to_string(),
        };
        let effort = row.effort.as_ref().filter(|_| row.turn == ResultTurn::Overtaken);
        let effort = effort.map(|effort| effort.text.as_str()).unwrap_or_default();
        let because = row.because.as_ref().map(|because| match row.turn {
            ResultTurn::Added => format!("stale: {because}"),
            _ => because.clone(),
        });
        let remarks = [named("for", &row.requirements), because];
        Row {
            cells: vec![now, name.into(), effort.into()],
            remarks: remarks.into_iter().flatten().collect(),
        }
    };
    let is_to_repeat = |row: &&ResultTurnRow| row.turn == ResultTurn::Overtaken;
    let others = rows.iter().filter(|row| !is_to_repeat(row));
    let rows = rows.iter().filter(is_to_repeat).chain(others).map(row).collect();
    Table { columns: vec!["now", "result", "effort"], named: false, rows }
}

/// `for even-light, quiet and 2 more`.
fn named(lead: &str, ids: &[Id]) -> Option<String> {
    (!ids.is_empty()).then(|| format!("{lead} {}", first(ids, MOST_NAMES, ", ")))
}

/// Items, decisions and steps.
pub(super) fn touched(rows: &[TouchedRow]) -> Table {
    let row = |row: &TouchedRow| Row {
        cells: vec![how(row), Span::new(row.id.as_str(), Tone::Strong)],
        remarks: [row.title.clone(), named("through", &row.parts)].into_iter().flatten().collect(),
    };
    let more = cut(rows, MOST_TOUCHED).map(|line| Row { cells: line, remarks: Vec::new() });
    let rows = rows.iter().take(MOST_TOUCHED).map(row).chain(more).collect();
    Table { columns: vec!["how", "name"], named: false, rows }
}

fn how(row: &TouchedRow) -> Span {
    let kind = match row.kind {
        Planned::Item => "item",
        Planned::Decision => "decision",
        Planned::Step => "step",
    };
    let how = match (row.touch, row.kind) {
        (Touch::Added, Planned::Item) => "opened",
        (Touch::Added, Planned::Decision) => "taken",
        (Touch::Added, Planned::Step) => "new",
        (Touch::Removed, _) => "gone",
        (Touch::Changed, _) => "changed",
        (Touch::Closed, _) => "closed",
        (Touch::Reached, _) => "touched",
    };
    format!("{kind} {how}").into()
}

/// Variants, with what happens to them alone; their budgets stand with the others.
pub(super) fn variants(rows: &[VariantTurnRow]) -> Table {
    let row = |row: &VariantTurnRow| {
        let how = match row.how {
            How::Added => "new",
            How::Removed => "gone",
            How::Changed => "changed",
        };
        let part = |part: &PartRow| format!("{} {}", part.part, parts::facets(part));
        let parts = row.parts.iter().map(part);
        let new = told("newly", &row.new_findings);
        let gone = told("no longer", &row.gone_findings);
        Row {
            cells: vec![Span::new(row.id.as_str(), Tone::Strong), how.into()],
            remarks: parts.chain(new).chain(gone).collect(),
        }
    };
    let columns = vec!["variant", "how"];
    let is_told = |of: &&VariantTurnRow| of.how != How::Changed || of.says_more_than_budgets();
    Table { columns, named: false, rows: rows.iter().filter(is_told).map(row).collect() }
}

/// `newly rails-hold: …`, a remark a finding.
fn told(lead: &str, findings: &[FindingRow]) -> Vec<String> {
    let one = |row: &FindingRow| format!("{lead} {}: {}", row.check, row.message);
    let mut told: Vec<String> = findings.iter().take(MOST_FINDINGS).map(one).collect();
    if let Some(more) = findings.len().checked_sub(MOST_FINDINGS).filter(|more| *more > 0) {
        told.push(format!("{lead} {more} more"));
    }
    told
}
