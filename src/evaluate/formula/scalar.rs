//! What formulas are reckoned with: numbers, or intervals of them.

use super::Why;

/// Numbers that have the operations of a formula. Transcendental functions come from `libm`, so that
/// they give the same digits on every platform.
pub(in crate::evaluate) trait Scalar: Copy {
    /// A known number.
    fn exact(value: f64) -> Self;
    /// Whether it is neither infinite nor undefined.
    fn is_finite(self) -> bool;
    /// −a
    fn negative(self) -> Self;
    /// a + b
    fn plus(self, other: Self) -> Self;
    /// a − b
    fn minus(self, other: Self) -> Self {
        self.plus(other.negative())
    }
    /// a · b
    fn times(self, other: Self) -> Self;
    /// a / b
    fn over(self, other: Self) -> Result<Self, Why>;
    /// a ^ b
    fn power(self, exponent: Self) -> Result<Self, Why>;
    /// The larger of two.
    fn max(self, other: Self) -> Self;
    /// The smaller of two.
    fn min(self, other: Self) -> Self {
        self.negative().max(other.negative()).negative()
    }
    /// The size without the sign.
    fn abs(self) -> Self;
    /// The slope of [`Scalar::abs`]: 1 or −1.
    fn sign(self) -> Self;
    /// The slope of [`Scalar::max`] to its first argument: 1 where that is the larger, else 0.
    fn leads(self, other: Self) -> Self;
    /// The square root.
    fn sqrt(self) -> Result<Self, Why>;
    /// The sine.
    fn sin(self) -> Self;
    /// The cosine.
    fn cos(self) -> Self;
    /// The tangent.
    fn tan(self) -> Result<Self, Why>;
    /// The exponential.
    fn exp(self) -> Self;
    /// The natural logarithm.
    fn ln(self) -> Result<Self, Why>;
}

impl Scalar for f64 {
    fn exact(value: f64) -> Self {
        value
    }

    fn is_finite(self) -> bool {
        self.is_finite()
    }

    fn negative(self) -> Self {
        -self
    }

    fn plus(self, other: Self) -> Self {
        self + other
    }

    fn times(self, other: Self) -> Self {
        self * other
    }

    fn over(self, other: Self) -> Result<Self, Why> {
        if other == 0.0 { Err(Why::DivisionByZero) } else { Ok(self / other) }
    }

    fn power(self, exponent: Self) -> Result<Self, Why> {
        if self == 0.0 && exponent < 0.0 {
            return Err(Why::DivisionByZero);
        }
        if self < 0.0 && exponent.fract() != 0.0 {
            return Err(Why::PowerOfNegative);
        }
        Ok(libm::pow(self, exponent))
    }

    fn max(self, other: Self) -> Self {
        if self >= other { self } else { other }
    }

    fn abs(self) -> Self {
        self.abs()
    }

    fn sign(self) -> Self {
        if self < 0.0 { -1.0 } else { 1.0 }
    }

    fn leads(self, other: Self) -> Self {
        if self >= other { 1.0 } else { 0.0 }
    }

    fn sqrt(self) -> Result<Self, Why> {
        if self < 0.0 { Err(Why::RootOfNegative) } else { Ok(libm::sqrt(self)) }
    }

    fn sin(self) -> Self {
        libm::sin(self)
    }

    fn cos(self) -> Self {
        libm::cos(self)
    }

    fn tan(self) -> Result<Self, Why> {
        Ok(libm::tan(self))
    }

    fn exp(self) -> Self {
        libm::exp(self)
    }

    fn ln(self) -> Result<Self, Why> {
        if self > 0.0 { Ok(libm::log(self)) } else { Err(Why::LogarithmOfNonPositive) }
    }
}
