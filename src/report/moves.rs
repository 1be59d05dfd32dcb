//! How budgets moved.

use serde::Serialize;

use super::shown::{Shown, known_to};
use crate::compare::{BudgetChange, Impact};
use crate::evaluate::{Subject, Total, coverage_factor};
use crate::quantity::Unit;
use crate::record::Id;
use crate::verdict::Assessed;

/// The two states that a change lies between.
#[derive(Clone, Copy, Debug)]
pub struct Between<'a> {
    /// The state that it is compared with; `None` where there is none that can be read.
    pub before: Option<&'a Assessed>,
    /// The changed state.
    pub after: &'a Assessed,
}

impl<'a> Between<'a> {
    /// The same of a variant of both; of the design itself where none is meant.
    #[must_use]
    pub fn of_variant(self, variant: Option<&Id>) -> Between<'a> {
        let after = variant.and_then(|id| self.after.variant(id.as_str()));
        let (Some(id), Some(after)) = (variant, after) else { return self };
        Between { before: self.before.and_then(|before| before.variant(id.as_str())), after }
    }
}

/// A budget before and after.
#[derive(Clone, Debug, Serialize)]
pub struct Move {
    /// What it is called: `mass`, `mass of film-gate`, `cost (10 builds)`.
    pub name: String,
    /// The part.
    pub part: Id,
    /// Whether the part is the whole product.
    pub is_top: bool,
    /// The quantity.
    pub quantity: Id,
    /// Number of builds in the order that a cost is meant of.
    pub builds: u64,
    /// Predicted before; `None` where it was not there.
    pub before: Option<Shown>,
    /// Predicted after; `None` where it is gone.
    pub after: Option<Shown>,
    /// After less before, with its sign, where both are there and it is not shown as 0.
    pub difference: Option<Shown>,
    /// The parts' shares of the difference, largest first.
    pub shares: Vec<ShareRow>,
}

/// A part's share of a difference.
#[derive(Clone, Debug, Serialize)]
pub struct ShareRow {
    /// The part.
    pub part: Id,
    /// With its sign.
    pub value: Shown,
}

/// The budgets that moved, those of the whole product first.
pub(super) fn moves(impact: &Impact, between: Between<'_>) -> Vec<Move> {
    let mut moves: Vec<Move> = impact
        .budgets
        .iter()
        .filter(|change| has_moved(change))
        .map(|change| row(change, between))
        .filter(is_seen)
        .collect();
    moves.sort_by_key(|row| !row.is_top);
    moves
}

/// The moves that are named where there is room for few, with their differences: those of the whole product, or all
/// where none of it moved.
pub(super) fn told(moves: &[Move]) -> Vec<(&Move, &Shown)> {
    let differing = moves.iter().filter_map(|row| Some((row, row.difference.as_ref()?)));
    let mut told: Vec<_> = differing.filter(|(_, by)| by.base != 0.0).collect();
    if told.iter().any(|(row, _)| row.is_top) {
        told.retain(|(row, _)| row.is_top);
    }
    told
}

/// Whether a reader sees a difference: what lies beyond the last digit is none.
fn is_seen(row: &Move) -> bool {
    let text = |shown: &Option<Shown>| shown.as_ref().map(|shown| shown.text.clone());
    text(&row.before) != text(&row.after)
}

/// Whether a difference is not shown as 0.
fn is_any(by: &Shown, unit: &Unit) -> bool {
    by.text.trim_start_matches(['+', '-']) != Shown::difference(0.0, unit).text
}

/// The shares of a difference between values that are known to `expanded_u`.
pub(super) fn shares(shares: &[(Id, f64)], expanded_u: f64, unit: &Unit) -> Vec<ShareRow> {
    let row = |(part, share): &(Id, f64)| ShareRow {
        part: part.clone(),
        value: Shown::signed(*share, expanded_u, unit),
    };
    shares.iter().map(row).filter(|row| is_any(&row.value, unit)).collect()
}

/// What a budget is called on a screen that is about one design.
pub(super) fn name(part: &Id, is_top: bool, quantity: &Id, builds: u64) -> String {
    let mut name = quantity.as_str().to_owned();
    if !is_top {
        name += " of ";
        name += part.as_str();
    }
    if builds > 1 {
        name += &format!(" ({builds} builds)");
    }
    name
}

fn has_moved(change: &BudgetChange) -> bool {
    match (change.before, change.after) {
        (Some(before), Some(after)) => before != after,
        (before, after) => before.is_some() != after.is_some(),
    }
}

fn row(change: &BudgetChange, between: Between<'_>) -> Move {
    let after = &*between.after.design;
    let shown = |total: &Total, assessed: &Assessed| {
        Shown::predicted(total, coverage_factor(&assessed.design), &change.unit)
            .and_more(is_open(change, assessed))
    };
    let before = between.before.and_then(|before| Some(shown(change.before.as_ref()?, before)));
    let is_top = change.part == *after.id(after.top);
    let expanded_u = change.after.map_or(0.0, |total| coverage_factor(after) * total.u);
    let values = [change.before, change.after];
    let values = values.map(|total| total.map_or(0.0, |total| total.predicted));
    let expanded_u = known_to(values, expanded_u, &change.unit);
    Move {
        name: name(&change.part, is_top, &change.quantity, change.builds),
        part: change.part.clone(),
        is_top,
        quantity: change.quantity.clone(),
        builds: change.builds,
        before,
        after: change.after.as_ref().map(|total| shown(total, between.after)),
        difference: difference(change, expanded_u).filter(|by| is_any(by, &change.unit)),
        shares: shares(&change.shares, expanded_u, &change.unit),
    }
}

/// Whether the budget lacks figures in `assessed`.
fn is_open(change: &BudgetChange, assessed: &Assessed) -> bool {
    let part = assessed.design.part(change.part.as_str());
    let budget = part.and_then(|part| {
        let (quantity, builds) = (change.quantity.clone(), change.builds);
        assessed.figures.budgets.get(&Subject { part, quantity, builds })
    });
    budget.is_some_and(|budget| !budget.missing.is_empty())
}

/// The difference of the predicted values; of money from the exact amounts.
fn difference(change: &BudgetChange, expanded_u: f64) -> Option<Shown> {
    let (before, after) = (change.before?, change.after?);
    let plain = Shown::signed(after.predicted - before.predicted, expanded_u, &change.unit);
    let exact = after.money.zip(before.money).and_then(|(a, b)| a.1.checked_sub(b.1));
    Some(Shown { exact: exact.map(|amount| amount.normalize().to_string()), ..plain })
}

#[cfg(test)]
mod tests {
    use super::super::samples::{LANTERN, assessed};
    use super::{Between, moves};
    use crate::compare;

    /// The rows of Lantern with another mass of its base, with their shares.
    fn moved(mass: &str) -> Vec<String> {
        let before = assessed(LANTERN);
        let after = assessed(&LANTERN.replace("520 g ± 6 g calculated", mass));
        let between = Between { before: Some(&before), after: &after };
        let rows = moves(&compare::impact(Some(&before), &after), between).into_iter();
        let told = rows.map(|row| {
            let by = row.difference.map_or_else(|| "as before".into(), |by| by.text);
            let shares = row.shares.into_iter().map(|share| format!(" {}", share.part));
            format!("{} {by}{}", row.name, shares.collect::<String>())
        });
        told.collect()
    }

    #[test]
    fn a_difference_beyond_the_last_digit_is_no_row() {
        assert_eq!(moved("520.001 g ± 6 g calculated"), [""; 0]);
        assert_eq!(moved("523 g ± 6 g calculated"), ["mass +3 g base", "mass of base +3 g base"]);
    }

    #[test]
    fn another_uncertainty_is_a_row_without_a_difference() {
        assert_eq!(moved("520 g ± 9 g calculated"), ["mass as before", "mass of base as before"]);
    }
}
