//! Numbers that stay exact as long as 28 decimal digits hold them.
//!
//! Three parts of 0.1 kg against a limit of 0.3 kg pass: summed as floats they would not.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use crate::quantity::Measure;

/// An exact decimal, or a float where a decimal could not hold it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) enum Number {
    Exact(Decimal),
    Float(f64),
}

impl Number {
    pub(crate) const ZERO: Self = Self::Exact(Decimal::ZERO);
    pub(crate) const ONE: Self = Self::Exact(Decimal::ONE);

    /// The value of a measure in base units.
    pub(crate) fn of(measure: &Measure) -> Self {
        measure.exact.map_or(Self::Float(measure.base), Self::Exact)
    }

    /// The nearest float.
    pub(crate) fn to_f64(self) -> f64 {
        match self {
            Self::Exact(exact) => nearest(exact),
            Self::Float(float) => float,
        }
    }

    /// The decimal; of a float, the shortest one that reads back as the same float.
    pub(crate) fn to_decimal(self) -> Option<Decimal> {
        match self {
            Self::Exact(exact) => Some(exact),
            Self::Float(float) => float.to_string().parse().ok(),
        }
    }

    /// The decimal of a float that was written as one.
    pub(crate) fn written(float: f64) -> Self {
        Self::Float(float).to_decimal().map_or(Self::Float(float), Self::Exact)
    }

    pub(crate) fn minus(self, other: Self) -> Self {
        self.plus(other.times(Self::Exact(Decimal::NEGATIVE_ONE)))
    }

    pub(crate) fn plus(self, other: Self) -> Self {
        match (self, other) {
            (Self::Exact(a), Self::Exact(b)) => plus(a, b).map(Self::Exact),
            _ => None,
        }
        .unwrap_or_else(|| Self::Float(self.to_f64() + other.to_f64()))
    }

    /// A sum of money, which stays decimal: shares that do not end were rounded at 28 digits, and so is
    /// their sum.
    pub(crate) fn plus_money(self, other: Self) -> Self {
        let amount = |number: Self| number.to_decimal().unwrap_or_default();
        let (a, b) = (amount(self), amount(other));
        Self::Exact(short_sum(a, b).unwrap_or_else(|| a.saturating_add(b)))
    }

    /// Whether the other is written with the very same digits.
    pub(crate) fn is_same(self, other: Self) -> bool {
        match (self, other) {
            (Self::Exact(a), Self::Exact(b)) => {
                (a.mantissa(), a.scale()) == (b.mantissa(), b.scale())
            }
            (Self::Float(a), Self::Float(b)) => a.to_bits() == b.to_bits(),
            _ => false,
        }
    }

    pub(crate) fn times(self, other: Self) -> Self {
        match (self, other) {
            (Self::Exact(a), Self::Exact(b)) => times(a, b).map(Self::Exact),
            _ => None,
        }
        .unwrap_or_else(|| Self::Float(self.to_f64() * other.to_f64()))
    }

    pub(crate) fn abs(self) -> Self {
        match self {
            Self::Exact(exact) => Self::Exact(exact.abs()),
            Self::Float(float) => Self::Float(float.abs()),
        }
    }
}

/// Values are at most 10^30, counts 10^29: the squares stay far below what a float holds.
pub(super) fn root_of_squares(values: impl Iterator<Item = f64>) -> f64 {
    values.map(|value| value * value).sum::<f64>().sqrt()
}

/// The sum, where a decimal holds all of its digits.
pub(crate) fn plus(a: Decimal, b: Decimal) -> Option<Decimal> {
    // A sum that was rounded has fewer places than its terms.
    let long = || a.checked_add(b).filter(|sum| sum.scale() >= a.scale().max(b.scale()));
    short_sum(a, b).or_else(long)
}

/// The sum of numbers of few digits, which is most of them: whole numbers of the smaller unit are added.
/// Nothing of what is 0, or comes to it, which has several ways to be written.
fn short_sum(a: Decimal, b: Decimal) -> Option<Decimal> {
    const POWERS: [i64; 10] =
        [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000, 1_000_000_000];
    let short = |number: Decimal| i64::try_from(number.mantissa()).ok().filter(|it| *it != 0);
    let (fine, coarse) = if a.scale() >= b.scale() { (a, b) } else { (b, a) };
    let power = POWERS.get((fine.scale() - coarse.scale()) as usize)?;
    let sum = short(coarse)?.checked_mul(*power)?.checked_add(short(fine)?)?;
    (sum != 0).then(|| Decimal::new(sum, fine.scale()))
}

/// The product, where a decimal holds all of its digits.
pub(crate) fn times(a: Decimal, b: Decimal) -> Option<Decimal> {
    let (a, b) = (a.normalize(), b.normalize());
    // A product that was rounded has fewer places than its factors together.
    let product = a.checked_mul(b)?;
    (product.is_zero() == (a.is_zero() || b.is_zero())
        && (product.is_zero() || product.scale() >= a.scale() + b.scale()))
    .then_some(product)
}

/// The float nearest to `exact`.
pub(crate) fn nearest(exact: Decimal) -> f64 {
    const EXACT_WHOLE: u128 = 1 << f64::MANTISSA_DIGITS;
    const POWERS: [f64; 23] = [
        1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
        1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
    ];
    match POWERS.get(exact.scale() as usize) {
        // Two exact floats and one operation: IEEE 754 rounds the quotient once.
        Some(power) if exact.mantissa().unsigned_abs() <= EXACT_WHOLE => {
            // One word of it says all, and is converted by the processor.
            exact.mantissa() as i64 as f64 / power
        }
        _ => exact.to_string().parse().expect("the digits of a decimal are a float"),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn decimal(text: &str) -> Decimal {
        text.parse().expect("a decimal")
    }

    #[test]
    fn a_decimal_becomes_the_float_nearest_to_it() {
        for text in ["0.1", "450.00", "-0.0008", "1e-28", "12345678901234567.89", "0.30"] {
            let exact = Decimal::from_scientific(text).unwrap_or_else(|_| decimal(text));
            assert_eq!(nearest(exact), text.parse::<f64>().expect("a float"), "{text}");
        }
    }

    #[test]
    fn what_28_digits_cannot_hold_is_told_apart() {
        assert_eq!(times(decimal("0.1"), decimal("0.30")), Some(decimal("0.03")));
        assert_eq!(times(decimal("1.5"), Decimal::ZERO), Some(Decimal::ZERO));
        let small = decimal("0.000000000000001");
        assert_eq!(times(small, small), None, "30 places");
        assert_eq!(times(Decimal::MAX, decimal("2")), None, "beyond the largest");
        assert_eq!(plus(Decimal::MAX, decimal("0.1")), None, "29 digits and a tenth");
        assert_eq!(plus(decimal("0.5"), decimal("0.50")), Some(Decimal::ONE));
        let long = decimal("10000000000000200000000000.001");
        assert_eq!(times(decimal("10000000000000.1"), decimal("1000000000000.01")), Some(long));
    }

    proptest! {
        /// Held against the addition of the library.
        #[test]
        fn a_short_sum_is_the_sum(
            a in -10_000_000_000_i64..10_000_000_000,
            b in any::<i64>(),
            [of_a, of_b] in [0_u32..28, 0_u32..28],
        ) {
            for (a, b) in [(a, b), (a, a / 7), (a, -a), (a, 0)] {
                let (a, b) = (Decimal::new(a, of_a), Decimal::new(b, of_b));
                if let Some(sum) = short_sum(a, b) {
                    let expected = a.checked_add(b).expect("far from the largest");
                    prop_assert_eq!(sum, expected);
                    prop_assert_eq!((sum.mantissa(), sum.scale()), (expected.mantissa(), expected.scale()));
                }
            }
        }
    }

    #[test]
    fn sums_stay_exact_until_a_term_is_not() {
        let tenth = Number::Exact(decimal("0.1"));
        let three = tenth.plus(tenth).plus(tenth);
        assert_eq!(three.to_f64(), 0.3);
        assert_ne!(Number::Float(0.1).plus(tenth).plus(tenth).to_f64(), 0.3);
    }
}
