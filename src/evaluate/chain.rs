//! Tolerance chains: formulas over drawn dimensions, at the limits and statistically.

use super::formula::{Input, Interval, Recipe, Undefined, propagated};
use super::trace::{Traced, rounded};
use crate::record::Decide;

/// A formula in both views of its tolerances.
#[derive(Clone, Debug, PartialEq)]
pub struct Chain {
    /// With every dimension at its limits and every other figure anywhere within its ±.
    pub worst: Worst,
    /// From the middle of every tolerance, with u = half-width/√3.
    pub statistical: Traced,
}

/// What a formula can come to while its inputs lie within their limits, in base units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// It comes to no less.
    pub low: f64,
    /// It comes to no more.
    pub high: f64,
    /// Whether both are known to be reached. They are not where the formula rises with an input here
    /// and falls there: the interval holds all values then, and may hold others.
    pub is_reached: bool,
}

impl Chain {
    /// What the limits of a requirement are compared with under the rule `decide`: the least value
    /// and the greatest, `coverage_factor` being what ± means.
    #[must_use]
    pub fn judged(&self, decide: Decide, coverage_factor: f64) -> [f64; 2] {
        let (value, expanded_u) = (self.statistical.value, coverage_factor * self.statistical.u());
        match decide {
            Decide::WorstCase => [self.worst.low, self.worst.high],
            Decide::Guarded => [value - expanded_u, value + expanded_u],
            Decide::Simple => [value, value],
        }
    }
}

/// The formula in both views.
///
/// # Errors
/// Where it has no value in the middle, or not everywhere within the limits.
pub fn chain(recipe: &Recipe) -> Result<Chain, Undefined> {
    Ok(Chain { worst: worst(recipe)?, statistical: propagated(recipe)? })
}

/// What the formula can come to while its inputs lie within their limits.
///
/// Where intervals show that it only rises, or only falls, with an input, the bounds are its values
/// at the input's limits: exact, however often the input occurs.
///
/// # Errors
/// Where it is not defined everywhere within the limits, as far as intervals can tell.
pub fn worst(recipe: &Recipe) -> Result<Worst, Undefined> {
    let limits = |input: &Input| Interval::between(input.limits[0], input.limits[1]);
    let ways: Vec<Way> = match recipe.differentiated(limits) {
        Ok((_, slopes)) => slopes.into_iter().map(Way::of).collect(),
        // A slope without bound, as that of a root at zero, says nothing of the way.
        Err(_) => vec![Way::Unknown; recipe.inputs().len()],
    };
    let at =
        |end: End| recipe.value(|index| ways[index].towards(end, limits(&recipe.inputs()[index])));
    let (low, high) = (at(End::Low)?, at(End::High)?);
    let is_known =
        |(way, input): (&Way, &Input)| *way != Way::Unknown || input.limits[0] == input.limits[1];
    let is_reached = ways.iter().zip(recipe.inputs()).all(is_known);
    Ok(Worst { low: rounded(low.low), high: rounded(high.high), is_reached })
}

/// Where a formula goes as one input rises.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Way {
    Up,
    Down,
    Unknown,
}

/// An end of the values of a formula.
#[derive(Clone, Copy, PartialEq)]
enum End {
    Low,
    High,
}

impl Way {
    fn of(slope: Interval) -> Self {
        if slope.low >= 0.0 {
            Self::Up
        } else if slope.high <= 0.0 {
            Self::Down
        } else {
            Self::Unknown
        }
    }

    /// The input's values among which the formula has its `end`.
    fn towards(self, end: End, limits: Interval) -> Interval {
        match (self, end) {
            (Self::Up, End::Low) | (Self::Down, End::High) => {
                Interval::between(limits.low, limits.low)
            }
            (Self::Up, End::High) | (Self::Down, End::Low) => {
                Interval::between(limits.high, limits.high)
            }
            (Self::Unknown, _) => limits,
        }
    }
}
