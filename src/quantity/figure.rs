//! The values that records hold.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::{Currency, Dimension, Kind, Unit};

/// A number with a unit, nothing more: a limit, a voltage, a density.
///
/// Two measures are equal when they mean the same, whatever unit they were written in.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Measure {
    /// The value in base units (a temperature point in kelvin; money in whole currency units).
    pub base: f64,
    /// The same, exactly, where it fits 28 decimal digits; always there for money.
    pub exact: Option<Decimal>,
    /// Its dimension, and whether it is a temperature point.
    pub kind: Kind,
    /// The unit it was written in, for showing.
    pub unit: Unit,
}

impl PartialEq for Measure {
    fn eq(&self, other: &Self) -> bool {
        self.base.to_bits() == other.base.to_bits()
            && self.kind == other.kind
            && (self.kind.dimension.currency.is_none() || self.exact == other.exact)
    }
}

/// How well a figure is known, from least to best.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// A guess.
    #[default]
    Estimated,
    /// Computed from a model or a drawing.
    Calculated,
    /// Stated by a maker.
    Stated,
    /// Measured on the thing itself.
    Measured,
}

impl Basis {
    /// Every basis with its word in a record.
    pub const WORDS: [(&'static str, Self); 4] = [
        ("estimated", Self::Estimated),
        ("calculated", Self::Calculated),
        ("stated", Self::Stated),
        ("measured", Self::Measured),
    ];

    /// The word in a record.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// What the ± of a figure means.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Distribution {
    /// The expanded uncertainty at the manifest's coverage factor.
    #[default]
    Normal,
    /// A half-width: u = a/√3 (GUM 4.3.7).
    Uniform,
}

impl Distribution {
    /// Both with their word in a record.
    pub const WORDS: [(&'static str, Self); 2] =
        [("normal", Self::Normal), ("uniform", Self::Uniform)];
}

/// The ± of a figure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    /// Half-width in base units, never negative.
    pub half_width: f64,
    /// What it means.
    pub distribution: Distribution,
}

/// What is known of a part: a measure with its uncertainty and how it is known.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// The value.
    pub measure: Measure,
    /// Its ±, where one is given.
    pub spread: Option<Spread>,
    /// How it is known; `None` where the record does not say (it then counts as estimated).
    pub basis: Option<Basis>,
}

/// An exact amount of money.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Money {
    /// In whole units of the currency.
    pub amount: Decimal,
    /// The currency.
    pub currency: Currency,
}

/// A drawn size with its limits: bounds, not an uncertainty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Toleranced {
    /// The nominal value.
    pub nominal: Measure,
    /// Upper limit deviation in base units, signed.
    pub upper: f64,
    /// Lower limit deviation in base units, signed.
    pub lower: f64,
    /// How many standard deviations of what is made lie between the middle of the tolerance and
    /// either limit, where that is said.
    pub sigmas: Option<f64>,
}

/// How much of a part: pieces, or a length, mass, area or volume of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Amount {
    /// Pieces, or the amount in base units; exact.
    pub exact: Decimal,
    /// [`Dimension::NONE`] for pieces.
    pub dimension: Dimension,
    /// The unit it was written in.
    pub unit: Unit,
}

impl Amount {
    /// `count` pieces.
    #[must_use]
    pub fn pieces(count: u64) -> Self {
        Self { exact: Decimal::from(count), dimension: Dimension::NONE, unit: Unit::none() }
    }
}
