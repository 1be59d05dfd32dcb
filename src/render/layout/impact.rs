//! What a change does, on a page.

use super::super::page::{Line, Page, Row, Span, Table, Tone};
use super::{cautions, cut, findings, parts, reached, steps};
use crate::report::{
    AskedRow, GroundRow, ImpactReport, LoosenedRow, Move, PartDueRow, ReasonRow, ShareRow,
    VariantTurnRow, VerdictRow, count,
};

/// Parts whose share of a difference is named.
const MOST_SHARES: usize = 3;
/// Reasons for a version step that are named.
const MOST_REASONS: usize = 3;
/// Parts that are to be raised and are named.
const MOST_DUE: usize = 4;

/// Verdicts and budgets first, then the parts and what they reach.
#[must_use]
pub fn impact(report: &ImpactReport) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.table("verdicts", verdicts(&report.verdicts));
    page.table("promised less", loosened(&report.loosened));
    page.table("budgets", moves(&report.budgets, &report.variants));
    page.table("parts", parts::changed(&report.parts));
    page.table("besides parts", ground(&report.ground));
    page.list("version", asked(report.version.as_ref()));
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

fn ground(rows: &[GroundRow]) -> Table {
    let row = |row: &GroundRow| Row {
        cells: vec![
            row.kind.word().into(),
            Span::new(row.id.as_str(), Tone::Strong),
            row.how.word().into(),
        ],
        remarks: Vec::new(),
    };
    Table {
        columns: vec!["kind", "name", "how"],
        named: false,
        rows: rows.iter().map(row).collect(),
    }
}

/// Findings that are gone, of which so many are named.
const MOST_GONE: usize = 12;

/// What is gone is in nobody's way.
fn no_longer(mut found: Table) -> Table {
    let more = cut(&found.rows, MOST_GONE);
    found.rows.truncate(MOST_GONE);
    found.rows.extend(more.map(|line| Row { cells: line, remarks: Vec::new() }));
    let cells = found.rows.iter_mut().flat_map(|row| &mut row.cells);
    cells.for_each(|cell| cell.tone = Tone::Plain);
    found
}

/// Which step is asked for, then why, the largest reasons first, then the parts that are to be raised.
fn asked(row: Option<&AskedRow>) -> Vec<Line> {
    let Some(row) = row else { return Vec::new() };
    let tone = if row.unfit.is_some() { Tone::Bad } else { Tone::Plain };
    let largest = row.reasons.iter().filter(|reason| reason.step == row.step);
    let reasons: Vec<Line> = largest.map(reason).collect();
    let more = row.reasons.len() - reasons.len().min(MOST_REASONS);
    let more = (more > 0 && !reasons.is_empty())
        .then(|| vec![Span::new(format!("and {}", count(more, "lesser reason")), Tone::Faint)]);
    let parts = row.parts.iter().take(MOST_DUE).map(due);
    let head = vec![Span::new(row.headline.as_str(), tone)];
    let shown = [head].into_iter().chain(reasons.into_iter().take(MOST_REASONS)).chain(more);
    shown.chain(parts).chain(cut(&row.parts, MOST_DUE)).collect()
}

fn reason(row: &ReasonRow) -> Line {
    vec![Span::new(row.about.as_str(), Tone::Strong), format!(": {}", row.text).into()]
}

fn due(row: &PartDueRow) -> Line {
    let text = format!(" {}: {}", row.versions(), row.because);
    vec!["raise ".into(), Span::new(row.part.as_str(), Tone::Strong), text.into()]
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

/// The budgets of the design itself, then those that moved in a variant alone.
pub(super) fn moves(itself: &[Move], variants: &[VariantTurnRow]) -> Table {
    let text = |shown: &Option<crate::report::Shown>| {
        shown.as_ref().map_or_else(|| "none".into(), |shown| Span::from(shown.text.as_str()))
    };
    let row = |(variant, row): (Option<&VariantTurnRow>, &Move)| {
        let name = match variant {
            Some(variant) => format!("{} in {}", row.name, variant.id),
            None => row.name.clone(),
        };
        let difference = row.difference.as_ref().map(|by| by.text.as_str()).unwrap_or_default();
        let cells = vec![name.into(), text(&row.before), text(&row.after), difference.into()];
        Row { cells, remarks: through(&row.shares).into_iter().collect() }
    };
    let columns = vec!["budget", "before", "after", "difference"];
    let itself = itself.iter().map(|moved| (None, moved));
    let of_variants = variants
        .iter()
        .flat_map(|variant| variant.budgets.iter().map(move |moved| (Some(variant), moved)));
    let rows = itself.chain(of_variants).map(row).collect();
    Table { columns, named: true, rows }
}
