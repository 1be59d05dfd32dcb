//! What a result comes to: its value with its uncertainty, a temperature carried to the ambient that
//! is against the designer.

use crate::design::Design;
use crate::evaluate;
use crate::evaluate::heat::Extreme;
use crate::quantity::Kind;
use crate::record::{AmbientRule, Evidence, Id};

/// A temperature that rises faster is not steady, and no evidence: 2 K in an hour, in K/s.
///
/// IEC 61010-1's practice, read in a restatement.
pub const MOST_RISE_K_PER_S: f64 = 2.0 / 3600.0;

/// A result's value as it is judged against one side of limits, in base units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The value.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// The value as it was measured, and how it was carried, where it was.
    pub carried: Option<Carried>,
}

/// How a temperature was carried, in K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carried {
    /// The temperature on the bench.
    pub measured_k: f64,
    /// The ambient on the bench.
    pub bench_k: f64,
    /// The ambient that it was carried to.
    pub ambient_k: f64,
}

/// Why a result that is current is no evidence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NotCounting {
    /// The temperature was still rising.
    NotSteady,
    /// It does not say how warm it was around the bench, and so cannot be carried.
    NoAmbient,
    /// The manifest does not say how warm or cold it may be around the product.
    NoWorkingAmbient,
}

/// Whether `quantity` is a temperature of the design.
#[must_use]
pub fn is_of_temperature(design: &Design, quantity: &Id) -> bool {
    let known = design.quantities.get(quantity);
    known.is_some_and(|known| known.unit.kind() == Kind::TEMPERATURE_POINT)
}

/// The value of a result against limits on the side that `extreme` belongs to: at-most limits are
/// judged where it is hottest.
///
/// A temperature is carried: T + (T_ambient − T_bench), the uncertainty of the bench's ambient added
/// as a square (JCGM 100:2008, 5.1.2; the rule is that of heating tests, EN 60950-1, 1.4.12).
/// `None` for a result without a value.
///
/// # Errors
/// [`NotCounting`] where the result is no evidence.
pub fn reading(
    design: &Design,
    evidence: &Evidence,
    rule: AmbientRule,
    extreme: Extreme,
) -> Option<Result<Reading, NotCounting>> {
    let figure = evidence.value.as_ref()?;
    let measured = evaluate::measured(design, figure);
    let plain = Reading { value: measured.value(), u: measured.u, carried: None };
    let quantity = evidence.quantity.as_ref()?;
    if !is_of_temperature(design, quantity) {
        return Some(Ok(plain));
    }
    if evidence.steady.as_ref().is_some_and(|rise| rise.measure.base > MOST_RISE_K_PER_S) {
        return Some(Err(NotCounting::NotSteady));
    }
    if rule != AmbientRule::Carry {
        return Some(Ok(plain));
    }
    Some(carried(design, evidence, plain, extreme))
}

fn carried(
    design: &Design,
    evidence: &Evidence,
    plain: Reading,
    extreme: Extreme,
) -> Result<Reading, NotCounting> {
    let bench = evidence.ambient.as_ref().ok_or(NotCounting::NoAmbient)?;
    let bench = evaluate::measured(design, bench);
    let ambient_k = extreme.ambient_k(design).ok_or(NotCounting::NoWorkingAmbient)?;
    let bench_k = bench.value();
    Ok(Reading {
        value: plain.value + (ambient_k - bench_k),
        u: libm::hypot(plain.u, bench.u),
        carried: Some(Carried { measured_k: plain.value, bench_k, ambient_k }),
    })
}
