//! Values with their slopes to the names of a formula: forward derivatives, exact for every
//! operation.

use super::Why;
use super::scalar::Scalar;

/// A value, and its slope to each name of the formula; slopes beyond the last are zero.
#[derive(Clone, Debug)]
pub(super) struct Dual<S> {
    pub(super) value: S,
    pub(super) slopes: Vec<S>,
}

impl<S: Scalar> Dual<S> {
    /// A value that follows no name.
    pub(super) fn constant(value: S) -> Self {
        Self { value, slopes: Vec::new() }
    }

    /// The name at `index` itself.
    pub(super) fn variable(value: S, index: usize) -> Self {
        let mut slopes = vec![S::exact(0.0); index + 1];
        slopes[index] = S::exact(1.0);
        Self { value, slopes }
    }

    pub(super) fn negative(self) -> Self {
        let value = self.value.negative();
        self.through(value, S::exact(-1.0))
    }

    pub(super) fn plus(self, other: Self) -> Self {
        let value = self.value.plus(other.value);
        self.joined(value, S::exact(1.0), &other, S::exact(1.0))
    }

    pub(super) fn minus(self, other: Self) -> Self {
        let value = self.value.minus(other.value);
        self.joined(value, S::exact(1.0), &other, S::exact(-1.0))
    }

    pub(super) fn times(self, other: Self) -> Self {
        let (a, b) = (self.value, other.value);
        self.joined(a.times(b), b, &other, a)
    }

    /// d(a/b) = da/b − (a/b)·db/b
    pub(super) fn over(self, other: Self) -> Result<Self, Why> {
        let value = self.value.over(other.value)?;
        let by_a = S::exact(1.0).over(other.value)?;
        Ok(self.joined(value, by_a, &other, value.times(by_a).negative()))
    }

    /// d(a^b) = b·a^(b−1)·da + a^b·ln a·db
    pub(super) fn power(self, other: Self) -> Result<Self, Why> {
        let (a, b) = (self.value, other.value);
        let value = a.power(b)?;
        let [by_a, by_b] = [
            self.if_varies(|| Ok(b.times(a.power(b.minus(S::exact(1.0)))?)))?,
            other.if_varies(|| Ok(value.times(a.ln()?)))?,
        ];
        Ok(self.joined(value, by_a, &other, by_b))
    }

    pub(super) fn max(self, other: Self) -> Self {
        let first = self.value.leads(other.value);
        let value = self.value.max(other.value);
        self.joined(value, first, &other, S::exact(1.0).minus(first))
    }

    pub(super) fn min(self, other: Self) -> Self {
        let first = self.value.negative().leads(other.value.negative());
        let value = self.value.min(other.value);
        self.joined(value, first, &other, S::exact(1.0).minus(first))
    }

    pub(super) fn abs(self) -> Self {
        let (value, sign) = (self.value.abs(), self.value.sign());
        self.through(value, sign)
    }

    pub(super) fn sqrt(self) -> Result<Self, Why> {
        let root = self.value.sqrt()?;
        let slope = self.if_varies(|| S::exact(0.5).over(root))?;
        Ok(self.through(root, slope))
    }

    pub(super) fn sin(self) -> Self {
        let (value, slope) = (self.value.sin(), self.value.cos());
        self.through(value, slope)
    }

    pub(super) fn cos(self) -> Self {
        let (value, slope) = (self.value.cos(), self.value.sin().negative());
        self.through(value, slope)
    }

    pub(super) fn tan(self) -> Result<Self, Why> {
        let tangent = self.value.tan()?;
        let slope = S::exact(1.0).plus(tangent.power(S::exact(2.0))?);
        Ok(self.through(tangent, slope))
    }

    pub(super) fn exp(self) -> Self {
        let value = self.value.exp();
        self.through(value, value)
    }

    pub(super) fn ln(self) -> Result<Self, Why> {
        let value = self.value.ln()?;
        let slope = S::exact(1.0).over(self.value)?;
        Ok(self.through(value, slope))
    }

    /// `value`, a function of this with the given slope.
    fn through(mut self, value: S, slope: S) -> Self {
        self.slopes.iter_mut().for_each(|inner| *inner = inner.times(slope));
        Self { value, ..self }
    }

    /// `value`, a function of this and `other` with the given slopes.
    fn joined(self, value: S, by_self: S, other: &Self, by_other: S) -> Self {
        let mut joined = self.through(value, by_self);
        let length = joined.slopes.len().max(other.slopes.len());
        joined.slopes.resize(length, S::exact(0.0));
        for (slope, inner) in joined.slopes.iter_mut().zip(&other.slopes) {
            *slope = slope.plus(inner.times(by_other));
        }
        joined
    }

    /// The slope, where anything follows it: that of a root at zero has no bound, which matters only
    /// where the zero can move.
    fn if_varies(&self, slope: impl FnOnce() -> Result<S, Why>) -> Result<S, Why> {
        if self.slopes.is_empty() {
            return Ok(S::exact(0.0));
        }
        slope().map_err(|_| Why::Steep)
    }
}
