//! The ledger: revisions that touched the design and what each of them moved, or one figure through
//! all of them.

mod followed;
mod look_back;
mod row;
mod sheet;

use serde::Serialize;

use super::shown::count;
use crate::history::{Row, Told, Turn};
use crate::record::{Date, Id};

pub use followed::{FollowedReport, MomentRow, WITH_OPTIONS, followed};
pub use look_back::{LapseRow, LookBackReport, OriginRow, look_back, origin};
pub use row::{
    BudgetMove, ChangedPartRow, DecidedRow, LedgerRow, RevisionRow, TitledRow, ledger_row,
};
pub(super) use row::{revision, turn};
pub use sheet::{LedgerSheetRow, SheetFigure, ledger_sheet_row};

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

/// What is said of rows that are told one by one.
#[derive(Clone, Debug, Default)]
pub struct LedgerSpan {
    /// The design, as it was called last.
    design: Option<Id>,
    /// Revisions that touched the design.
    touched: usize,
    /// Those of them that are told.
    rows: usize,
    /// The days of the first and the last row.
    days: Option<(Date, Date)>,
    /// Verdicts that turned.
    turned: usize,
}

impl LedgerSpan {
    /// One row more, which is among those that are told if it `is_told`.
    pub fn pass(&mut self, row: &Row, is_told: bool) {
        let entry = match &row.told {
            Told::Entry(entry) => Some(entry),
            Told::Unreadable { .. } | Told::Gone => None,
        };
        if let Some(name) = entry.map(|entry| entry.design.as_str())
            && self.design.as_ref().is_none_or(|design| design.as_str() != name)
        {
            self.design = Some(Id::new(name));
        }
        self.touched += 1;
        if is_told {
            let is_turned = |turn: &&Turn| turn.before.is_some() && turn.after.is_some();
            let turns = entry.iter().flat_map(|entry| &entry.turns);
            self.turned += turns.filter(is_turned).count();
            let (first, _) = self.days.unwrap_or((row.revision.date, row.revision.date));
            self.days = Some((first, row.revision.date));
            self.rows += 1;
        }
    }

    /// The ledger of these `rows`, after so many revisions `passed`.
    #[must_use]
    pub fn report(self, passed: usize, is_cut_off: bool, rows: Vec<LedgerRow>) -> LedgerReport {
        let design = self.design.clone().unwrap_or_else(|| Id::from("the design"));
        LedgerReport {
            headline: self.headline(&design, passed),
            design,
            rows,
            remarks: remarks(is_cut_off),
        }
    }

    /// `lantern: 41 of 48 revisions touched the design, 2026-02-01 to 2026-10-30; 9 verdicts turned`.
    fn headline(&self, design: &Id, passed: usize) -> String {
        let passed = count(passed, "revision");
        let Some((first, last)) = self.days else {
            return match self.touched {
                0 => format!("{design}: none of {passed} touched the design"),
                touched => {
                    let touched = count(touched, "revision");
                    format!("{design}: of {touched} that touched the design none is asked for")
                }
            };
        };
        let span = if first == last { format!("on {first}") } else { format!("{first} to {last}") };
        let turned = count(self.turned, "verdict");
        format!("{design}: {} of {passed} shown, {span}; {turned} turned", self.rows)
    }
}

/// Where knowledge ends.
fn remarks(is_cut_off: bool) -> Vec<String> {
    let end = "the clone does not reach back to the beginning: what came before the first row is not \
               known here; `git fetch --unshallow` brings it";
    if is_cut_off { vec![end.to_owned()] } else { Vec::new() }
}
