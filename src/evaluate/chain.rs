//! Tolerance chains: formulas over drawn dimensions, at the limits and statistically.

use super::formula::{Input, Interval, Recipe, Undefined, propagated};
use super::trace::{Traced, rounded};
use crate::record::Decide;

/// A formula in both views of its tolerances.
#[derive(Clone, Debug, PartialEq)]
pub struct Chain {
    /// With every dimension at its limits and every other figure anywhere within its ±.
    pub worst: Worst,
    /// From the middle of every tolerance, with u = half-width/√3, or half-width/`sigmas` where the
    /// records say how well it is kept.
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::trace::Source;
    use super::*;
    use crate::quantity::expression::parse;
    use crate::record::Id;

    /// The chain `text` over dimensions `name, nominal, half of the tolerance`, in mm.
    fn recipe(text: &str, dimensions: &[(&str, f64, f64)]) -> Recipe {
        let input = |(name, nominal, half): &(&str, f64, f64)| {
            let source = Source::Given(Id::from(*name));
            ((*name).into(), Input::between(source, [nominal - half, nominal + half]))
        };
        let expression = parse(text).expect("a formula");
        Recipe::of(expression, dimensions.iter().map(input).collect())
    }

    fn bounds(text: &str, dimensions: &[(&str, f64, f64)]) -> (f64, f64, bool) {
        let worst = worst(&recipe(text, dimensions)).expect("a value");
        (worst.low, worst.high, worst.is_reached)
    }

    const LOOP: &str = "housing - shaft - washer - ring";
    const SIZES: [(&str, f64, f64); 4] = [
        ("housing", 40.0, 0.1),
        ("shaft", 25.0, 0.05),
        ("washer", 2.0, 0.03),
        ("ring", 10.0, 0.05),
    ];

    /// A textbook's tolerance loop: 40.00 ± 0.10 − 25.00 ± 0.05 − 2.00 ± 0.03 − 10.00 ± 0.05 leaves
    /// 3.00. Its worst case ± 0.230 and its root sum square ± 0.1261 follow from these by the usual
    /// rules; the root sum square of half-widths is √3 times the standard uncertainty.
    #[test]
    fn a_loop_at_its_limits_and_statistically() {
        let chain = chain(&recipe(LOOP, &SIZES)).expect("a value");
        assert_eq!(chain.worst, Worst { low: 2.77, high: 3.23, is_reached: true });
        assert_eq!(chain.statistical.value, 3.0);
        assert!((chain.statistical.u() * 3.0_f64.sqrt() - 0.1261).abs() < 5e-5);
        assert_eq!(chain.judged(Decide::WorstCase, 2.0), [2.77, 3.23]);
        assert_eq!(chain.judged(Decide::Simple, 2.0), [3.0, 3.0]);
        let [low, high] = chain.judged(Decide::Guarded, 2.0);
        assert!((high - low - 4.0 * 0.1261 / 3.0_f64.sqrt()).abs() < 1e-4);
    }

    /// Ten dimensions of ± 0.1 (read in a restatement): ± 1.0 at the limits, ± 0.316 by the root of
    /// the sum of the squares.
    #[test]
    fn ten_dimensions_of_a_tenth() {
        let names: Vec<String> = (0..10).map(|index| format!("plate{index}")).collect();
        let sizes: Vec<_> = names.iter().map(|name| (&**name, 5.0, 0.1)).collect();
        let chain = chain(&recipe(&names.join(" + "), &sizes)).expect("a value");
        assert_eq!(chain.worst, Worst { low: 49.0, high: 51.0, is_reached: true });
        assert!((chain.statistical.u() * 3.0_f64.sqrt() - 0.316).abs() < 5e-4);
    }

    /// The same loop, every tolerance kept with three standard deviations on either side: the root sum
    /// square of ± 0.1261 is then three standard deviations of the sum (*common practice*). What can
    /// happen at the limits stays what it is.
    #[test]
    fn tolerances_kept_to_three_sigma_narrow_the_statistical_view_alone() {
        let input = |(name, nominal, half): &(&str, f64, f64)| {
            let limits = [nominal - half, nominal + half];
            ((*name).into(), Input::kept(Source::Given(Id::from(*name)), limits, 3.0))
        };
        let recipe = Recipe::of(parse(LOOP).expect("a formula"), SIZES.iter().map(input).collect());
        let chain = chain(&recipe).expect("a value");
        assert_eq!(chain.worst, Worst { low: 2.77, high: 3.23, is_reached: true });
        assert!((chain.statistical.u() * 3.0 - 0.1261).abs() < 5e-5);
    }

    #[test]
    fn an_uneven_tolerance_counts_from_its_middle() {
        let slot = Input::between(Source::Given("slot".into()), [5.0, 5.05]);
        let gap = Input::between(Source::Given("film".into()), [4.75, 4.85]);
        let expression = parse("slot - film").expect("a formula");
        let figures = vec![("slot".into(), slot), ("film".into(), gap)];
        let chain = chain(&Recipe::of(expression, figures)).expect("a value");
        assert_eq!((chain.worst.low, chain.worst.high), (0.15, 0.3));
        assert_eq!(chain.statistical.value, 0.225);
    }

    #[test]
    fn a_dimension_that_occurs_twice_is_at_one_of_its_limits() {
        let a = [("a", 2.0, 1.0)];
        assert_eq!(bounds("a - a", &a), (0.0, 0.0, true));
        assert_eq!(bounds("a^2 + a", &a), (2.0, 12.0, true));
        assert_eq!(bounds("a^2 - a", &a), (0.0, 6.0, true));
    }

    /// 2·a − a² rises to 1 and falls again: intervals see 0 … 4 less 0 … 4.
    #[test]
    fn where_a_formula_rises_and_falls_its_bounds_are_no_tighter_than_intervals() {
        let (low, high, is_reached) = bounds("2 * a - a^2", &[("a", 1.0, 1.0)]);
        assert!(low <= 0.0 && high >= 1.0 && !is_reached);
    }

    #[test]
    fn functions_bound_what_lies_between_their_limits() {
        let a = [("a", 0.0, 2.0)];
        assert_eq!(bounds("a^2", &a), (0.0, 4.0, false));
        assert_eq!(bounds("abs(a)", &a), (0.0, 2.0, false));
        assert_eq!(bounds("sqrt(a + 2)", &a), (0.0, 2.0, false), "its slope at 0 has no bound");
        assert_eq!(bounds("sqrt(a + 7)", &a), (2.2360679775, 3.0, true));
        let (low, high, _) = bounds("cos(a)", &a);
        assert!((low - 2.0_f64.cos()).abs() < 1e-11 && high == 1.0);
        assert_eq!(bounds("max(a, 1)", &a), (1.0, 2.0, true));
        assert_eq!(bounds("min(a, 1)", &a), (-2.0, 1.0, true));
    }

    #[test]
    fn a_value_that_is_not_there_at_a_limit_is_said() {
        use super::super::formula::Why;
        let why = |text| worst(&recipe(text, &[("a", 1.0, 1.0)])).expect_err("no bound").why;
        assert_eq!(why("1 / a"), Why::DivisionByZero);
        assert_eq!(why("ln(a)"), Why::LogarithmOfNonPositive);
        assert_eq!(why("sqrt(a - 1)"), Why::RootOfNegative);
        assert_eq!(why("tan(a)"), Why::DivisionByZero);
    }

    proptest! {
        /// Every value within the limits lies within the bounds.
        #[test]
        fn nothing_lies_outside_the_bounds(
            middle in proptest::array::uniform3(-3.0..3.0_f64),
            half in proptest::array::uniform3(0.0..1.0_f64),
            at in proptest::array::uniform3(-1.0..1.0_f64),
            formula in proptest::sample::select(vec![
                "a * b - c^2 * a", "sin(a) * cos(b) + abs(c)", "max(a, b * c, a - c)^3",
                "exp(a - b) * min(a, c)", "a / (b^2 + 1) - c * a", "sqrt(abs(a * b)) + c^3 - c",
            ]),
        ) {
            let names = ["a", "b", "c"];
            let sizes: Vec<_> = (0..3).map(|i| (names[i], middle[i], half[i])).collect();
            let recipe = recipe(formula, &sizes);
            let bounds = worst(&recipe).expect("bounds");
            let value = recipe.value(|i| middle[i] + at[i] * half[i]).expect("a value");
            let slack = 1e-9 * value.abs().max(1.0);
            prop_assert!(bounds.low - slack <= value && value <= bounds.high + slack);
        }
    }
}
