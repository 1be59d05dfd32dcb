//! Formulas: their values, exact derivatives, and what every input adds to the uncertainty.
//!
//! A formula is first brought into a [`Recipe`]: its distinct figures, and the steps that lead from
//! them to the value, formulas that it needs and roll-ups among them. One recipe serves all three
//! views: first order here, by sampling in [`super::monte_carlo`], at the limits in
//! [`super::chain`]. Units were checked when the design was linked; all values are in base units,
//! temperatures in kelvin.

mod compile;
mod dual;
mod interval;
mod recipe;
mod scalar;
#[cfg(test)]
mod tests;
mod walk;

use std::ops::Range;

use super::known::coverage_factor;
use super::trace::{Slope, Source, Traced, rounded};
use super::{Missing, distribution};
use crate::design::{Design, PartIx};
use crate::quantity::Distribution;
use crate::record::Id;

pub use compile::recipe;
pub(super) use compile::{recipe_in, recipe_of_budget};
pub(super) use interval::Interval;
pub use recipe::{Operand, Recipe, Step};

/// A figure as a formula takes it.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// Which figure it is: what occurs twice is one input.
    pub source: Source,
    /// The value, of a drawn dimension the middle between its limits; in base units.
    pub value: f64,
    /// Standard uncertainty, of a drawn dimension half its tolerance over √3, or over the number of
    /// standard deviations that its record says; in base units.
    pub u: f64,
    /// The limits of a drawn dimension; of another figure, its value with its whole ±.
    pub limits: [f64; 2],
    /// How it is sampled: within its limits, or with its standard uncertainty.
    pub distribution: Distribution,
}

impl Input {
    /// A figure of the records, with the distribution that they give it.
    pub(super) fn of(design: &Design, source: Source, value: f64, u: f64) -> Self {
        match distribution::of(design, &source) {
            Distribution::Normal => Self::measured(source, value, u, coverage_factor(design)),
            Distribution::Uniform => {
                let half_width = u * 3.0_f64.sqrt();
                Self::between(source, [value - half_width, value + half_width])
            }
        }
    }

    /// A figure with the standard uncertainty `u`, of which its ± is the `coverage_factor`-fold.
    #[must_use]
    pub fn measured(source: Source, value: f64, u: f64, coverage_factor: f64) -> Self {
        let half = coverage_factor * u;
        let distribution = Distribution::Normal;
        Self { source, value, u, limits: [value - half, value + half], distribution }
    }

    /// A drawn dimension that is made about the middle of its limits, which lie `sigmas` standard
    /// deviations from it.
    #[must_use]
    pub fn kept(source: Source, limits: [f64; 2], sigmas: f64) -> Self {
        let [low, high] = limits;
        let u = (high - low).abs() / 2.0 / sigmas;
        Self { u, distribution: Distribution::Normal, ..Self::between(source, limits) }
    }

    /// A figure that lies between two limits, all values between them being as likely: from their
    /// middle, u = half-width/√3 (JCGM 100:2008, 4.3.7).
    #[must_use]
    pub fn between(source: Source, limits: [f64; 2]) -> Self {
        let [low, high] = limits;
        let u = (high - low).abs() / 2.0 / 3.0_f64.sqrt();
        Self {
            source,
            value: f64::midpoint(low, high),
            u,
            limits,
            distribution: Distribution::Uniform,
        }
    }
}

/// Why a formula has no value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// A division by zero, a negative power of zero, or the tangent of a right angle.
    DivisionByZero,
    /// The square root of a negative number.
    RootOfNegative,
    /// The logarithm of zero or of a negative number.
    LogarithmOfNonPositive,
    /// A broken power of a negative number.
    PowerOfNegative,
    /// It has a value, but no bounded slope there: the root of a zero that is not exact.
    Steep,
    /// Beyond what the arithmetic holds.
    TooLarge,
    /// A name that nothing was said of.
    UnknownName,
}

impl Why {
    /// The reason in words, without a full stop.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::DivisionByZero => "a division by zero",
            Self::RootOfNegative => "the square root of a negative number",
            Self::LogarithmOfNonPositive => "the logarithm of a number that is not above zero",
            Self::PowerOfNegative => "a broken power of a negative number",
            Self::Steep => "no bounded slope at this value, so no uncertainty can be said",
            Self::TooLarge => "a number beyond what the arithmetic holds",
            Self::UnknownName => "a name that nothing is said of",
        }
    }
}

/// A formula without a value, and the part of it that has none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Undefined {
    /// The formula, where it stands in a record: perhaps one that the asked one needs.
    pub formula: Option<(PartIx, Id)>,
    /// What is wrong.
    pub why: Why,
    /// The bytes of the formula's text that are meant.
    pub span: Range<usize>,
}

/// Why a formula of a design cannot be brought into a recipe.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unresolved {
    /// The part has no formula of this name, or one that cannot be read.
    NoFormula(PartIx, Id),
    /// A name of the formula means nothing here.
    UnknownName {
        /// The formula.
        formula: (PartIx, Id),
        /// The name as it is written.
        name: Box<str>,
    },
    /// A quantity that the formula needs is not known.
    Missing {
        /// The part that it is a quantity of.
        part: PartIx,
        /// The quantity.
        quantity: Id,
        /// The parts that lack a figure, where it is rolled up.
        parts: Vec<(PartIx, Missing)>,
    },
    /// Formulas that need each other; this is one of them.
    Cycle(PartIx, Id),
    /// It needs more formulas than are followed.
    TooLarge,
}

/// The value to first order, with its slope to every figure.
///
/// # Errors
/// Where the formula has no value, no bounded slope, or an uncertainty that no float holds.
pub fn propagated(recipe: &Recipe) -> Result<Traced, Undefined> {
    let (value, slopes) = recipe.differentiated(|input| input.value)?;
    let slope = |(input, by): (&Input, f64)| {
        (input.source.clone(), Slope { by, figure: input.value, u: input.u })
    };
    let slopes = recipe.inputs().iter().zip(slopes).map(slope).collect();
    let traced = Traced { value: rounded(value), slopes };
    if traced.u().is_finite() { Ok(traced) } else { Err(recipe.undefined(Why::TooLarge)) }
}
