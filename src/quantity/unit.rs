//! Units: `mm`, `K/W`, `N·m`, `g/cm³`, `EUR/kg`.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::sync::{Arc, LazyLock};

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::exact::Ratio;
use super::term::UNIT_MISSING;
use super::text::{Cursor, TextError};
use super::unit_meant::{missing_unit, unknown_unit};
use super::unit_table;
use super::{Currency, Dimension, Kind};

/// What the zero of the Celsius scale is in kelvin (SI brochure, 2.3.1), exactly.
pub(super) const CELSIUS_ZERO: Ratio = Ratio::decimal(27_315, -2);

/// A unit as it was written, with its dimension and its exact size in base units; cheap to clone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unit(Arc<Written>);

#[derive(Debug, PartialEq, Eq)]
struct Written {
    symbol: Box<str>,
    kind: Kind,
    size: Size,
}

/// The units that records are full of, read once.
static COMMON: LazyLock<BTreeMap<&str, Unit>> = LazyLock::new(|| {
    let read = |symbol: &&'static str| Some((*symbol, Unit::parse_anew(symbol).ok()?));
    unit_table::COMMON.iter().filter_map(read).collect()
});

/// A unit's size in base units: an exact factor, times a power of π where angles in degrees occur.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Size {
    pub(super) factor: Ratio,
    pub(super) pi: i8,
}

impl Size {
    /// The power of π. (By repeated multiplication: `powi` may differ from platform to platform.)
    pub(super) fn pi_factor(self) -> f64 {
        let product = (0..self.pi.unsigned_abs()).fold(1.0, |product, _| product * PI);
        if self.pi < 0 { 1.0 / product } else { product }
    }
}

/// As it is written.
impl Serialize for Unit {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.symbol())
    }
}

impl<'de> Deserialize<'de> for Unit {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let symbol = <&str>::deserialize(deserializer)?;
        if symbol.is_empty() {
            return Ok(Self::none());
        }
        Self::parse(symbol).map_err(|_| D::Error::custom("no unit"))
    }
}

impl Unit {
    /// The unit of a plain number.
    #[must_use]
    pub fn none() -> Self {
        Self::plain("", Ratio::ONE)
    }

    /// One hundredth.
    #[must_use]
    pub fn percent() -> Self {
        Self::plain("%", Ratio::decimal(1, -2))
    }

    /// Reads a unit that stands alone: `dB`, `K/W`, `1/min`.
    ///
    /// # Errors
    /// Where a symbol is unknown, with the nearest known one as the hint; where two currencies
    /// meet; where powers are beyond reason.
    pub fn parse(text: &str) -> Result<Self, TextError> {
        let known = COMMON.get(text).cloned();
        known.map_or_else(|| Self::parse_anew(text), Ok)
    }

    pub(super) fn parse_anew(text: &str) -> Result<Self, TextError> {
        let mut cursor = Cursor::new(text);
        cursor.skip_blanks();
        let unit = Self::read_anew(&mut cursor)?;
        cursor.finish()?;
        Ok(unit)
    }

    /// What a quantity in this unit is; a temperature point only for `°C` by itself.
    #[must_use]
    pub fn kind(&self) -> Kind {
        self.0.kind
    }

    /// The text as it was written; empty for a plain number.
    #[must_use]
    pub fn symbol(&self) -> &str {
        &self.0.symbol
    }

    /// The symbol of a difference of two quantities in this unit: `K` for `°C`.
    #[must_use]
    pub fn difference_symbol(&self) -> &str {
        if self.kind().point { "K" } else { &self.0.symbol }
    }

    /// A value in base units, as the number in front of this unit.
    #[must_use]
    pub fn from_base(&self, base: f64) -> f64 {
        if self.kind().point {
            base - CELSIUS_ZERO.to_f64()
        } else {
            self.difference_from_base(base)
        }
    }

    /// A difference in base units, as the number in front of this unit (of `K` for `°C`).
    #[must_use]
    pub fn difference_from_base(&self, base: f64) -> f64 {
        self.size().factor.divide(base) / self.size().pi_factor()
    }

    /// Its size in base units.
    pub(super) fn size(&self) -> Size {
        self.0.size
    }

    /// Whether it says a share of something: `%`, `ppm`.
    pub(super) fn is_share(&self) -> bool {
        matches!(self.symbol(), "%" | "ppm")
    }

    /// The currency, where the unit is one by itself.
    pub(super) fn currency(&self) -> Option<Currency> {
        let (currency, _) = self.kind().dimension.currency?;
        (self.kind().dimension == Dimension::money(currency)).then_some(currency)
    }

    /// Reads the unit that comes next; it ends before the first character that cannot be its own.
    pub(super) fn read(cursor: &mut Cursor<'_>) -> Result<Self, TextError> {
        // What stands between blanks is read to its end, so it can be looked up as a whole.
        let rest = cursor.rest();
        let word = rest.split(' ').next().unwrap_or(rest);
        match COMMON.get(word) {
            Some(unit) => {
                cursor.take(word);
                Ok(unit.clone())
            }
            None => Self::read_anew(cursor),
        }
    }

    fn read_anew(cursor: &mut Cursor<'_>) -> Result<Self, TextError> {
        let start = cursor.at();
        if cursor.peek() == Some('1') {
            read_reciprocal_one(cursor)?;
        } else if !cursor.peek().is_some_and(starts_symbol) {
            return Err(missing_unit(cursor));
        }
        let mut product = Product::ONE;
        if cursor.at() == start {
            product.read_factor(cursor, 1)?;
        }
        while let Some(sign) = take_operator(cursor) {
            if sign < 0 && cursor.take("(") {
                product.read_group(cursor)?;
            } else {
                product.read_factor(cursor, sign)?;
            }
        }
        Ok(product.named(cursor.since(start)))
    }

    fn plain(symbol: &str, factor: Ratio) -> Self {
        let kind = Kind::of(Dimension::NONE);
        Self::new(symbol, kind, Size { factor, pi: 0 })
    }

    fn new(symbol: &str, kind: Kind, size: Size) -> Self {
        Self(Arc::new(Written { symbol: symbol.into(), kind, size }))
    }
}

/// The product of the factors read so far.
struct Product {
    dimension: Dimension,
    size: Size,
    factors: u32,
    point: bool,
}

/// Beyond these powers of ten a unit has no use, and floats no room.
const LARGEST_POWER: f64 = 1e60;

impl Product {
    const ONE: Self = Self {
        dimension: Dimension::NONE,
        size: Size { factor: Ratio::ONE, pi: 0 },
        factors: 0,
        point: false,
    };

    /// Reads a symbol with its exponent and takes it in; `sign` is −1 for a divisor.
    fn read_factor(&mut self, cursor: &mut Cursor<'_>, sign: i8) -> Result<(), TextError> {
        let start = cursor.at();
        let symbol = cursor.take_while(is_in_symbol);
        let (unit, size, point) = resolve(symbol).ok_or_else(|| unknown_unit(symbol, start))?;
        let exponent = read_exponent(cursor)?;
        self.point = point && exponent.is_none();
        self.factors += 1;
        self.take_in(unit, size, sign * exponent.unwrap_or(1))
            .map_err(|message| TextError::new(start..cursor.at(), message))
    }

    /// Reads the divisors in parentheses of `W/(m·K)`.
    fn read_group(&mut self, cursor: &mut Cursor<'_>) -> Result<(), TextError> {
        loop {
            self.read_factor(cursor, -1)?;
            if cursor.take(")") {
                return Ok(());
            }
            let start = cursor.clone();
            if take_operator(cursor) != Some(1) {
                return Err(start.error_here("`)` is missing behind the divisors of a unit"));
            }
        }
    }

    fn take_in(&mut self, unit: Dimension, size: Size, power: i8) -> Result<(), &'static str> {
        let too_large = "the unit is beyond all sizes that can be kept";
        let theirs = unit.to_the(power).ok_or(too_large)?;
        let mine = self.dimension;
        self.dimension = mine.times(theirs).ok_or(match (mine.currency, theirs.currency) {
            (Some((mine, _)), Some((theirs, _))) if mine != theirs => {
                "two currencies meet in a unit"
            }
            _ => too_large,
        })?;
        let factor = size.factor.to_the(power).and_then(|factor| self.size.factor.times(factor));
        self.size.factor = factor.ok_or(too_large)?;
        let pi = size.pi.checked_mul(power).and_then(|pi| self.size.pi.checked_add(pi));
        self.size.pi = pi.ok_or(too_large)?;
        let factor = self.size.factor.to_f64();
        if (1.0 / LARGEST_POWER..=LARGEST_POWER).contains(&factor) {
            Ok(())
        } else {
            Err(too_large)
        }
    }

    fn named(self, symbol: &str) -> Unit {
        let point = self.point && self.factors == 1 && self.dimension == Dimension::TEMPERATURE;
        let kind = Kind { dimension: self.dimension, point };
        Unit::new(symbol, kind, self.size)
    }
}

/// Steps over the `1` of `1/K`, which must have a divisor.
fn read_reciprocal_one(cursor: &mut Cursor<'_>) -> Result<(), TextError> {
    let start = cursor.clone();
    cursor.take("1");
    if cursor.rest().starts_with('/') { Ok(()) } else { Err(start.error_here(UNIT_MISSING)) }
}

/// Steps over a sign of multiplication (1) or division (−1) that a symbol follows without a blank.
fn take_operator(cursor: &mut Cursor<'_>) -> Option<i8> {
    let mut ahead = cursor.clone();
    let sign = if ahead.take("/") {
        -1
    } else if ["·", "\u{22c5}", "*"].iter().any(|dot| ahead.take(dot)) {
        1
    } else {
        return None;
    };
    let follows = |c: char| starts_symbol(c) || (sign < 0 && c == '(');
    ahead.peek().is_some_and(follows).then(|| {
        *cursor = ahead;
        sign
    })
}

/// The power behind a symbol: `^2`, `^-1`, `²`, `⁻¹`; `None` where there is none.
fn read_exponent(cursor: &mut Cursor<'_>) -> Result<Option<i8>, TextError> {
    let start = cursor.at();
    let (negative, digits) = if cursor.take("^") {
        let negative = cursor.take_sign().unwrap_or(false);
        (negative, cursor.take_while(|c| c.is_ascii_digit()))
    } else {
        let negative = cursor.take("⁻");
        (negative, cursor.take_while(|c| superscript(c).is_some()))
    };
    if cursor.at() == start {
        return Ok(None);
    }
    let mut characters = digits.chars();
    match (characters.next().and_then(digit_of), characters.next()) {
        (Some(digit @ 1..=9), None) => Ok(Some(if negative { -digit } else { digit })),
        _ => {
            let message = "a unit's power is a whole number from -9 to 9, not 0";
            Err(TextError::new(start..cursor.at(), message))
        }
    }
}

fn digit_of(digit: char) -> Option<i8> {
    superscript(digit).or_else(|| digit.to_digit(10)).and_then(|value| i8::try_from(value).ok())
}

/// The value of a raised digit; three of them are older than their row in Unicode.
fn superscript(digit: char) -> Option<u32> {
    match digit {
        '¹' => Some(1),
        '²' => Some(2),
        '³' => Some(3),
        '⁰' | '⁴'..='⁹' => Some(u32::from(digit) - u32::from('⁰')),
        _ => None,
    }
}

/// Whether a unit's symbol can begin with this character.
pub(super) fn starts_symbol(c: char) -> bool {
    c.is_alphabetic() || matches!(c, '%' | '°' | '€' | '$' | '£')
}

/// Whether a unit's symbol can go on with this character: digits are of none, and are taken along
/// so that `cm2` is one unknown symbol.
fn is_in_symbol(c: char) -> bool {
    starts_symbol(c) || c.is_ascii_digit()
}

/// Dimension, size and whether a point is meant by the unit of this symbol.
pub(super) fn resolve(symbol: &str) -> Option<(Dimension, Size, bool)> {
    if let Some((atom, power)) = unit_table::find(symbol) {
        let dimension = Dimension { exponents: atom.exponents, currency: None };
        let factor = atom.factor.times(Ratio::decimal(1, power))?;
        return Some((dimension, Size { factor, pi: atom.pi }, atom.point));
    }
    let currency = Currency::from_code(symbol)?;
    Some((Dimension::money(currency), Size { factor: Ratio::ONE, pi: 0 }, false))
}
