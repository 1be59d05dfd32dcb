//! A figure by random trials, beside its value to first order.

use serde::Serialize;

use super::super::shown::Shown;
use super::Scope;
use crate::evaluate::monte_carlo::Trials;
use crate::evaluate::{Aim, Budget, Draws, End, trials_of, trials_of_budget};
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
    /// Trials in which the figure had a value.
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

impl Scope<'_> {
    /// A computed figure by random trials, where they were asked for.
    pub(super) fn tried(&self, aim: &Aim, end: &End, unit: &Unit) -> Tried {
        let made = |draws| {
            let design = &*self.assessed.design;
            let stand_ins = evidence::stand_ins(design, &self.assessed.standings);
            let steady = self.assessed.figures.steady.as_ref();
            trials_of(design, &stand_ins, steady, (aim, end), draws)
        };
        self.beside((end.value.value, end.value.u()), unit, made)
    }

    /// The predicted value of a budget by random trials, where they were asked for.
    pub(super) fn tried_budget(&self, quantity: &Id, budget: &Budget, unit: &Unit) -> Tried {
        let made = |draws| trials_of_budget(&self.assessed.design, quantity, budget, draws);
        self.beside((budget.total.predicted, budget.total.u), unit, made)
    }

    fn beside(
        &self,
        first_order: (f64, f64),
        unit: &Unit,
        made: impl FnOnce(Draws) -> Option<Trials>,
    ) -> Tried {
        let Some(count) = self.trials else { return Tried::default() };
        match made(Draws { count, seed: SEED }) {
            Some(found) => Tried { row: Some(row(&found, first_order, unit)), remark: None },
            None => {
                let remark = "no random trials: fewer than two of them had a value".to_owned();
                Tried { row: None, remark: Some(remark) }
            }
        }
    }
}

/// What random trials came to, or why they came to nothing.
#[derive(Default)]
pub(super) struct Tried {
    pub(super) row: Option<TrialsRow>,
    pub(super) remark: Option<String>,
}

fn row(found: &Trials, (value, u): (f64, f64), unit: &Unit) -> TrialsRow {
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
    TrialsRow {
        defined: found.defined,
        undefined: found.undefined,
        seed: SEED,
        mean: [found.mean, value].map(bare),
        u: [found.u, u].map(plain),
        interval: found.coverage.map(bare),
        first_order_interval: [value - half, value + half].map(bare),
        differs: differs(found, value, u),
    }
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
