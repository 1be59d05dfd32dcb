//! How large a share of trials succeeds, shown with a confidence.

/// Steps of a bisection: more halve nothing that a float holds.
const MOST_HALVINGS: usize = 200;
/// Terms of the continued fraction, of which some √n are needed.
const MOST_TERMS: usize = 20_000;

/// Trials of one configuration, all results together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Those that succeeded.
    pub passed: u64,
    /// All of them.
    pub of: u64,
}

impl Tally {
    /// Both together; failures are kept.
    #[must_use]
    pub fn and(self, passed: u64, of: u64) -> Self {
        Self { passed: self.passed.saturating_add(passed), of: self.of.saturating_add(of) }
    }

    /// The share of all trials that succeeds at least, with the one-sided `confidence`: the lower
    /// bound of Clopper and Pearson (Biometrika 26, 1934), which is the p at which so many successes
    /// or more have the probability 1 − confidence.
    ///
    /// Without a failure it is the success run, (1 − confidence)^(1/n).
    #[must_use]
    pub fn at_least(self, confidence: f64) -> f64 {
        let risk = 1.0 - confidence;
        if self.passed == 0 || self.of < self.passed {
            return 0.0;
        }
        let (passed, failed) = (as_f64(self.passed), as_f64(self.of - self.passed));
        if failed == 0.0 {
            return libm::pow(risk, 1.0 / passed);
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..MOST_HALVINGS {
            let middle = 0.5 * (low + high);
            if beta_share(middle, passed, failed + 1.0) > risk {
                high = middle;
            } else {
                low = middle;
            }
        }
        low
    }
}

#[allow(clippy::cast_precision_loss, reason = "trials are counted by hand")]
fn as_f64(count: u64) -> f64 {
    count as f64
}

/// The regularised incomplete beta function I_x(a, b): the probability of a successes or more in
/// a + b − 1 trials that succeed with x (Abramowitz and Stegun, 26.5.24, from memory).
fn beta_share(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return if x <= 0.0 { 0.0 } else { 1.0 };
    }
    let ln_front = libm::lgamma(a + b) - libm::lgamma(a) - libm::lgamma(b)
        + a * libm::log(x)
        + b * libm::log1p(-x);
    let front = libm::exp(ln_front);
    // The fraction converges fast on one side of the mean, and the other follows by symmetry.
    if x < (a + 1.0) / (a + b + 2.0) {
        front * fraction(x, a, b) / a
    } else {
        1.0 - front * fraction(1.0 - x, b, a) / b
    }
}

/// The continued fraction of the incomplete beta function (Abramowitz and Stegun, 26.5.8, from
/// memory), by Lentz's method.
fn fraction(x: f64, a: f64, b: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let kept = |value: f64| if value.abs() < TINY { TINY } else { value };
    let mut c = 1.0;
    let mut d = 1.0 / kept(1.0 - (a + b) * x / (a + 1.0));
    let mut value = d;
    let mut m = 1.0;
    for _ in 0..MOST_TERMS {
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let before = value;
        for term in [even, odd] {
            d = 1.0 / kept(1.0 + term * d);
            c = kept(1.0 + term / c);
            value *= c * d;
        }
        if (value - before).abs() <= 1e-15 * value.abs() {
            break;
        }
        m += 1.0;
    }
    value
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use serde::Deserialize;

    use super::*;

    fn run(trials: u64) -> Tally {
        Tally { passed: trials, of: trials }
    }

    /// Success run, n = ln(1 − C)/ln R, common in handbooks of reliability: 90 % at 90 % takes 22
    /// trials without a failure, 95 at 90: 45, 90 at 95: 29, 95 at 95: 59, 99 at 95: 299.
    #[test]
    fn trials_without_a_failure() {
        let table = [
            (0.90, 0.90, 22),
            (0.95, 0.90, 45),
            (0.90, 0.95, 29),
            (0.95, 0.95, 59),
            (0.99, 0.95, 299),
        ];
        for (success, confidence, trials) in table {
            assert!(run(trials).at_least(confidence) >= success, "{trials} are enough");
            assert!(run(trials - 1).at_least(confidence) < success, "{trials} are needed");
        }
    }

    #[derive(Deserialize)]
    struct Case {
        passed: u64,
        of: u64,
        confidence: f64,
        at_least: f64,
    }

    /// Bounds by scipy's quantiles of the beta distribution; tests/fixtures/trials.py wrote them.
    #[test]
    fn bounds_agree_with_a_statistics_library() {
        let text = include_str!("../../tests/fixtures/trials.json");
        let cases: Vec<Case> = serde_json::from_str(text).expect("cases");
        assert!(cases.len() > 100);
        for Case { passed, of, confidence, at_least } in cases {
            let found = Tally { passed, of }.at_least(confidence);
            assert!((found - at_least).abs() < 1e-9, "{passed} of {of}: {found}, {at_least}");
        }
    }

    proptest! {
        #[test]
        fn more_failures_are_never_better(
            of in 1_u64..2_000, failed in 0_u64..2_000, confidence in 0.5_f64..0.999,
        ) {
            let failed = failed.min(of - 1);
            let at_least = |failed: u64| Tally { passed: of - failed, of }.at_least(confidence);
            prop_assert!(at_least(failed + 1) <= at_least(failed));
            prop_assert!((0.0..=1.0).contains(&at_least(failed)));
        }

        #[test]
        fn no_count_panics(passed in any::<u64>(), of in any::<u64>(), confidence in 0.0_f64..1.0) {
            let at_least = Tally { passed, of }.at_least(confidence);
            prop_assert!((0.0..=1.0).contains(&at_least));
        }
    }
}
