//! A formula by random trials, beside its value to first order.

use serde::Serialize;

use super::super::shown::Shown;
use super::Scope;
use crate::design::PartIx;
use crate::evaluate::monte_carlo::{self, Trials};
use crate::evaluate::{End, recipe_of};
use crate::evidence;
use crate::quantity::Unit;
use crate::record::Id;

/// What the generator begins with: the same trials on every run and every machine.
const SEED: u64 = 1;

/// Differences of so many standard errors are no chance of the draw: it has 0.3 % for one of them.
const TELLING: f64 = 3.0;

/// Half the width of a normal distribution's 95 % interval, in standard deviations.
const HALF_OF_95_PERCENT: f64 = 1.959_964;

/// The standard error of an end of that interval, in standard deviations times √trials:
/// √(0.025 · 0.975) / φ(1.96).
const ERROR_OF_END: f64 = 2.671;

/// What random trials came to, beside first order.
#[derive(Clone, Debug, Serialize)]
pub struct TrialsRow {
    /// Trials in which the formula had a value.
    pub defined: usize,
    /// Trials in which it had none.
    pub undefined: usize,
    /// What the generator began with.
    pub seed: u64,
    /// By trials, then to first order.
    pub mean: [Shown; 2],
    /// Standard uncertainty; by trials, then to first order.
    pub u: [Shown; 2],
    /// The ends of the interval that holds 95 %, by trials.
    pub interval: [Shown; 2],
    /// The same to first order, of a normal distribution.
    pub first_order_interval: [Shown; 2],
    /// In what both differ by more than sampling does: `mean`, `u`, `interval`.
    pub differs: Vec<&'static str>,
}

pub(super) fn row(
    scope: &Scope<'_>,
    formula: (PartIx, &Id),
    end: &End,
    unit: &Unit,
    count: usize,
) -> Option<TrialsRow> {
    let design = &*scope.assessed.design;
    let stand_ins = evidence::stand_ins(design, &scope.assessed.standings);
    let steady = scope.assessed.figures.steady.as_ref();
    let recipe = recipe_of(design, &stand_ins, steady, formula, end.extreme)?;
    let found = monte_carlo::trials(&recipe, count, SEED)?;
    let (value, u) = (end.value.value, end.value.u());
    let measure = |base| Shown::uncertain(base, u / 10.0, unit);
    let plain = |base: f64| Shown {
        text: Shown::difference_to(base, u, unit).text,
        ..Shown::difference(base, unit)
    };
    let half = HALF_OF_95_PERCENT * u;
    let bare = |base: f64| Shown {
        text: without_spread(&measure(base).text, unit),
        ..Shown::measure(base, unit)
    };
    Some(TrialsRow {
        defined: found.defined,
        undefined: found.undefined,
        seed: SEED,
        mean: [found.mean, value].map(bare),
        u: [found.u, u].map(plain),
        interval: found.coverage.map(bare),
        first_order_interval: [value - half, value + half].map(bare),
        differs: differs(&found, value, u),
    })
}

/// A value rounded as its spread asks, without it.
fn without_spread(text: &str, unit: &Unit) -> String {
    match text.split_once(" ± ") {
        Some((value, _)) if value.ends_with(unit.symbol()) => value.to_owned(),
        Some((value, _)) => format!("{value} {}", unit.symbol()),
        None => text.to_owned(),
    }
}

/// Standard errors: of the mean u/√n, of u itself u/√(2n) (both of a normal distribution).
fn differs(found: &Trials, value: f64, u: f64) -> Vec<&'static str> {
    let root = libm::sqrt(found.defined as f64);
    let spread = u.max(found.u);
    let is_beyond = |one: f64, other: f64, error: f64| {
        let rounding = 1e-9 * one.abs().max(other.abs());
        (one - other).abs() > TELLING * spread * error / root + rounding
    };
    let half = HALF_OF_95_PERCENT * u;
    let [low, high] = found.coverage;
    let ends =
        is_beyond(low, value - half, ERROR_OF_END) || is_beyond(high, value + half, ERROR_OF_END);
    let told = [
        ("mean", is_beyond(found.mean, value, 1.0)),
        ("u", is_beyond(found.u, u, std::f64::consts::FRAC_1_SQRT_2)),
        ("interval", ends),
    ];
    told.into_iter().filter(|(_, is_beyond)| *is_beyond).map(|(what, _)| what).collect()
}
