//! Propagation of distributions by sampling (JCGM 101:2008): what first order cannot show.
//!
//! Reproducible from its seed on every platform: the generator is PCG (version pinned), and samples
//! follow from its bits by exact operations and `libm` alone. A sampler of a library would be quicker,
//! but takes its logarithms from whatever the platform has.

use std::f64::consts::TAU;

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};

use super::formula::{Input, Recipe};
use super::trace::rounded;
use crate::quantity::Distribution;

/// The most trials of one run.
pub const MOST_TRIALS: usize = 10_000_000;

/// What the trials came to, in base units.
#[derive(Clone, Debug, PartialEq)]
pub struct Trials {
    /// Trials in which the formula had a value; what follows is of these.
    pub defined: usize,
    /// Trials in which it had none.
    pub undefined: usize,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub u: f64,
    /// The interval that holds 95 % of the values, as many lying below as above it
    /// (JCGM 101:2008, 7.7).
    pub coverage: [f64; 2],
}

/// Samples every input `count` times, independently, and evaluates the formula: with a normal
/// distribution of its standard uncertainty, or uniformly between its limits. More than
/// [`MOST_TRIALS`] are cut to that number.
///
/// `None` where the formula had a value in fewer than two trials.
#[must_use]
pub fn trials(recipe: &Recipe, count: usize, seed: u64) -> Option<Trials> {
    let mut generator = Pcg64Mcg::seed_from_u64(seed);
    let mut values: Vec<f64> = Vec::new();
    let count = count.min(MOST_TRIALS);
    for _ in 0..count {
        let inputs = recipe.inputs().iter();
        let sampled: Vec<f64> = inputs.map(|input| sample(input, &mut generator)).collect();
        values.extend(recipe.value(|input| sampled[input]));
    }
    (values.len() >= 2).then(|| summed_up(values, count))
}

fn summed_up(mut values: Vec<f64>, count: usize) -> Trials {
    values.sort_by(f64::total_cmp);
    let number = values.len() as f64;
    let mean = values.iter().map(|value| value / number).sum::<f64>();
    let variance = values.iter().map(|value| (value - mean) * (value - mean) / (number - 1.0));
    // A 95 % interval leaves 2.5 % of the values below it, and as many above.
    let below = values.len() / 40;
    Trials {
        defined: values.len(),
        undefined: count - values.len(),
        mean: rounded(mean),
        u: rounded(variance.sum::<f64>().sqrt()),
        coverage: [values[below], values[values.len() - 1 - below]].map(rounded),
    }
}

fn sample(input: &Input, generator: &mut Pcg64Mcg) -> f64 {
    match input.distribution {
        Distribution::Normal => input.value + input.u * standard_normal(generator),
        Distribution::Uniform => {
            let [low, high] = input.limits;
            low + (high - low) * (1.0 - above_zero(generator))
        }
    }
}

/// Uniform in (0, 1], from the upper 53 bits.
fn above_zero(generator: &mut Pcg64Mcg) -> f64 {
    const STEP: f64 = 1.0 / (1_u64 << 53) as f64;
    ((generator.next_u64() >> 11) + 1) as f64 * STEP
}

/// The method of Box and Muller (1958).
fn standard_normal(generator: &mut Pcg64Mcg) -> f64 {
    let radius = libm::sqrt(-2.0 * libm::log(above_zero(generator)));
    radius * libm::cos(TAU * above_zero(generator))
}
