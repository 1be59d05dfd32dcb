//! Figures that nothing was promised of, evaluated when someone asks how they come about.

use super::computed::Computer;
use super::formula::Recipe;
use super::heat::Extreme;
use super::whole::{Context, Whole};
use super::{Aim, Budget, Computed, StandIns, Steady, Subject, Uncomputed, budget};
use crate::design::{Design, PartIx};
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

/// The recipe of a formula, or of a drawn or set value, at the end where it is `extreme`; `None` where
/// it has none.
#[must_use]
pub fn recipe_of(
    design: &Design,
    stand_ins: &StandIns,
    steady: Option<&Steady>,
    formula: (PartIx, &Id),
    extreme: Option<Extreme>,
) -> Option<Recipe> {
    Computer::of(&Context::of(design, stand_ins), steady).recipe(formula, extreme)
}
