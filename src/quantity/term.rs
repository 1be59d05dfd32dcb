//! Numbers with their units, before and while they are converted to base units.

use std::ops::Range;

use super::exact::Ratio;
use super::text::{Cursor, NUMBER_MISSING, TextError};
use super::unit::{CELSIUS_ZERO, starts_symbol};
use super::unit_meant::symbol_meant;
use super::{Measure, Unit};

/// A quantity of more base units than this is a slip: nothing that is built comes near.
const LARGEST: f64 = 1e30;

/// What is said of a bare number.
pub(super) const UNIT_MISSING: &str = "a unit is missing";

/// A number with its unit, not yet converted.
pub(super) struct Term {
    pub(super) value: Ratio,
    pub(super) unit: Unit,
    pub(super) span: Range<usize>,
}

impl Term {
    /// The value in base units; an error where it cannot be kept.
    pub(super) fn into_measure(self) -> Result<Measure, TextError> {
        let Self { value, unit, span } = self;
        let size = unit.size();
        let product = value.times(size.factor).and_then(|product| {
            if unit.kind().point { product.plus(CELSIUS_ZERO) } else { Some(product) }
        });
        let product = product.ok_or_else(|| too_many_digits(span.clone()))?;
        if unit.kind().point && product.is_negative() {
            return Err(TextError::new(span, "this is below the absolute zero of temperature"));
        }
        let (base, exact) = if size.pi == 0 {
            (product.to_f64(), product.to_decimal())
        } else {
            (product.to_f64() * size.pi_factor(), None)
        };
        if base.abs() > LARGEST {
            return Err(TextError::new(span, "the quantity is larger than anything that is built"));
        }
        if unit.currency().is_some() && exact.is_none() {
            return Err(too_many_digits(span));
        }
        Ok(Measure { base, exact, kind: unit.kind(), unit })
    }

    fn is_negative(&self) -> bool {
        self.value.is_negative()
    }
}

/// A number whose unit may be that of its neighbour.
pub(super) struct MaybeTerm {
    pub(super) value: Ratio,
    pub(super) unit: Option<Unit>,
    pub(super) span: Range<usize>,
}

impl MaybeTerm {
    /// The number with its own unit, or else in `unit`.
    pub(super) fn or_in(self, unit: &Unit) -> Term {
        let unit = self.unit.unwrap_or_else(|| unit.clone());
        Term { value: self.value, unit, span: self.span }
    }
}

pub(super) fn too_many_digits(span: Range<usize>) -> TextError {
    TextError::new(span, "the quantity has more digits than can be kept exactly")
}

/// Reads one number with its unit, or several that fall: `2 h 30 min`.
pub(super) fn read_measure(cursor: &mut Cursor<'_>) -> Result<Measure, TextError> {
    let mut sum = read_term(cursor)?;
    let negative = sum.is_negative();
    let mut smallest = sum.unit.clone();
    loop {
        let mut ahead = cursor.clone();
        ahead.skip_blanks();
        if !ahead.peek().is_some_and(|c| c.is_ascii_digit()) {
            return sum.into_measure();
        }
        let next = read_term(&mut ahead)?;
        if !goes_on_from(&smallest, &next.unit) {
            let message = format!("a part in `{}` cannot follow here", next.unit.symbol());
            return Err(TextError::new(next.span, message)
                .with_hint("the parts of one quantity fall, as in `2 h 30 min`"));
        }
        *cursor = ahead;
        sum = add(sum, &next, negative)?;
        smallest = next.unit;
    }
}

/// Whether a part in `next` may follow one in `unit`: the same dimension, a smaller unit.
fn goes_on_from(unit: &Unit, next: &Unit) -> bool {
    let falls = || unit.difference_from_base(1.0) < next.difference_from_base(1.0);
    !unit.kind().point && unit.kind() == next.kind() && unit.size().pi == next.size().pi && falls()
}

/// `sum` with `next` taken in, in the unit of the sum.
fn add(sum: Term, next: &Term, negative: bool) -> Result<Term, TextError> {
    let span = sum.span.start..next.span.end;
    let value = if negative { next.value.negated() } else { next.value };
    let scale = sum.unit.size().factor.inverted().and_then(|f| f.times(next.unit.size().factor));
    let value = scale.and_then(|scale| sum.value.plus(value.times(scale)?));
    let value = value.ok_or_else(|| too_many_digits(span.clone()))?;
    Ok(Term { value, unit: sum.unit, span })
}

/// Reads a number with its unit.
pub(super) fn read_term(cursor: &mut Cursor<'_>) -> Result<Term, TextError> {
    cursor.skip_blanks();
    let start = cursor.at();
    let value = read_number(cursor)?;
    read_unit_behind(cursor, start, value)
}

/// Reads a number; where its unit stands in front of it, that is told.
fn read_number(cursor: &mut Cursor<'_>) -> Result<Ratio, TextError> {
    let rest = cursor.rest();
    cursor.number().map_err(|error| match turned_round(rest) {
        Some(right) if error.message == NUMBER_MISSING => {
            error.with_hint(format!("the unit follows the number: `{right}`"))
        }
        _ => error,
    })
}

/// `38.00 EUR` for `€38.00` and for `EUR 38.00`.
fn turned_round(text: &str) -> Option<String> {
    let mut cursor = Cursor::new(text);
    let symbol = symbol_meant(cursor.take_while(starts_symbol))?;
    cursor.skip_blanks();
    let start = cursor.at();
    cursor.unsigned_number().ok()?;
    Some(format!("{} {symbol}", cursor.since(start)))
}

/// Reads the unit that belongs to the number `value`, which starts at `start`.
pub(super) fn read_unit_behind(
    cursor: &mut Cursor<'_>,
    start: usize,
    value: Ratio,
) -> Result<Term, TextError> {
    let number = start..cursor.at();
    cursor.skip_blanks();
    let unit = Unit::read(cursor).map_err(|error| {
        if error.message == UNIT_MISSING { TextError { span: number, ..error } } else { error }
    })?;
    Ok(Term { value, unit, span: start..cursor.at() })
}

/// Reads a number, and a unit where one follows.
pub(super) fn read_bare_or_term(cursor: &mut Cursor<'_>) -> Result<MaybeTerm, TextError> {
    cursor.skip_blanks();
    let start = cursor.at();
    let value = read_number(cursor)?;
    let span = start..cursor.at();
    let mut ahead = cursor.clone();
    ahead.skip_blanks();
    // The `x` of `84 x 60 x 9 mm` is no unit.
    let is_unit = !ahead.rest().starts_with('x') && ahead.peek().is_some_and(starts_symbol);
    if !is_unit {
        return Ok(MaybeTerm { value, unit: None, span });
    }
    let term = read_unit_behind(cursor, start, value)?;
    Ok(MaybeTerm { value, unit: Some(term.unit), span: term.span })
}
