//! A value as a number and as it is shown, and small turns of phrase that several reports share.

use std::fmt::Display;

use rust_decimal::Decimal;
use serde::{Serialize, Serializer};

use crate::evaluate::{Number, Total};
use crate::quantity::{
    Unit, show_difference, show_measure, show_money, show_price, show_uncertain, show_written,
};
use crate::verdict::Verdict;

/// A value as a number and as it is shown.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Shown {
    /// In `unit`.
    pub number: f64,
    /// The unit's symbol; empty for a plain number.
    pub unit: String,
    /// In base units (m, kg, s, A, K, money in whole units of its currency).
    pub base: f64,
    /// Money to the last digit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exact: Option<String>,
    /// Whether figures are missing, so that it is this or more.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub lower_bound: bool,
    /// As a reader sees it: rounded, with its unit and its ±; `from` before a lower bound.
    pub text: String,
}

impl Shown {
    /// A value without uncertainty.
    #[must_use]
    pub fn measure(base: f64, unit: &Unit) -> Self {
        Self::with_text(base, unit, show_measure(base, unit))
    }

    /// An exact amount of money in whole units of the currency that `unit` is.
    #[must_use]
    pub fn money(amount: Decimal, unit: &Unit) -> Self {
        let base = Number::Exact(amount).to_f64();
        Self::measure(base, unit).with_money(Some(amount), 0.0, unit)
    }

    /// The price of one, with as many digits as it needs.
    #[must_use]
    pub fn price(amount: Decimal, unit: &Unit) -> Self {
        let shown = Self::money(amount, unit);
        let currency = unit.kind().dimension.currency;
        let text = currency.map(|(currency, _)| show_price(amount, currency));
        Self { text: text.unwrap_or_else(|| shown.text.clone()), ..shown }
    }

    /// A value as somebody wrote it, to its last digit.
    #[must_use]
    pub fn written(base: f64, unit: &Unit) -> Self {
        Self::with_text(base, unit, show_written(base, unit))
    }

    /// A value with its expanded uncertainty, both in base units.
    #[must_use]
    pub fn uncertain(base: f64, expanded_uncertainty: f64, unit: &Unit) -> Self {
        Self::with_text(base, unit, show_uncertain(base, expanded_uncertainty, unit))
    }

    /// The size of a difference, without a sign.
    #[must_use]
    pub fn difference(base: f64, unit: &Unit) -> Self {
        Self {
            number: without_noise(unit.difference_from_base(base)),
            unit: unit.difference_symbol().into(),
            base: without_noise(base),
            exact: None,
            lower_bound: false,
            text: show_difference(base, unit),
        }
    }

    /// The size of a difference between values that are known to `expanded_uncertainty`, shown to
    /// the place to which they are.
    #[must_use]
    pub fn difference_to(base: f64, expanded_uncertainty: f64, unit: &Unit) -> Self {
        let shown = to_place_of(base, expanded_uncertainty, unit);
        Self { text: show_difference(shown, unit), ..Self::difference(base, unit) }
    }

    /// The same with its sign: `+34 g`, `-3.20 EUR`.
    #[must_use]
    pub fn signed(base: f64, expanded_uncertainty: f64, unit: &Unit) -> Self {
        let plain = Self::difference_to(base, expanded_uncertainty, unit);
        let is_any = plain.text != Self::difference(0.0, unit).text;
        let sign = if base > 0.0 && is_any { "+" } else { "" };
        Self { text: format!("{sign}{}", plain.text), ..plain }
    }

    /// The basic value of a budget with its expanded uncertainty.
    #[must_use]
    pub fn basic(total: &Total, coverage: f64, unit: &Unit) -> Self {
        let money = total.money.map(|(basic, _)| basic);
        Self::uncertain(total.basic, coverage * total.u, unit).with_money(money, total.u, unit)
    }

    /// The predicted value of a budget with its expanded uncertainty.
    #[must_use]
    pub fn predicted(total: &Total, coverage: f64, unit: &Unit) -> Self {
        let money = total.money.map(|(_, predicted)| predicted);
        Self::uncertain(total.predicted, coverage * total.u, unit).with_money(money, total.u, unit)
    }

    /// A value that was kept, with its expanded uncertainty and its exact amount where it is money.
    #[must_use]
    pub fn kept(base: f64, expanded_u: f64, exact: Option<Decimal>, unit: &Unit) -> Self {
        Self::uncertain(base, expanded_u, unit).with_money(exact, expanded_u, unit)
    }

    /// The same as a lower bound, where figures are missing.
    #[must_use]
    pub fn and_more(self, figures_are_missing: bool) -> Self {
        if !figures_are_missing {
            return self;
        }
        Self { lower_bound: true, text: format!("from {}", self.text), ..self }
    }

    /// The same with the exact amount, which is what is shown where nothing about it is unsure.
    fn with_money(self, money: Option<Decimal>, u: f64, unit: &Unit) -> Self {
        let currency = unit.kind().dimension.currency;
        let (Some(amount), Some((currency, _))) = (money, currency) else { return self };
        let text = if u > 0.0 { self.text } else { show_money(amount, currency) };
        Self { exact: Some(amount.normalize().to_string()), text, ..self }
    }

    fn with_text(base: f64, unit: &Unit, text: String) -> Self {
        let number = without_noise(unit.from_base(base));
        let (unit, base) = (unit.symbol().into(), without_noise(base));
        Self { number, unit, base, exact: None, lower_bound: false, text }
    }
}

/// `number` to twelve significant digits: what lies beyond is left over from adding up.
pub(super) fn without_noise(number: f64) -> f64 {
    quickly_without_noise(number)
        .unwrap_or_else(|| format!("{number:.11e}").parse().unwrap_or(number))
}

/// The same where it is beyond doubt: scaled to twelve digits before the point, the number is not near
/// the middle between two integers. Both the integer and the power of ten are exact then, and what is
/// divided is rounded once.
fn quickly_without_noise(number: f64) -> Option<f64> {
    const POWERS: [f64; 23] = [
        1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
        1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
    ];
    let size = number.abs();
    let power = POWERS.iter().find(|power| size * **power >= 1e11)?;
    let scaled = size * power;
    let is_clear = scaled < 1e12 - 1.0 && (scaled.fract() - 0.5).abs() > 1e-3;
    is_clear.then(|| (scaled.round() / power).copysign(number))
}

/// `difference` rounded to the second significant digit of an expanded uncertainty, as the values
/// themselves are shown (JCGM 100:2008, 7.2.6); all in base units.
fn to_place_of(difference: f64, expanded_uncertainty: f64, unit: &Unit) -> f64 {
    let number = unit.difference_from_base(difference);
    let spread = unit.difference_from_base(expanded_uncertainty);
    let place = libm::pow(10.0, libm::floor(libm::log10(spread)) - 1.0);
    let rounded = libm::rint(number / place) * place * (difference / number);
    if spread > 0.0 && rounded.is_finite() { rounded } else { difference }
}

/// The uncertainty to which a difference between two values is shown. Without one of their own the
/// values are shown to four significant digits, those before the point in any case, and money to its
/// minor unit: a difference has no more places than they have.
pub(super) fn known_to(values: [f64; 2], expanded_uncertainty: f64, unit: &Unit) -> f64 {
    if expanded_uncertainty > 0.0 || unit.kind().dimension.currency.is_some() {
        return expanded_uncertainty;
    }
    let [one, other] = values.map(|value| unit.from_base(value).abs());
    let second = libm::pow(10.0, libm::floor(libm::log10(one.max(other))) - 2.0);
    let spread = second.min(10.0) / unit.difference_from_base(1.0);
    if spread.is_finite() { spread } else { 0.0 }
}

/// A probability or a share as it is said: never 0 % or 100 % of what is neither.
pub(super) fn percent(share: f64) -> String {
    match share {
        share if share < 0.005 => "less than 1 %".into(),
        share if share > 0.995 && share < 1.0 => "more than 99 %".into(),
        share => format!("{:.0} %", share * 100.0),
    }
}

/// `1 part`, `3 parts`.
#[must_use]
pub fn count(number: usize, noun: &str) -> String {
    let plural = if number == 1 { "" } else { "s" };
    format!("{number} {noun}{plural}")
}

/// What is promised less, by the key of a record: `at most 390 EUR → at most 450 EUR`, `margin 25 g →
/// 10 g`. A limit says its key itself.
#[must_use]
pub fn less(what: &str, before: &str, after: &str) -> String {
    let is_said = before.starts_with(&what.replace('-', " "));
    let key = if is_said { String::new() } else { format!("{what} ") };
    format!("{key}{before} → {after}")
}

/// How a requirement stands, as a predicate: `passes`, `is thin`.
pub(super) fn stands(verdict: Verdict) -> String {
    match verdict {
        Verdict::Pass => "passes".into(),
        Verdict::Fail => "fails".into(),
        Verdict::Edge => "is on the edge".into(),
        Verdict::Later => "is due later".into(),
        Verdict::Thin | Verdict::Unproven | Verdict::Stale | Verdict::Waived => {
            format!("is {}", verdict.word())
        }
    }
}

/// The first `most` of `names`, and how many there are besides: `a, b and 7 more`.
pub(super) fn some_of<T: Display>(names: impl IntoIterator<Item = T>, most: usize) -> String {
    let names: Vec<String> = names.into_iter().map(|name| name.to_string()).collect();
    let shown = names.iter().take(most).cloned().collect::<Vec<_>>().join(", ");
    match names.len().saturating_sub(most) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// Serialises a value by its text: versions, codes of other crates.
pub(super) fn as_text<T: Display, S: Serializer>(
    value: &T,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    serializer.collect_str(value)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn noise_is_taken_away_quickly_as_it_would_be_slowly(
            digits in -1_999_999_999_999_i64..1_999_999_999_999,
            scale in -13_i32..30,
            noise in -4_i64..4,
        ) {
            let number = digits as f64 / 10_f64.powi(scale);
            let number = f64::from_bits(number.to_bits().wrapping_add_signed(noise));
            if let Some(quickly) = quickly_without_noise(number) {
                prop_assert_eq!(Ok(quickly), format!("{number:.11e}").parse());
            }
        }
    }

    #[test]
    fn a_share_that_is_not_all_is_not_shown_as_all() {
        assert_eq!(percent(0.001), "less than 1 %");
        assert_eq!(percent(0.021), "2 %");
        assert_eq!(percent(0.9999), "more than 99 %");
        assert_eq!(percent(1.0), "100 %");
    }

    #[test]
    fn money_is_shown_to_its_minor_digits_and_kept_to_the_last() {
        let amount: Decimal = "412.79512".parse().expect("a number");
        let total = Total {
            basic: 412.795_12,
            predicted: 412.795_12,
            u: 0.0,
            money: Some((amount, amount)),
        };
        let unit = Unit::parse("EUR").expect("a unit");
        let shown = Shown::predicted(&total, 2.0, &unit);
        assert_eq!(
            (shown.text.as_str(), shown.exact.as_deref()),
            ("412.80 EUR", Some("412.79512"))
        );
    }

    fn gram() -> Unit {
        Unit::parse("g").expect("a unit")
    }

    #[test]
    fn a_difference_has_its_sign_and_temperatures_differ_by_kelvin() {
        let celsius = Unit::parse("°C").expect("a unit");
        assert_eq!(Shown::signed(6.4, 0.0, &celsius).text, "+6.4 K");
        assert_eq!(Shown::signed(6.417, 1.3, &celsius).text, "+6.4 K");
        assert_eq!(Shown::signed(-0.034, 0.0, &gram()).text, "-34 g");
    }

    #[test]
    fn a_difference_has_no_more_places_than_the_values_have() {
        let hour = Unit::parse("h").expect("a unit");
        let told = |was: f64, is: f64, u: f64, unit: &Unit| {
            Shown::signed(is - was, known_to([was, is], u, unit), unit).text
        };
        // 13.67 h and 22.83 h as they are shown.
        assert_eq!(told(49_200.0, 82_200.0, 0.0, &hour), "+9.17 h");
        assert_eq!(told(49_200.0, 49_202.0, 0.0, &hour), "0 h");
        assert_eq!(told(12.345, 12.349, 0.0, &gram()), "+4 g", "digits before the point stay");
        assert_eq!(told(0.0, 0.0, 0.0, &gram()), "0 g");
        assert_eq!(told(0.310, 0.3141, 0.0005, &gram()), "+4.1 g");
    }

    #[test]
    fn a_difference_is_shown_to_the_place_to_which_the_values_are_known() {
        let shown = |uncertainty| Shown::difference_to(0.035_764, uncertainty, &gram()).text;
        assert_eq!(shown(0.0), "35.76 g");
        assert_eq!(shown(0.009), "35.8 g");
        assert_eq!(shown(0.022), "36 g");
        assert_eq!(shown(0.220), "40 g");
        assert_eq!(shown(f64::NAN), "35.76 g");
        assert_eq!(Shown::difference_to(0.0, 0.022, &gram()).text, "0 g");
    }
}
