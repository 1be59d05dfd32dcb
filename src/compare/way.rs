//! The way of one budget from the one state to the other, and the states in between.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::prelude::ToPrimitive;

use super::sides::{Mover, Sides};
use super::terms::{self, Aspect, Term};
use crate::design::{Design, Source};
use crate::evaluate::{Budget, Multiplicities, Subject, multiplicities};
use crate::record::{Id, RollUp};

/// One budget of both states.
pub(super) struct Way<'a> {
    sides: &'a Sides<'a>,
    roll_up: RollUp,
    source: Source,
    before: End<'a>,
    after: End<'a>,
}

/// A budget in one of the states.
struct End<'a> {
    design: &'a Design,
    value: f64,
    terms: BTreeMap<Id, Term>,
    missing: BTreeSet<&'a Id>,
    held: Multiplicities,
}

/// A state between the two.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    /// In base units.
    pub(super) value: f64,
    /// Whether figures are missing.
    pub(super) is_incomplete: bool,
    /// Whether there is none.
    pub(super) is_empty: bool,
}

impl<'a> Way<'a> {
    /// The way between the budgets of two subjects that mean the same.
    pub(super) fn of(
        sides: &'a Sides<'a>,
        (from, to): (&Subject, &Subject),
        aspect: Aspect,
    ) -> Option<Self> {
        let budget = sides.before.assessed.figures.budgets.get(from)?;
        let before = End::of(sides.before.design, from, budget, aspect);
        let budget = sides.after.assessed.figures.budgets.get(to)?;
        let after = End::of(sides.after.design, to, budget, aspect);
        let (roll_up, source) = terms::kind(sides.after.design, &to.quantity);
        Some(Self { sides, roll_up, source, before, after })
    }

    /// The state before, with those figures that one of `movers` made another: parts that came or
    /// went, and other amounts, not yet counted in.
    pub(super) fn step(&self, movers: &[Mover]) -> Step {
        let (before, after) = (&self.before, &self.after);
        let parts: BTreeSet<&Id> = before.terms.keys().chain(after.terms.keys()).collect();
        let values: Vec<f64> =
            parts.into_iter().filter_map(|part| self.value(part, movers)).collect();
        let is_empty = values.is_empty();
        let mut is_incomplete = false;
        for part in before.missing.union(&after.missing) {
            let end = if self.is_moved(part, movers) { after } else { before };
            is_incomplete |= before.amount(part).is_some() && end.missing.contains(*part);
        }
        let stood = before.terms.values().map(|term| term.value);
        let moved = terms::total(self.roll_up, values.into_iter());
        let value = before.value + (moved - terms::total(self.roll_up, stood));
        Step { value, is_incomplete, is_empty }
    }

    /// What the part adds to a step.
    fn value(&self, part: &Id, movers: &[Mover]) -> Option<f64> {
        let amount = self.before.amount(part)?;
        if !self.is_moved(part, movers) {
            return self.before.terms.get(part).map(|term| term.value);
        }
        let term = self.after.terms.get(part)?;
        Some(terms::at_multiplicity(self.roll_up, *term, amount))
    }

    fn is_moved(&self, part: &Id, movers: &[Mover]) -> bool {
        self.after.amount(part).is_some() && movers.contains(&self.sides.mover(part, self.source))
    }

    /// How the quantity rolls up.
    pub(super) fn roll_up(&self) -> RollUp {
        self.roll_up
    }

    /// Each part's share of the whole way.
    pub(super) fn shares(&self) -> Vec<(Id, f64)> {
        terms::shares(self.roll_up, &self.before.terms, &self.after.terms)
    }
}

impl<'a> End<'a> {
    fn of(design: &'a Design, subject: &Subject, budget: &'a Budget, aspect: Aspect) -> Self {
        let options = if aspect.with_options { budget.missing_options.as_slice() } else { &[] };
        let missing = budget.missing.iter().chain(options);
        Self {
            design,
            value: aspect.of(budget),
            terms: terms::terms(design, budget, aspect),
            missing: missing.map(|(part, _)| design.id(*part)).collect(),
            held: multiplicities(design, subject.part, aspect.with_options),
        }
    }

    /// How many of the part there are; nothing where there is none.
    fn amount(&self, part: &Id) -> Option<f64> {
        let part = self.design.part(part.as_str())?;
        let amount = self.held.of(part).and_then(|amount| amount.to_f64()).unwrap_or(f64::NAN);
        (amount != 0.0).then_some(amount)
    }
}
