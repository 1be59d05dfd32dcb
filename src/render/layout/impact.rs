//! What a change does, on a page.

use super::super::page::{Page, Row, Span, Table, Tone};
use super::{cautions, findings, parts, reached, steps};
use crate::report::{ImpactReport, LoosenedRow, Move, ShareRow, VerdictRow};

/// Parts whose share of a difference is named.
const MOST_SHARES: usize = 3;

/// Verdicts and budgets first, then the parts and what they reach.
#[must_use]
pub fn impact(report: &ImpactReport) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.table("verdicts", verdicts(&report.verdicts));
    page.table("promised less", loosened(&report.loosened));
    page.table("budgets", moves(&report.budgets));
    page.table("parts", parts::changed(&report.parts));
    page.table("no longer fit", findings(&report.misfits));
    page.table("results", reached::results(&report.results));
    page.table("items, decisions and steps", reached::touched(&report.touched));
    page.table("variants", reached::variants(&report.variants));
    page.table("newly found", findings(&report.new_findings));
    page.table("no longer found", no_longer(findings(&report.gone_findings)));
    page.list("cautions for what changed", cautions(report.cautions.as_ref()));
    page.list("next", steps(&report.next));
    page
}

/// What is gone is in nobody's way.
fn no_longer(mut found: Table) -> Table {
    let cells = found.rows.iter_mut().flat_map(|row| &mut row.cells);
    cells.for_each(|cell| cell.tone = Tone::Plain);
    found
}

fn verdicts(rows: &[VerdictRow]) -> Table {
    let row = |row: &VerdictRow| {
        let after = row.after.map(Span::from);
        let before = row.before.map(|before| before.word());
        let remarks = [row.because.map(Into::into), through(&row.shares)];
        Row {
            cells: vec![
                row.name().into(),
                before.unwrap_or("new").into(),
                after.unwrap_or_else(|| Span::new("gone", Tone::Doubtful)),
            ],
            remarks: remarks.into_iter().flatten().collect(),
        }
    };
    let columns = vec!["requirement", "before", "after"];
    Table { columns, named: true, rows: rows.iter().map(row).collect() }
}

/// `through led-panel +30 g, base -4 g`.
pub(super) fn through(shares: &[ShareRow]) -> Option<String> {
    let share = |row: &ShareRow| format!("{} {}", row.part, row.value.text);
    let named: Vec<String> = shares.iter().take(MOST_SHARES).map(share).collect();
    let more = match shares.len().saturating_sub(MOST_SHARES) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    (!named.is_empty()).then(|| format!("through {}{more}", named.join(", ")))
}

pub(super) fn loosened(rows: &[LoosenedRow]) -> Table {
    let row = |row: &LoosenedRow| Row {
        cells: vec![
            row.requirement.as_str().into(),
            Span::new(row.what, Tone::Doubtful),
            row.before.as_str().into(),
            if row.after.is_empty() { "gone".into() } else { row.after.as_str().into() },
        ],
        remarks: Vec::new(),
    };
    let columns = vec!["requirement", "what", "before", "after"];
    Table { columns, named: true, rows: rows.iter().map(row).collect() }
}

pub(super) fn moves(rows: &[Move]) -> Table {
    let text = |shown: &Option<crate::report::Shown>| {
        shown.as_ref().map_or_else(|| "none".into(), |shown| Span::from(shown.text.as_str()))
    };
    let row = |row: &Move| {
        let difference = row.difference.as_ref().map(|by| by.text.as_str()).unwrap_or_default();
        let cells =
            vec![row.name.as_str().into(), text(&row.before), text(&row.after), difference.into()];
        Row { cells, remarks: through(&row.shares).into_iter().collect() }
    };
    let columns = vec!["budget", "before", "after", "difference"];
    Table { columns, named: true, rows: rows.iter().map(row).collect() }
}
