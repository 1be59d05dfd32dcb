//! Exact numbers between the text and the float.

use rust_decimal::Decimal;

/// The number numerator / denominator · 10^power.
///
/// The denominator is positive, and 1 wherever a power of ten suffices.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Ratio {
    numerator: i128,
    denominator: i128,
    power: i32,
}

/// The powers of ten that a float holds exactly.
const EXACT_POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// Whole numbers up to here are floats without loss.
const EXACT_WHOLE: u128 = 1 << f64::MANTISSA_DIGITS;

/// Digits of a quotient that does not end; a float needs 17 of them.
const QUOTIENT: i128 = 10_i128.pow(35);

impl Ratio {
    pub(super) const ONE: Self = Self::decimal(1, 0);

    /// mantissa · 10^power
    pub(super) const fn decimal(mantissa: i128, power: i32) -> Self {
        Self { numerator: mantissa, denominator: 1, power }
    }

    /// numerator / denominator · 10^power; the denominator is positive.
    pub(super) const fn fraction(numerator: i128, denominator: i128, power: i32) -> Self {
        Self { numerator, denominator, power }
    }

    pub(super) const fn negated(self) -> Self {
        Self { numerator: -self.numerator, ..self }
    }

    pub(super) const fn is_negative(self) -> bool {
        self.numerator < 0
    }

    /// The product, if it can be held.
    pub(super) fn times(self, other: Self) -> Option<Self> {
        let product = Self {
            numerator: self.numerator.checked_mul(other.numerator)?,
            denominator: self.denominator.checked_mul(other.denominator)?,
            power: self.power.checked_add(other.power)?,
        };
        Some(product.reduced())
    }

    /// The reciprocal; `None` for zero.
    pub(super) fn inverted(self) -> Option<Self> {
        (self.numerator != 0).then(|| Self {
            numerator: self.denominator * self.numerator.signum(),
            denominator: self.numerator.abs(),
            power: -self.power,
        })
    }

    /// The whole power, if it can be held.
    pub(super) fn to_the(self, power: i8) -> Option<Self> {
        let base = if power < 0 { self.inverted()? } else { self };
        (0..power.unsigned_abs()).try_fold(Self::ONE, |product, _| product.times(base))
    }

    /// The sum, if it can be held.
    pub(super) fn plus(self, other: Self) -> Option<Self> {
        let power = self.power.min(other.power);
        let mine = self.numerator_at(power)?.checked_mul(other.denominator)?;
        let theirs = other.numerator_at(power)?.checked_mul(self.denominator)?;
        let sum = Self {
            numerator: mine.checked_add(theirs)?,
            denominator: self.denominator.checked_mul(other.denominator)?,
            power,
        };
        Some(sum.reduced())
    }

    /// The nearest float. (Of a quotient that does not end, 36 digits decide.)
    pub(super) fn to_f64(self) -> f64 {
        let (mantissa, power, ends) = self.digits();
        if ends && mantissa.unsigned_abs() <= EXACT_WHOLE {
            // Two exact floats and one operation: IEEE 754 rounds the result once.
            let places = power.unsigned_abs() as usize;
            if let Some(scale) = EXACT_POWERS.get(places) {
                let whole = mantissa as f64;
                return if power < 0 { whole / scale } else { whole * scale };
            }
        }
        let text =
            if ends { format!("{mantissa}e{power}") } else { format!("{mantissa}1e{}", power - 1) };
        text.parse().expect("digits and an exponent are a float")
    }

    /// The same as a decimal without trailing zeros, where it ends and fits 28 digits.
    pub(super) fn to_decimal(self) -> Option<Decimal> {
        let (mut mantissa, mut power, ends) = self.digits();
        if !ends {
            return None;
        }
        if mantissa == 0 {
            return Some(Decimal::ZERO);
        }
        (mantissa, power) = without_trailing_zeros(mantissa, power);
        let whole = mantissa.checked_mul(10_i128.checked_pow(power.max(0).unsigned_abs())?)?;
        Decimal::try_from_i128_with_scale(whole, power.min(0).unsigned_abs()).ok()
    }

    /// `value` divided by this number, rounded at most twice.
    pub(super) fn divide(self, value: f64) -> f64 {
        let up = Self::decimal(self.numerator, self.power.max(0)).to_f64();
        let down = Self::decimal(self.denominator, self.power.min(0).saturating_neg()).to_f64();
        value * down / up
    }

    /// Decimal digits, their power of ten, and whether they are all.
    fn digits(self) -> (i128, i32, bool) {
        if self.denominator == 1 {
            return (self.numerator, self.power, true);
        }
        let mut quotient = self.numerator / self.denominator;
        let mut rest = self.numerator % self.denominator;
        let mut power = self.power;
        while rest != 0 && quotient.abs() < QUOTIENT {
            let Some(tenfold) = rest.checked_mul(10) else { break };
            quotient = quotient * 10 + tenfold / self.denominator;
            rest = tenfold % self.denominator;
            power -= 1;
        }
        (quotient, power, rest == 0)
    }

    /// The numerator that belongs to a smaller power of ten.
    fn numerator_at(self, power: i32) -> Option<i128> {
        let places = u32::try_from(self.power.checked_sub(power)?).ok()?;
        self.numerator.checked_mul(10_i128.checked_pow(places)?)
    }

    fn reduced(self) -> Self {
        if self.denominator == 1 {
            return self;
        }
        let (mut divisor, mut rest) = (self.denominator, self.numerator % self.denominator);
        while rest != 0 {
            (divisor, rest) = (rest, divisor % rest);
        }
        let divisor = divisor.abs();
        Self {
            numerator: self.numerator / divisor,
            denominator: self.denominator / divisor,
            power: self.power,
        }
    }
}

/// The same number with as few places behind the point as it needs.
fn without_trailing_zeros(mut mantissa: i128, mut power: i32) -> (i128, i32) {
    // Division of 64 bits is several times faster, and most numbers fit them.
    if let Ok(mut small) = i64::try_from(mantissa) {
        while power < 0 && small % 10 == 0 {
            small /= 10;
            power += 1;
        }
        return (small.into(), power);
    }
    while power < 0 && mantissa % 10 == 0 {
        mantissa /= 10;
        power += 1;
    }
    (mantissa, power)
}

impl From<Decimal> for Ratio {
    fn from(exact: Decimal) -> Self {
        // A decimal has at most 28 places.
        Self::decimal(exact.mantissa(), -exact.scale().cast_signed())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quotient_that_ends_is_exact() {
        let half_a_percent = Ratio::fraction(18, 3600, 0);
        assert_eq!(half_a_percent.to_decimal(), Some(Decimal::new(5, 3)));
        assert_eq!(half_a_percent.to_f64(), 0.005);
    }

    #[test]
    fn a_quotient_without_end_is_the_nearest_float() {
        // IEEE 754 division of two whole floats is correctly rounded.
        for (numerator, denominator) in [(1, 3), (2, 3), (-7, 9), (1, 3600), (22, 7)] {
            let ratio = Ratio::fraction(numerator, denominator, 0);
            assert_eq!(ratio.to_decimal(), None);
            assert_eq!(ratio.to_f64(), numerator as f64 / denominator as f64);
        }
    }

    #[test]
    fn what_cannot_be_held_is_none() {
        let large = Ratio::decimal(i128::MAX, 0);
        assert_eq!(large.times(large), None);
        assert_eq!(large.plus(Ratio::ONE), None);
        assert_eq!(large.to_decimal(), None);
        assert_eq!(Ratio::decimal(0, 0).inverted(), None);
    }
}
