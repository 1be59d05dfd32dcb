//! Intervals: all values that a formula can take while its inputs lie within their bounds.
//!
//! Bounds are rounded to the nearest float, not outwards; what is shown of them has 12 digits.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::Why;
use super::scalar::Scalar;

/// All numbers from `low` to `high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::evaluate) struct Interval {
    pub(in crate::evaluate) low: f64,
    pub(in crate::evaluate) high: f64,
}

impl Interval {
    /// The numbers between two, whichever is the smaller.
    pub(in crate::evaluate) fn between(a: f64, b: f64) -> Self {
        Self { low: a.min(b), high: a.max(b) }
    }

    fn holds(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// What `values` span; they are finite or infinite, and at least one.
    fn spanned(values: impl IntoIterator<Item = f64>) -> Self {
        let none = Self { low: f64::INFINITY, high: f64::NEG_INFINITY };
        values
            .into_iter()
            .fold(none, |span, value| Self { low: span.low.min(value), high: span.high.max(value) })
    }

    /// Both ends under a function that rises.
    fn rising(self, function: impl Fn(f64) -> f64) -> Self {
        Self { low: function(self.low), high: function(self.high) }
    }

    /// A wave of amplitude 1 with a crest at `crest` and a period of 2π.
    fn wave(self, function: fn(f64) -> f64, crest: f64) -> Self {
        let reaches = |top: f64| ((self.low - top) / TAU).ceil() * TAU + top <= self.high;
        let ends = Self::between(function(self.low), function(self.high));
        Self {
            low: if reaches(crest + PI) { -1.0 } else { ends.low },
            high: if reaches(crest) { 1.0 } else { ends.high },
        }
    }

    /// The power with one whole exponent: of an even one, zero is the smallest value.
    fn whole_power(self, exponent: f64) -> Result<Self, Why> {
        if exponent < 0.0 && self.holds(0.0) {
            return Err(Why::DivisionByZero);
        }
        let ends = [self.low, self.high].map(|end| libm::pow(end, exponent));
        let through_zero = self.holds(0.0).then(|| libm::pow(0.0, exponent));
        Ok(Self::spanned(ends.into_iter().chain(through_zero)))
    }
}

impl Scalar for Interval {
    fn exact(value: f64) -> Self {
        Self { low: value, high: value }
    }

    fn is_finite(self) -> bool {
        self.low.is_finite() && self.high.is_finite()
    }

    fn negative(self) -> Self {
        Self { low: -self.high, high: -self.low }
    }

    fn plus(self, other: Self) -> Self {
        Self { low: self.low + other.low, high: self.high + other.high }
    }

    fn times(self, other: Self) -> Self {
        let [(a, b), (c, d)] = [(self.low, self.high), (other.low, other.high)];
        Self::spanned([a * c, a * d, b * c, b * d])
    }

    fn over(self, other: Self) -> Result<Self, Why> {
        if other.holds(0.0) {
            return Err(Why::DivisionByZero);
        }
        let [(a, b), (c, d)] = [(self.low, self.high), (other.low, other.high)];
        Ok(Self::spanned([a / c, a / d, b / c, b / d]))
    }

    /// Between its corners, as a power of a positive number is monotone in both.
    fn power(self, exponent: Self) -> Result<Self, Why> {
        if exponent.low == exponent.high && exponent.low.fract() == 0.0 {
            return self.whole_power(exponent.low);
        }
        if self.low < 0.0 {
            return Err(Why::PowerOfNegative);
        }
        if self.low == 0.0 && exponent.low < 0.0 {
            return Err(Why::DivisionByZero);
        }
        let ends = [(self.low, exponent.low), (self.low, exponent.high)];
        let others = [(self.high, exponent.low), (self.high, exponent.high)];
        let corners = ends.into_iter().chain(others);
        Ok(Self::spanned(corners.map(|(base, exponent)| libm::pow(base, exponent))))
    }

    fn max(self, other: Self) -> Self {
        Self { low: self.low.max(other.low), high: self.high.max(other.high) }
    }

    fn abs(self) -> Self {
        let size = self.low.abs().max(self.high.abs());
        let least = if self.holds(0.0) { 0.0 } else { self.low.abs().min(self.high.abs()) };
        Self { low: least, high: size }
    }

    fn sign(self) -> Self {
        self.rising(|end| if end < 0.0 { -1.0 } else { 1.0 })
    }

    fn leads(self, other: Self) -> Self {
        let if_true = |leads| if leads { 1.0 } else { 0.0 };
        Self { low: if_true(self.low >= other.high), high: if_true(self.high >= other.low) }
    }

    fn sqrt(self) -> Result<Self, Why> {
        if self.low < 0.0 { Err(Why::RootOfNegative) } else { Ok(self.rising(libm::sqrt)) }
    }

    fn sin(self) -> Self {
        self.wave(libm::sin, FRAC_PI_2)
    }

    fn cos(self) -> Self {
        self.wave(libm::cos, 0.0)
    }

    fn tan(self) -> Result<Self, Why> {
        let pole = ((self.low - FRAC_PI_2) / PI).ceil() * PI + FRAC_PI_2;
        if pole <= self.high { Err(Why::DivisionByZero) } else { Ok(self.rising(libm::tan)) }
    }

    fn exp(self) -> Self {
        self.rising(libm::exp)
    }

    fn ln(self) -> Result<Self, Why> {
        if self.low > 0.0 { Ok(self.rising(libm::log)) } else { Err(Why::LogarithmOfNonPositive) }
    }
}
