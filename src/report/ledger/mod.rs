//! The ledger: revisions that touched the design and what each of them moved, or one figure through
//! all of them.

mod followed;
mod look_back;
mod row;

use serde::Serialize;

use super::shown::count;
use crate::history::{Ledger, Row, Told};
use crate::record::Id;

pub use followed::{FollowedReport, MomentRow, followed};
pub use look_back::{LapseRow, LookBackReport, OriginRow, look_back, origin};
pub use row::{BudgetMove, ChangedPartRow, DecidedRow, LedgerRow, RevisionRow, TitledRow};
pub(super) use row::{revision, turn};

/// Revisions that touched the design, those that came first in front.
#[derive(Clone, Debug, Serialize)]
pub struct LedgerReport {
    /// All of it in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// A row a revision.
    pub rows: Vec<LedgerRow>,
    /// What should be known besides.
    pub remarks: Vec<String>,
}

/// The rows of the ledger of `design` that are `wanted`.
#[must_use]
pub fn ledger(design: &Id, ledger: &Ledger, wanted: &dyn Fn(&Row) -> bool) -> LedgerReport {
    let chosen: Vec<&Row> = ledger.rows.iter().filter(|row| wanted(row)).collect();
    let rows: Vec<LedgerRow> = chosen.iter().map(|row| row::row(row)).collect();
    LedgerReport {
        headline: headline(design, ledger, &chosen),
        design: design.clone(),
        rows,
        remarks: remarks(ledger),
    }
}

/// `lantern: 41 of 48 revisions touched the design, 2026-02-01 to 2026-10-30; 9 verdicts turned`.
fn headline(design: &Id, ledger: &Ledger, rows: &[&Row]) -> String {
    let passed = count(ledger.passed, "revision");
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
        return match ledger.rows.len() {
            0 => format!("{design}: none of {passed} touched the design"),
            touched => {
                let touched = count(touched, "revision");
                format!("{design}: of {touched} that touched the design none is asked for")
            }
        };
    };
    let (first, last) = (first.revision.date, last.revision.date);
    let span = if first == last { format!("on {first}") } else { format!("{first} to {last}") };
    let entries = rows.iter().filter_map(|row| match &row.told {
        Told::Entry(entry) => Some(entry),
        _ => None,
    });
    let is_turned = |turn: &&crate::history::Turn| turn.before.is_some() && turn.after.is_some();
    let turned = entries.map(|entry| entry.turns.iter().filter(is_turned).count()).sum();
    let turned = count(turned, "verdict");
    format!("{design}: {} of {passed} shown, {span}; {turned} turned", rows.len())
}

/// Where knowledge ends.
fn remarks(ledger: &Ledger) -> Vec<String> {
    let end = "the clone does not reach back to the beginning: what came before the first row is not \
               known here; `git fetch --unshallow` brings it";
    if ledger.is_cut_off { vec![end.to_owned()] } else { Vec::new() }
}
