//! Figures that nothing was promised of, evaluated when someone asks how they come about.

use super::computed::Computer;
use super::monte_carlo::{self, Trials};
use super::whole::{Context, Whole};
use super::{Aim, Budget, Computed, End, StandIns, Steady, Subject, Uncomputed, budget, formula};
use crate::design::Design;
use crate::record::Id;

/// The budget of one subject; `None` for a quantity that is not known of the part.
#[must_use]
pub fn budget_of(design: &Design, stand_ins: &StandIns, subject: &Subject) -> Option<Budget> {
    budget::of(&Context::of(design, stand_ins), &Whole::of(design, subject.part), subject)
}

/// One computed figure of a design in its steady state.
///
/// # Errors
/// Why it is not known.
pub fn computed_of(
    design: &Design,
    stand_ins: &StandIns,
    steady: Option<&Steady>,
    aim: &Aim,
) -> Result<Computed, Uncomputed> {
    Computer::of(&Context::of(design, stand_ins), steady).figure(aim)
}

/// How random trials are made: how many, and what the generator begins with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Draws {
    /// So many trials.
    pub count: usize,
    /// The same trials follow from the same seed.
    pub seed: u64,
}

/// One end of a computed figure by random trials; `None` where fewer than two gave a value.
#[must_use]
pub fn trials_of(
    design: &Design,
    stand_ins: &StandIns,
    steady: Option<&Steady>,
    (aim, end): (&Aim, &End),
    draws: Draws,
) -> Option<Trials> {
    let context = Context::of(design, stand_ins);
    Computer::of(&context, steady).trials(aim, end, draws.count, draws.seed)
}

/// The predicted value of a budget by random trials.
#[must_use]
pub fn trials_of_budget(
    design: &Design,
    quantity: &Id,
    budget: &Budget,
    draws: Draws,
) -> Option<Trials> {
    let recipe = formula::recipe_of_budget(design, quantity, budget);
    monte_carlo::trials(&recipe, draws.count, draws.seed)
}
