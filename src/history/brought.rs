//! Rows since a release → who brought each decision, and who turned each verdict.

use super::{Decided, Ledger, Row, Told, Turn};

/// What the revisions behind a place on the way brought, those that came first in front.
#[derive(Clone, Debug, Default)]
pub struct Brought<'a> {
    /// Decisions that were written down.
    pub decided: Vec<(&'a Row, &'a Decided)>,
    /// Verdicts that turned, of requirements that were there before and after.
    pub turned: Vec<(&'a Row, &'a Turn)>,
}

/// What came behind `place`, or from the beginning on.
#[must_use]
pub fn brought(ledger: &Ledger, place: Option<usize>) -> Brought<'_> {
    let mut brought = Brought::default();
    for row in ledger.rows.iter().filter(|row| place.is_none_or(|place| row.place > place)) {
        let Told::Entry(entry) = &row.told else { continue };
        let both = entry.turns.iter().filter(|turn| turn.before.is_some() && turn.after.is_some());
        brought.turned.extend(both.map(|turn| (row, turn)));
        brought.decided.extend(entry.decided.iter().map(|decided| (row, decided)));
    }
    brought
}
