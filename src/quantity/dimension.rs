//! Dimensions: which quantities may be added, compared and multiplied.

use std::fmt;

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A currency of ISO 4217; each is a dimension of its own.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Currency(pub iso_currency::Currency);

impl Currency {
    /// A code of ISO 4217 that no money has: it is set aside for tests.
    pub const NONE: Self = Self(iso_currency::Currency::XTS);

    /// The currency with this three-letter code.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        iso_currency::Currency::from_code(code).map(Self)
    }

    /// The three letters.
    #[must_use]
    pub fn code(self) -> &'static str {
        self.0.code()
    }

    /// Decimal places of the minor unit (ISO 4217); 2 where the standard names none.
    #[must_use]
    pub fn minor_digits(self) -> u32 {
        self.0.exponent().map_or(2, u32::from)
    }
}

/// By its number in ISO 4217.
impl Serialize for Currency {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_u16(self.0.numeric())
    }
}

impl<'de> Deserialize<'de> for Currency {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let known = iso_currency::Currency::from_numeric(u16::deserialize(deserializer)?);
        known.map(Self).ok_or_else(|| D::Error::custom("no currency of ISO 4217"))
    }
}

impl fmt::Debug for Currency {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.code())
    }
}

impl PartialOrd for Currency {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Currency {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.code().cmp(other.code())
    }
}

/// Exponents of the base units, and of at most one currency.
///
/// The order is length, mass, time, current, temperature, amount of substance, luminous intensity,
/// level (the decibel is no ratio here: levels are compared, never added to plain numbers).
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
pub struct Dimension {
    /// Exponents of m, kg, s, A, K, mol, cd, dB.
    pub exponents: [i8; 8],
    /// The currency and its exponent, never zero.
    pub currency: Option<(Currency, i8)>,
}

impl Dimension {
    /// A plain number.
    pub const NONE: Self = Self { exponents: [0; 8], currency: None };
    /// m
    pub const LENGTH: Self = Self::base(0);
    /// kg
    pub const MASS: Self = Self::base(1);
    /// s
    pub const TIME: Self = Self::base(2);
    /// A
    pub const CURRENT: Self = Self::base(3);
    /// K
    pub const TEMPERATURE: Self = Self::base(4);
    /// dB
    pub const LEVEL: Self = Self::base(7);
    /// m²
    pub const AREA: Self = Self { exponents: [2, 0, 0, 0, 0, 0, 0, 0], currency: None };
    /// m³
    pub const VOLUME: Self = Self { exponents: [3, 0, 0, 0, 0, 0, 0, 0], currency: None };
    /// kg/m³
    pub const DENSITY: Self = Self { exponents: [-3, 1, 0, 0, 0, 0, 0, 0], currency: None };
    /// W
    pub const POWER: Self = Self { exponents: [2, 1, -3, 0, 0, 0, 0, 0], currency: None };
    /// J
    pub const ENERGY: Self = Self { exponents: [2, 1, -2, 0, 0, 0, 0, 0], currency: None };
    /// A·s
    pub const CHARGE: Self = Self { exponents: [0, 0, 1, 1, 0, 0, 0, 0], currency: None };
    /// A·s/V
    pub const CAPACITANCE: Self = Self { exponents: [-2, -1, 4, 2, 0, 0, 0, 0], currency: None };
    /// V
    pub const VOLTAGE: Self = Self { exponents: [2, 1, -3, -1, 0, 0, 0, 0], currency: None };
    /// K/W
    pub const THERMAL_RESISTANCE: Self =
        Self { exponents: [-2, -1, 3, 0, 1, 0, 0, 0], currency: None };
    /// K/s
    pub const TEMPERATURE_RATE: Self =
        Self { exponents: [0, 0, -1, 0, 1, 0, 0, 0], currency: None };
    /// 1/K
    pub const PER_KELVIN: Self = Self { exponents: [0, 0, 0, 0, -1, 0, 0, 0], currency: None };
    /// N·m
    pub const TORQUE: Self = Self::ENERGY;

    const fn base(index: usize) -> Self {
        let mut exponents = [0; 8];
        exponents[index] = 1;
        Self { exponents, currency: None }
    }

    /// One unit of `currency`.
    #[must_use]
    pub const fn money(currency: Currency) -> Self {
        Self { exponents: [0; 8], currency: Some((currency, 1)) }
    }

    /// The dimension of a product; `None` where two currencies or an exponent beyond ±127 would meet.
    #[must_use]
    pub fn times(self, other: Self) -> Option<Self> {
        self.combine(other, 1)
    }

    /// The dimension of a quotient; `None` where two currencies or an exponent beyond ±127 would meet.
    #[must_use]
    pub fn over(self, other: Self) -> Option<Self> {
        self.combine(other, -1)
    }

    /// The dimension of a power; `None` where an exponent would pass ±127.
    #[must_use]
    pub fn to_the(self, power: i8) -> Option<Self> {
        let mut exponents = [0; 8];
        for (out, exponent) in exponents.iter_mut().zip(self.exponents) {
            *out = exponent.checked_mul(power)?;
        }
        let currency = match self.currency {
            Some((currency, exponent)) if power != 0 => {
                Some((currency, exponent.checked_mul(power)?))
            }
            _ => None,
        };
        Some(Self { exponents, currency })
    }

    fn combine(self, other: Self, sign: i8) -> Option<Self> {
        let mut exponents = self.exponents;
        for (out, exponent) in exponents.iter_mut().zip(other.exponents) {
            *out = out.checked_add(exponent.checked_mul(sign)?)?;
        }
        let currency = match (self.currency, other.currency) {
            (Some((a, _)), Some((b, _))) if a != b => return None,
            (Some((a, m)), Some((_, n))) => Some((a, m.checked_add(n.checked_mul(sign)?)?)),
            (None, Some((b, n))) => Some((b, n.checked_mul(sign)?)),
            (mine, None) => mine,
        };
        Some(Self { exponents, currency: currency.filter(|(_, exponent)| *exponent != 0) })
    }
}

impl fmt::Display for Dimension {
    /// The trade's word where there is one (`a mass`), else the base units (`kg/m`, `m²·kg/(s³·A²)`).
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words = [
            (Self::NONE, "a plain number"),
            (Self::LENGTH, "a length"),
            (Self::MASS, "a mass"),
            (Self::TIME, "a time"),
            (Self::CURRENT, "a current"),
            (Self::TEMPERATURE, "a temperature difference"),
            (Self::LEVEL, "a level"),
            (Self::AREA, "an area"),
            (Self::VOLUME, "a volume"),
            (Self::DENSITY, "a density"),
            (Self::POWER, "a power"),
            (Self::ENERGY, "an energy"),
            (Self::CHARGE, "a charge"),
            (Self::CAPACITANCE, "a capacitance"),
            (Self::VOLTAGE, "a voltage"),
            (Self::THERMAL_RESISTANCE, "a thermal resistance"),
            (Self::TEMPERATURE_RATE, "a rate of temperature"),
            (Self::PER_KELVIN, "a share per kelvin"),
            (Self { exponents: [1, 1, -2, 0, 0, 0, 0, 0], currency: None }, "a force"),
            (Self { exponents: [-1, 1, -2, 0, 0, 0, 0, 0], currency: None }, "a pressure"),
            (
                Self { exponents: [2, 1, -3, 0, -1, 0, 0, 0], currency: None },
                "a thermal conductance",
            ),
        ];
        if let Some((_, word)) = words.iter().find(|(dimension, _)| dimension == self) {
            return formatter.write_str(word);
        }
        if let Some((currency, 1)) = self.currency
            && self.exponents == [0; 8]
        {
            return write!(formatter, "an amount of {}", currency.code());
        }
        let symbols = ["m", "kg", "s", "A", "K", "mol", "cd", "dB"];
        let money = self.currency.map(|(currency, exponent)| (currency.code(), exponent));
        let factors = || symbols.into_iter().zip(self.exponents).chain(money);
        let above = product(factors().filter(|(_, exponent)| *exponent > 0));
        let below: Vec<_> = factors().filter(|(_, exponent)| *exponent < 0).collect();
        formatter.write_str(if above.is_empty() { "1" } else { &above })?;
        match below.len() {
            0 => Ok(()),
            1 => write!(formatter, "/{}", product(below)),
            _ => write!(formatter, "/({})", product(below)),
        }
    }
}

/// `m²·kg` of the symbols with the sizes of their exponents.
fn product<'a>(factors: impl IntoIterator<Item = (&'a str, i8)>) -> String {
    const RAISED: [&str; 10] = ["⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"];
    let raised = |exponent: i8| -> String {
        let digits = exponent.unsigned_abs().to_string();
        digits.bytes().map(|digit| RAISED[usize::from(digit - b'0')]).collect()
    };
    let factor = |(symbol, exponent): (&str, i8)| match exponent.unsigned_abs() {
        1 => symbol.to_owned(),
        _ => format!("{symbol}{}", raised(exponent)),
    };
    factors.into_iter().map(factor).collect::<Vec<_>>().join("·")
}

/// A dimension, and whether a temperature is a point on the scale or a difference of two.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
pub struct Kind {
    /// What may be compared with it.
    pub dimension: Dimension,
    /// A point on the temperature scale (`60 °C`), not a difference (`15 K`).
    pub point: bool,
}

impl Kind {
    /// A quantity of `dimension` that is no temperature point.
    #[must_use]
    pub const fn of(dimension: Dimension) -> Self {
        Self { dimension, point: false }
    }

    /// What is to be written where this is wanted and `found` is there: a letter that stands for
    /// degrees elsewhere is the unit of something else here.
    #[must_use]
    pub fn instead_of(self, found: Self) -> Option<String> {
        if self.dimension != Dimension::TEMPERATURE {
            return None;
        }
        let unit = if self.point { "°C" } else { "K" };
        let what = match found.dimension {
            Dimension::TEMPERATURE => String::new(),
            Dimension::CHARGE => "; `C` is the coulomb".to_owned(),
            Dimension::CAPACITANCE => {
                "; `F` is the farad, and degrees Fahrenheit are not read".to_owned()
            }
            _ => return None,
        };
        Some(format!("{self} is written in {unit}{what}"))
    }

    /// A temperature point.
    pub const TEMPERATURE_POINT: Self = Self { dimension: Dimension::TEMPERATURE, point: true };
}

impl fmt::Display for Kind {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.point {
            formatter.write_str("a temperature")
        } else {
            self.dimension.fmt(formatter)
        }
    }
}
