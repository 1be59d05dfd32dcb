//! One revision as a row of a sheet: numbers alone, since nobody reads them before they are there.

use super::super::impact::VerdictRow;
use super::super::moves;
use super::super::shown::without_noise;
use super::row::{RevisionRow, revision, turn, unit};
use crate::history::{Entry, Figure, Less, Row, Told};
use crate::record::Id;

/// A revision that touched the design.
#[derive(Clone, Debug)]
pub struct LedgerSheetRow {
    /// Which.
    pub revision: RevisionRow,
    /// Whether the design can be read there.
    pub readable: bool,
    /// Parts that came, went or changed.
    pub parts: Vec<Id>,
    /// Every budget and every computed figure that is judged and there.
    pub figures: Vec<SheetFigure>,
    /// Verdicts that turned.
    pub verdicts: Vec<VerdictRow>,
    /// What is promised less than before.
    pub loosened: Vec<Less>,
    /// Items that were opened.
    pub opened: Vec<Id>,
    /// Items that were closed.
    pub closed: Vec<Id>,
    /// Decisions that were written down.
    pub decided: Vec<Id>,
}

/// A figure as it is.
#[derive(Clone, Debug)]
pub struct SheetFigure {
    /// What it is called: `mass`, `mass of film-gate`, `cost (10 builds)`.
    pub name: String,
    /// The unit of its numbers; empty for plain ones.
    pub unit: String,
    /// The sum of the figures.
    pub basic: f64,
    /// The same with the growth allowance.
    pub predicted: f64,
}

/// The row of the ledger as it stands in a sheet.
#[must_use]
pub fn ledger_sheet_row(row: &Row) -> LedgerSheetRow {
    let empty = Entry::default();
    let (entry, readable) = match &row.told {
        Told::Entry(entry) => (&**entry, true),
        Told::Unreadable { .. } | Told::Gone => (&empty, false),
    };
    LedgerSheetRow {
        revision: revision(&row.revision),
        readable,
        parts: entry.parts.iter().map(|part| part.part.clone()).collect(),
        figures: entry.figures.iter().filter_map(figure).collect(),
        verdicts: entry.turns.iter().map(turn).collect(),
        loosened: entry.loosened.clone(),
        opened: entry.opened.iter().map(|item| item.id.clone()).collect(),
        closed: entry.closed.iter().map(|item| item.id.clone()).collect(),
        decided: entry.decided.iter().map(|decision| decision.id.clone()).collect(),
    }
}

fn figure(figure: &Figure) -> Option<SheetFigure> {
    let value = figure.after.as_ref()?;
    let unit = unit(&figure.unit);
    Some(SheetFigure {
        name: moves::name(&figure.part, figure.is_top, &figure.quantity, figure.builds),
        unit: unit.symbol().to_owned(),
        basic: without_noise(unit.from_base(value.basic)),
        predicted: without_noise(unit.from_base(value.predicted)),
    })
}
