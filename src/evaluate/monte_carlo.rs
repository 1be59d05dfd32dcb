//! Propagation of distributions by sampling (JCGM 101:2008): what first order cannot show. Every
//! figure that first order has goes this one way: its inputs are drawn, and it is computed anew.
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
    sampled(recipe.inputs(), count, seed, |drawn| recipe.value(|input| drawn[input]).ok())
}

/// The same of any other computation of a value from inputs.
pub(super) fn sampled(
    inputs: &[Input],
    count: usize,
    seed: u64,
    value: impl Fn(&[f64]) -> Option<f64>,
) -> Option<Trials> {
    let mut generator = Pcg64Mcg::seed_from_u64(seed);
    let mut values: Vec<f64> = Vec::new();
    let count = count.min(MOST_TRIALS);
    for _ in 0..count {
        let drawn = inputs.iter().map(|input| sample(input, &mut generator));
        values.extend(value(&drawn.collect::<Vec<f64>>()).filter(|value| value.is_finite()));
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::formula::propagated;
    use super::super::trace::Source;
    use super::*;
    use crate::quantity::expression::parse;
    use crate::record::Id;

    fn recipe(text: &str, inputs: &[Input]) -> Recipe {
        let named = inputs.iter().zip(["a", "b", "c", "d"]);
        let figures = named.map(|(input, name)| (name.into(), input.clone())).collect();
        Recipe::of(parse(text).expect("a formula"), figures)
    }

    fn normal(name: &str, value: f64, u: f64) -> Input {
        Input::measured(Source::Given(Id::from(name)), value, u, 2.0)
    }

    /// JCGM 101:2008, 9.2 (from memory): the sum of four quantities of mean 0 and standard deviation
    /// 1 has u = 2.0; its 95 % interval is ± 3.92 where all are normal, ± 3.88 where all are uniform.
    #[test]
    fn the_additive_model() {
        let names = ["a", "b", "c", "d"];
        let half = 3.0_f64.sqrt();
        let uniform =
            names.map(|name| Input::between(Source::Given(Id::from(name)), [-half, half]));
        for (inputs, expected) in
            [(names.map(|name| normal(name, 0.0, 1.0)), 3.92), (uniform, 3.88)]
        {
            let sum = trials(&recipe("a + b + c + d", &inputs), 40_000, 1).expect("trials");
            assert!(sum.mean.abs() < 0.05 && (sum.u - 2.0).abs() < 0.03, "{sum:?}");
            assert!((sum.coverage[1] - expected).abs() < 0.06, "{sum:?}");
            assert!((sum.coverage[0] + expected).abs() < 0.06, "{sum:?}");
        }
    }

    /// The square of a standard normal: mean 1, variance 2. First order sees a slope of 0.
    #[test]
    fn a_square_around_zero_is_what_first_order_misses() {
        let square = recipe("a^2", &[normal("a", 0.0, 1.0)]);
        let sampled = trials(&square, 40_000, 7).expect("trials");
        assert!((sampled.mean - 1.0).abs() < 0.03 && (sampled.u - 2.0_f64.sqrt()).abs() < 0.06);
        assert_eq!(propagated(&square).expect("a value").u(), 0.0);
    }

    /// The digits are this program's own: they must be the same on every platform.
    #[test]
    fn a_seed_gives_the_same_digits_everywhere() {
        let recipe = recipe("a * exp(b)", &[normal("a", 3.0, 0.2), normal("b", 1.0, 0.1)]);
        let digits = |seed| trials(&recipe, 1_000, seed).map(|found| (found.mean, found.u));
        assert_eq!(digits(42), Some((8.14829409118, 0.965141886402)));
        assert_ne!(digits(42), digits(43));
    }

    #[test]
    fn trials_without_a_value_are_counted() {
        let root = trials(&recipe("sqrt(a)", &[normal("a", 0.0, 1.0)]), 1_000, 3).expect("trials");
        assert_eq!(root.defined + root.undefined, 1_000);
        assert!((400..600).contains(&root.undefined));
        assert_eq!(trials(&recipe("ln(a - a)", &[normal("a", 0.0, 1.0)]), 100, 3), None);
        assert_eq!(trials(&recipe("a", &[normal("a", 0.0, 1.0)]), 1, 3), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        /// Within five standard errors of 4,000 trials.
        #[test]
        fn linear_formulas_agree_with_first_order(
            values in proptest::array::uniform4((-10.0..10.0_f64, 0.01..2.0_f64, any::<bool>())),
            factors in proptest::array::uniform4(-5..5_i32),
            seed: u64,
        ) {
            const TRIALS: usize = 4_000;
            let input = |(index, (value, u, is_uniform)): (usize, (f64, f64, bool))| {
                let source = Source::Given(Id::from(["a", "b", "c", "d"][index]));
                let half = u * 3.0_f64.sqrt();
                if is_uniform { Input::between(source, [value - half, value + half]) }
                else { Input::measured(source, value, u, 2.0) }
            };
            let inputs: Vec<Input> = values.into_iter().enumerate().map(input).collect();
            let [a, b, c, d] = factors;
            let recipe = recipe(&format!("{a} * a + {b} * b + {c} * c + {d} * d + a"), &inputs);
            let (first, sampled) = (propagated(&recipe).expect("a value"), trials(&recipe, TRIALS, seed));
            let sampled = sampled.expect("trials");
            let u = first.u();
            prop_assert!((sampled.mean - first.value).abs() <= 5.0 * u / (TRIALS as f64).sqrt() + 1e-9);
            prop_assert!((sampled.u - u).abs() <= 5.0 * u / (2.0 * TRIALS as f64).sqrt() + 1e-9);
        }
    }
}
