//! The decision rule: a value with its uncertainty against limits and wanted margins.
//!
//! A guard band of the whole expanded uncertainty U on either side of a limit makes three zones:
//! conformity proven, nonconformity proven, neither (ISO 14253-1; ILAC-G8 with w = U; JCGM 106).

use std::cmp::Ordering;

use super::{Bound, Side, Verdict};

/// One limit, in base units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// The side.
    pub side: Side,
    /// The limit.
    pub limit: f64,
    /// The limit drawn in by the margin wanted.
    pub inner: f64,
}

/// A value that can be judged, in base units.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Judgeable {
    /// Judged against at-least limits.
    pub basic: f64,
    /// Judged against at-most limits.
    pub predicted: f64,
    /// Standard uncertainty of both.
    pub u: f64,
    /// The guard band: expanded uncertainty, or 0 where the value alone decides.
    pub guard: f64,
}

/// What a value came to against all of its limits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Decision {
    /// One for each limit; the decisive one first, of several that come out alike the one with least
    /// left, else in the order asked.
    pub bounds: Vec<Bound>,
}

impl Decision {
    /// The decision of `bounds`: the worst decides; fail, edge, thin, pass.
    pub(super) fn of(mut bounds: Vec<Bound>) -> Self {
        bounds.sort_by(decisive_first);
        Self { bounds }
    }

    /// The verdict of the decisive limit; pass where there is no limit.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        self.bounds.first().map_or(Verdict::Pass, |bound| bound.verdict)
    }
}

/// The order in which bounds decide; a stable sort by it keeps that in which they were asked for.
pub(super) fn decisive_first(one: &Bound, other: &Bound) -> Ordering {
    // `Verdict` is declared from the best to the worst.
    let room = |bound: &Bound| bound.left - bound.margin;
    other.verdict.cmp(&one.verdict).then(room(one).total_cmp(&room(other)))
}

/// Judges `value` against each of `limits`; the worst decides: fail, edge, thin, pass.
///
/// The probabilities are those of each limit for itself, of a normal distribution about the value.
/// Inside two limits at once is, for one value, the sum of both less 1.
#[must_use]
pub fn decide(value: &Judgeable, limits: &[Limit]) -> Decision {
    Decision::of(limits.iter().map(|limit| bound(value, limit)).collect())
}

/// `value` against one limit.
pub(super) fn bound(value: &Judgeable, limit: &Limit) -> Bound {
    let (judged, outwards) = match limit.side {
        Side::AtMost => (value.predicted, 1.0),
        Side::AtLeast => (value.basic, -1.0),
    };
    // Mirrored, an at-least limit is an at-most one.
    let y = outwards * judged;
    let (outer, inner) = (outwards * limit.limit, outwards * limit.inner);
    Bound {
        side: limit.side,
        limit: limit.limit,
        margin: outer - inner,
        value: judged,
        left: outer - y,
        verdict: zone(y, value.guard, outer, inner),
        inside_limit: probability_below(outer, y, value.u),
        inside_margin: probability_below(inner, y, value.u),
    }
}

/// The zone that `y` ± `guard` lies in, of an at-most limit.
fn zone(y: f64, guard: f64, limit: f64, inner: f64) -> Verdict {
    // y ± U carries the rounding of its floats; the value alone does not.
    let rounding = if guard > 0.0 { 1e-12 * y.abs().max(limit.abs()) } else { 0.0 };
    if y - guard > limit + rounding {
        Verdict::Fail
    } else if y + guard > limit + rounding {
        Verdict::Edge
    } else if y + guard > inner + rounding {
        Verdict::Thin
    } else {
        Verdict::Pass
    }
}

/// Φ((limit − y)/u), by the complementary error function; 0 or 1 where nothing is uncertain.
pub(super) fn probability_below(limit: f64, y: f64, u: f64) -> f64 {
    if u > 0.0 {
        0.5 * libm::erfc((y - limit) / (u * std::f64::consts::SQRT_2))
    } else if y <= limit {
        1.0
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn at_most(limit: f64, margin: f64) -> Limit {
        Limit { side: Side::AtMost, limit, inner: limit - margin }
    }

    fn at_least(limit: f64, margin: f64) -> Limit {
        Limit { side: Side::AtLeast, limit, inner: limit + margin }
    }

    fn value(y: f64, u: f64) -> Judgeable {
        Judgeable { basic: y, predicted: y, u, guard: 2.0 * u }
    }

    fn verdict(y: f64, u: f64, limits: &[Limit]) -> Verdict {
        decide(&value(y, u), limits).verdict()
    }

    fn near(found: f64, expected: f64, digits: f64) {
        assert!(
            (found - expected).abs() <= 0.5 * 10_f64.powf(-digits),
            "{found} is not {expected}"
        );
    }

    /// JCGM 106:2012, clause 7 (inputs from memory, results computed from them).
    #[test]
    fn the_probability_of_conformity() {
        let below = decide(&value(-5.47, 0.05), &[at_most(-5.40, 0.0)]);
        near(below.bounds[0].inside_limit, 0.9192, 4.0);
        let above = decide(&value(509.7, 8.6), &[at_least(490.0, 0.0)]);
        near(above.bounds[0].inside_limit, 0.9890, 4.0);
        let between = decide(&value(13.6, 1.8), &[at_least(12.5, 0.0), at_most(16.3, 0.0)]);
        let inside: f64 = between.bounds.iter().map(|bound| bound.inside_limit).sum();
        near(inside - 1.0, 0.6626, 4.0);
    }

    /// Quantiles of the normal distribution, as every table of it prints them.
    #[test]
    fn the_quantiles_of_the_normal_distribution() {
        let table =
            [(0.80, 0.8416), (0.90, 1.2816), (0.95, 1.6449), (0.99, 2.3263), (0.999, 3.0902)];
        for (share, z) in table {
            let found = decide(&value(0.0, 1.0), &[at_most(z, 0.0)]).bounds[0].inside_limit;
            assert!((found - share).abs() < 2e-5, "{z}: {found}");
        }
    }

    /// ILAC-G8:09/2019 (read in a restatement): a guard band of U keeps the risk of a single wrong
    /// acceptance below 2.5 %; it is Φ(−2) = 0.02275 at the end of the zone.
    #[test]
    fn the_risk_at_the_end_of_the_guard_band() {
        let decision = decide(&value(8.0, 1.0), &[at_most(10.0, 0.0)]);
        assert_eq!(decision.verdict(), Verdict::Pass);
        near(1.0 - decision.bounds[0].inside_limit, 0.02275, 5.0);
    }

    /// The three zones of ISO 14253-1: 9.95 to 10.05, y = 10.03, U = 0.04 is proven neither way.
    #[test]
    fn a_limit_within_the_uncertainty_is_an_edge() {
        let limits = [at_least(9.95, 0.0), at_most(10.05, 0.0)];
        let decision = decide(&value(10.03, 0.02), &limits);
        assert_eq!(decision.verdict(), Verdict::Edge);
        assert_eq!(decision.bounds[0].side, Side::AtMost, "the decisive limit comes first");
        assert_eq!(decision.bounds[1].verdict, Verdict::Pass);
        assert_eq!(verdict(10.00, 0.02, &limits), Verdict::Pass);
        assert_eq!(verdict(10.10, 0.02, &limits), Verdict::Fail);
        assert_eq!(verdict(9.90, 0.02, &limits), Verdict::Fail);
    }

    #[test]
    fn of_two_limits_that_are_kept_the_nearer_one_decides() {
        let limits = [at_least(0.0, 0.0), at_most(10.0, 1.0)];
        let decisive = |y| decide(&value(y, 0.1), &limits).bounds[0].side;
        assert_eq!(decisive(2.0), Side::AtLeast);
        assert_eq!(decisive(8.0), Side::AtMost);
        // What is wanted besides counts: 5 less 0 and 5 less 1.
        assert_eq!(decisive(5.0), Side::AtMost);
        let both = decide(&value(5.0, 10.0), &limits);
        assert_eq!(both.verdict(), Verdict::Edge);
    }

    /// A workshop's guide to calibration: permissible error ±0.003, U = 0.001; 0.0017 passes,
    /// 0.0025 is doubtful.
    #[test]
    fn the_guard_band_of_a_permissible_error() {
        let limits = [at_least(-0.003, 0.0), at_most(0.003, 0.0)];
        assert_eq!(verdict(0.0017, 0.0005, &limits), Verdict::Pass);
        assert_eq!(verdict(0.0025, 0.0005, &limits), Verdict::Edge);
    }

    #[test]
    fn a_margin_that_is_not_left_is_thin() {
        assert_eq!(verdict(43.0, 0.0, &[at_most(45.0, 2.0)]), Verdict::Pass);
        assert_eq!(verdict(43.5, 0.0, &[at_most(45.0, 2.0)]), Verdict::Thin);
        assert_eq!(verdict(42.5, 0.5, &[at_most(45.0, 2.0)]), Verdict::Thin);
        assert_eq!(verdict(11.0, 0.0, &[at_least(10.0, 2.0)]), Verdict::Thin);
    }

    #[test]
    fn the_limit_itself_is_allowed() {
        assert_eq!(verdict(450.00, 0.0, &[at_most(450.0, 0.0)]), Verdict::Pass);
        assert_eq!(verdict(450.000_000_1, 0.0, &[at_most(450.0, 0.0)]), Verdict::Fail);
        assert_eq!(verdict(0.1 + 0.2, 0.05, &[at_most(0.4, 0.0)]), Verdict::Pass, "0.3 + 0.1");
        assert_eq!(verdict(0.4, 0.05, &[at_most(0.3, 0.0)]), Verdict::Edge, "0.4 - 0.1");
    }

    #[test]
    fn allowance_works_against_the_designer_only() {
        let grown = Judgeable { basic: 9.0, predicted: 11.0, u: 0.0, guard: 0.0 };
        assert_eq!(decide(&grown, &[at_most(10.0, 0.0)]).verdict(), Verdict::Fail);
        assert_eq!(decide(&grown, &[at_least(10.0, 0.0)]).verdict(), Verdict::Fail);
    }

    proptest! {
        #[test]
        fn a_larger_value_is_never_better_against_an_at_most_limit(
            low in -1e6_f64..1e6, more in 0.0_f64..1e6, u in 0.0_f64..1e3,
            limit in -1e6_f64..1e6, margin in 0.0_f64..1e3,
        ) {
            let limits = [at_most(limit, margin)];
            let (low, high) = (decide(&value(low, u), &limits), decide(&value(low + more, u), &limits));
            prop_assert!(low.verdict() <= high.verdict());
            prop_assert!(low.bounds[0].inside_limit >= high.bounds[0].inside_limit);
        }

        #[test]
        fn at_least_mirrors_at_most(
            y in -1e6_f64..1e6, u in 0.0_f64..1e3, limit in -1e6_f64..1e6, margin in 0.0_f64..1e3,
        ) {
            let below = decide(&value(y, u), &[at_most(limit, margin)]);
            let above = decide(&value(-y, u), &[at_least(-limit, margin)]);
            prop_assert_eq!(below.verdict(), above.verdict());
            prop_assert_eq!(below.bounds[0].left, above.bounds[0].left);
        }

        #[test]
        fn the_margin_is_inside_the_limit(
            y in -1e6_f64..1e6, u in 0.0_f64..1e3, limit in -1e6_f64..1e6, margin in 0.0_f64..1e3,
        ) {
            let bound = decide(&value(y, u), &[at_most(limit, margin)]).bounds[0];
            prop_assert!((0.0..=1.0).contains(&bound.inside_limit));
            prop_assert!(bound.inside_margin <= bound.inside_limit);
        }
    }
}
