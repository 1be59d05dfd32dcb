//! What the keys of quantities take: a dimension, a sign, and a size that is not absurd.

use super::sink::Sink;
use super::{BAD_VALUE, WRONG_DIMENSION};
use crate::diagnostic::{Diagnostic, Span};
use crate::quantity::{Dimension, Kind, TextError};

/// The dimension and sign that a key asks for.
pub(super) struct Wanted {
    kinds: &'static [Kind],
    sign: Sign,
    word: Option<&'static str>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Sign {
    Any,
    NotNegative,
    AboveZero,
}

pub(super) const TIME: Wanted = not_negative(&[Kind::of(Dimension::TIME)]);
/// Torque and energy are of one dimension; what is meant shows from the key.
pub(super) const TORQUE: Wanted =
    Wanted { word: Some("a torque"), ..not_negative(&[Kind::of(Dimension::TORQUE)]) };
pub(super) const CURRENT: Wanted = not_negative(&[Kind::of(Dimension::CURRENT)]);
pub(super) const PER_KELVIN: Wanted = not_negative(&[Kind::of(Dimension::PER_KELVIN)]);
pub(super) const LENGTH: Wanted = above_zero(&[Kind::of(Dimension::LENGTH)]);
pub(super) const RATING: Wanted = above_zero(&[Kind::of(Dimension::CURRENT)]);
pub(super) const DENSITY: Wanted = above_zero(&[Kind::of(Dimension::DENSITY)]);
pub(super) const RESISTANCE: Wanted = above_zero(&[Kind::of(Dimension::THERMAL_RESISTANCE)]);
pub(super) const CAPACITY: Wanted =
    above_zero(&[Kind::of(Dimension::CHARGE), Kind::of(Dimension::ENERGY)]);
pub(super) const VOLTAGE: Wanted = any_sign(&[Kind::of(Dimension::VOLTAGE)]);
pub(super) const TEMPERATURE: Wanted = any_sign(&[Kind::TEMPERATURE_POINT]);
pub(super) const TEMPERATURE_RATE: Wanted = any_sign(&[Kind::of(Dimension::TEMPERATURE_RATE)]);

const fn any_sign(kinds: &'static [Kind]) -> Wanted {
    Wanted { kinds, sign: Sign::Any, word: None }
}

const fn not_negative(kinds: &'static [Kind]) -> Wanted {
    Wanted { kinds, sign: Sign::NotNegative, word: None }
}

const fn above_zero(kinds: &'static [Kind]) -> Wanted {
    Wanted { kinds, sign: Sign::AboveZero, word: None }
}

impl Wanted {
    /// `a charge or an energy`.
    pub(super) fn what(&self) -> String {
        let words = || self.kinds.iter().map(ToString::to_string).collect::<Vec<_>>();
        self.word.map_or_else(|| words().join(" or "), str::to_owned)
    }

    /// Whether a quantity of `kind` and `base` units is wanted; a diagnostic where it is not.
    pub(super) fn takes(&self, kind: Kind, base: f64, span: Span, sink: &Sink<'_>) -> bool {
        let complaint = if !self.kinds.contains(&kind) {
            let message = format!("this is {kind}, where {} is wanted", self.what());
            let hint = self.kinds.iter().find_map(|wanted| wanted.instead_of(kind));
            Some(Diagnostic::error(WRONG_DIMENSION, span, message).with_hint_if(hint))
        } else if self.sign == Sign::NotNegative && base < 0.0 {
            Some(Diagnostic::error(BAD_VALUE, span, "this cannot be negative"))
        } else if self.sign == Sign::AboveZero && base <= 0.0 {
            Some(Diagnostic::error(BAD_VALUE, span, "this must be more than zero"))
        } else {
            None
        };
        let right = complaint.is_none();
        complaint.into_iter().for_each(|diagnostic| sink.push(diagnostic));
        right
    }
}

/// The largest quantities that a record can hold, in base units: what is beyond is a slip of the
/// unit or of a digit, and would drown everything that it is added to.
const LARGEST: [(Dimension, f64, &str); 7] = [
    (Dimension::LENGTH, 1e6, "1,000 km"),
    (Dimension::AREA, 1e9, "1,000 km²"),
    (Dimension::VOLUME, 1e9, "1 km³"),
    (Dimension::MASS, 1e9, "a million tonnes"),
    (Dimension::TIME, 1e11, "3,000 years"),
    (Dimension::TEMPERATURE, 1e6, "a million kelvin"),
    (Dimension::NONE, 1e9, "a thousand million"),
];

/// The largest amount of money, in units of its currency.
const MOST_MONEY: f64 = 1e12;

/// Refuses the quantity written in `text` where it is of an absurd size.
pub(super) fn plausible(kind: Kind, base: f64, text: &str) -> Result<(), TextError> {
    let of_dimension = LARGEST.iter().find(|(dimension, ..)| *dimension == kind.dimension);
    let (most, word) = match of_dimension {
        Some((_, most, word)) => (*most, *word),
        None if kind.dimension.currency.is_some() => (MOST_MONEY, "a million million"),
        None => return Ok(()),
    };
    if base.abs() <= most {
        return Ok(());
    }
    Err(TextError {
        span: 0..text.len(),
        message: format!("this is beyond {word}, the most that is taken"),
        hint: Some("check the number and its unit".to_owned()),
    })
}
