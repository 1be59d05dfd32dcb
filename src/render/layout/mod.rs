//! Report → page, one file a report.

mod alike;
mod assembly;
mod bom;
mod check;
mod checklist;
mod followed;
mod hooks;
mod impact;
mod items;
mod ledger;
mod ledger_sheet;
mod look_back;
mod parts;
mod reached;
mod proposal;
mod refusal;
mod release;
mod upgrade;
mod verify;
mod why;
mod written;

pub use assembly::{assembly, assembly_sheet};
pub use bom::{bom, bom_sheet};
pub use check::check;
pub use checklist::checklist;
pub use followed::{followed, followed_sheet};
pub use hooks::hooks;
pub use impact::impact;
pub use items::items;
pub use ledger::{ledger, ledger_line};
pub use ledger_sheet::LedgerSheet;
pub use proposal::proposal;
pub use refusal::{note, refusal};
pub use release::{notes, release};
pub use upgrade::upgrade;
pub use verify::verify;
pub use why::why;
pub use written::written;

use super::page::{Line, Row, Span, Table, Tone};
use crate::record::Id;
use crate::report::{Cautions, FindingRow, NextStep};

/// The line that says how many of `rows` are not shown, where some are not.
fn cut<T>(rows: &[T], most: usize) -> Option<Line> {
    let more = rows.len().checked_sub(most).filter(|more| *more > 0)?;
    Some(vec![Span::new(format!("and {more} more"), Tone::Faint)])
}

fn joined(ids: &[Id], by: &str) -> String {
    ids.iter().map(Id::as_str).collect::<Vec<_>>().join(by)
}

/// The first `most` of `ids`, and how many there are besides: `lid, base and 4 more`.
fn first(ids: &[Id], most: usize, by: &str) -> String {
    let shown = joined(&ids[..ids.len().min(most)], by);
    match ids.len().saturating_sub(most) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// Things to do that are named on a page.
const MOST_STEPS: usize = 12;

/// What to do next. The last step is the way out that is always there, or the release: it stays when
/// others are cut.
fn steps(steps: &[NextStep]) -> Vec<Line> {
    let Some((last, before)) = steps.split_last() else { return Vec::new() };
    let line = |(step, others): &(&NextStep, usize)| match others {
        0 => vec![Span::from(step.text.as_str())],
        more => vec![Span::from(format!("{}; the same for {more} more", step.text))],
    };
    let before = alike::steps(before);
    let shown = before.iter().take(MOST_STEPS).map(line);
    shown.chain(cut(&before, MOST_STEPS)).chain([line(&(last, 0))]).collect()
}

/// Parts that stand beside a finding: more would take the column from all others.
const MOST_PARTS_OF_FINDING: usize = 3;

/// Further parts that are named where the same is found of them.
const MOST_ALIKE: usize = 24;

fn findings(rows: &[FindingRow]) -> Table {
    let row = |(row, others): (&FindingRow, Vec<Id>)| {
        let waived = row.waiver.as_ref();
        let waived = waived
            .map(|waiver| format!("waived by {} until before {}", waiver.id, waiver.until_before));
        let tone = if waived.is_some() { Tone::Doubtful } else { Tone::Bad };
        let written = row.path.as_ref().zip(row.line).map(|(path, line)| format!("{path}:{line}"));
        let named = || format!("the same of {}", first(&others, MOST_ALIKE, ", "));
        let others = (!others.is_empty()).then(named);
        let remarks = [Some(row.message.clone()), waived, written, others];
        let remarks = remarks.into_iter().flatten().collect();
        // The message names them all.
        let parts = first(&row.parts, MOST_PARTS_OF_FINDING, ", ");
        Row { cells: vec![Span::new(row.check.0, tone), parts.into()], remarks }
    };
    Table {
        columns: vec!["check", "parts"],
        named: false,
        rows: alike::findings(rows).into_iter().map(row).collect(),
    }
}

fn cautions(cautions: Option<&Cautions>) -> Vec<Line> {
    let Some(cautions) = cautions else { return Vec::new() };
    let line = |caution: &crate::report::Caution| {
        let hazard = Span::new(caution.hazard.clone(), Tone::Doubtful);
        let told = caution.caution.map(|told| format!(": {told}")).unwrap_or_default();
        let steps =
            (!caution.steps.is_empty()).then(|| format!("step {}", joined(&caution.steps, ", ")));
        let parts = (!caution.parts.is_empty()).then(|| joined(&caution.parts, ", "));
        let places: Vec<String> = parts.into_iter().chain(steps).collect();
        vec![hazard, told.into(), format!(" ({})", places.join("; ")).into()]
    };
    let hazards = cautions.hazards.iter().map(line);
    hazards.chain([vec![cautions.notice.into()]]).collect()
}
