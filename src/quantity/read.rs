//! Reading quantities as they are written in records.

use std::ops::Range;

use rust_decimal::Decimal;

use super::exact::Ratio;
use super::term::{self, Term, UNIT_MISSING, read_bare_or_term, read_measure, read_term};
use super::text::Cursor;
pub use super::text::TextError;
use super::{Amount, Basis, Dimension, Distribution, Figure, Kind, Measure, Money, Spread};
use super::{Toleranced, Unit};
use crate::diagnostic::did_you_mean;

/// Reads a number with a unit: `450 EUR`, `5 °C`, `2 h 30 min`, `2.4 K/W`, `20 %`.
///
/// # Errors
/// Where the text is no quantity, or one of more than 10³⁰ base units.
pub fn measure(text: &str) -> Result<Measure, TextError> {
    whole(text, read_measure)
}

/// Reads what is known of a part: `31 g`, `31 g ± 0.5 g measured`, `14 mm ± 1 %`, `58 °C ± 1.5 K`.
///
/// A percentage behind ± is a share of the value, unless the value is one itself: `88 % ± 2 %`
/// lies between 86 % and 90 %.
///
/// # Errors
/// Where the text is no such figure, or the ± does not go with the value.
pub fn figure(text: &str) -> Result<Figure, TextError> {
    whole(text, |cursor| {
        let measure = read_measure(cursor)?;
        let spread = read_half_width(cursor, &measure)?
            .map(|half_width| Spread { half_width, distribution: Distribution::default() });
        Ok(Figure { measure, spread, basis: read_basis(cursor)? })
    })
}

/// Reads the same of what may be a plain number too: `780 ± 12`, `0.35 measured`.
///
/// # Errors
/// Where the text is no such figure, or the ± does not go with the value.
pub fn figure_or_number(text: &str) -> Result<Figure, TextError> {
    whole(text, |cursor| {
        let number = take_bare_number(cursor);
        let measure = number.map_or_else(|| read_measure(cursor), Ok)?;
        let spread = read_half_width(cursor, &measure)?
            .map(|half_width| Spread { half_width, distribution: Distribution::default() });
        Ok(Figure { measure, spread, basis: read_basis(cursor)? })
    })
}

/// Steps over a number, where no unit follows it.
fn take_bare_number(cursor: &mut Cursor<'_>) -> Option<Measure> {
    let mut ahead = cursor.clone();
    ahead.skip_blanks();
    let start = ahead.at();
    let value = ahead.number().ok()?;
    let (span, behind) = (start..ahead.at(), ahead.clone());
    ahead.skip_blanks();
    let rest = ahead.rest();
    let word = ahead.take_while(char::is_alphabetic);
    let is_bare = rest.is_empty() || rest.starts_with('±') || rest.starts_with("+/-");
    if !is_bare && Basis::WORDS.iter().all(|(known, _)| *known != word) {
        return None;
    }
    let measure = Term { value, unit: Unit::none(), span }.into_measure().ok()?;
    *cursor = behind;
    Some(measure)
}

/// Reads an amount of money that is not negative: `4.20 EUR`.
///
/// # Errors
/// Where the text is no such amount.
pub fn money(text: &str) -> Result<Money, TextError> {
    whole(text, |cursor| {
        let start = cursor.at();
        let measure = read_measure(cursor)?;
        let span = start..cursor.at();
        let (Some(currency), Some(amount)) = (measure.unit.currency(), measure.exact) else {
            let message = format!("money is wanted here, and this is {}", measure.kind);
            return Err(TextError::new(span, message).with_hint("such as `4.20 EUR`"));
        };
        if amount.is_sign_negative() {
            return Err(TextError::new(span, "a price cannot be negative"));
        }
        Ok(Money { amount, currency })
    })
}

/// Reads how much of a part is meant: `0.35 m`, `20 g`, `1 L`.
///
/// # Errors
/// Where it is no length, mass, area or volume, or not more than nothing.
pub fn amount(text: &str) -> Result<Amount, TextError> {
    const EXTENTS: [Dimension; 4] =
        [Dimension::LENGTH, Dimension::MASS, Dimension::AREA, Dimension::VOLUME];
    whole(text, |cursor| {
        let start = cursor.at();
        let Measure { exact, kind, unit, .. } = read_measure(cursor).map_err(|error| {
            if error.message == UNIT_MISSING {
                error.with_hint("a number of pieces is written without quotes")
            } else {
                error
            }
        })?;
        let span = start..cursor.at();
        if !EXTENTS.contains(&kind.dimension) {
            let message =
                format!("an amount is a length, mass, area or volume, and this is {kind}");
            return Err(TextError::new(span, message));
        }
        let exact = exact.ok_or_else(|| term::too_many_digits(span.clone()))?;
        if exact <= Decimal::ZERO {
            return Err(TextError::new(span, "an amount is more than nothing"));
        }
        Ok(Amount { exact, dimension: kind.dimension, unit })
    })
}

/// Reads a share that is not negative: 0.19 of `19 %`.
///
/// # Errors
/// Where the text is no percentage.
pub fn percent(text: &str) -> Result<Decimal, TextError> {
    whole(text, |cursor| {
        let start = cursor.at();
        let measure = read_measure(cursor).map_err(|error| error.with_hint("such as `20 %`"))?;
        let span = start..cursor.at();
        if !measure.unit.is_share() {
            let message = format!("a percentage is wanted here, and this is {}", measure.kind);
            return Err(TextError::new(span, message).with_hint("such as `20 %`"));
        }
        let share = measure.exact.ok_or_else(|| term::too_many_digits(span.clone()))?;
        if share.is_sign_negative() {
            return Err(TextError::new(span, "a percentage cannot be negative here"));
        }
        Ok(share)
    })
}

/// Reads a drawn size with its limits: `5.00 mm +0.05/-0.00`, `40.0 mm ± 0.1 mm`, `6 mm`.
///
/// The upper deviation comes first; deviations are in the unit of the size unless they have their
/// own (`+50 µm/-20 µm`, `+0.05/-0.00 mm`).
///
/// # Errors
/// Where the text is no such size.
pub fn toleranced(text: &str) -> Result<Toleranced, TextError> {
    whole(text, |cursor| {
        let nominal = read_term(cursor)?.into_measure()?;
        if let Some(half_width) = read_half_width(cursor, &nominal)? {
            return Ok(Toleranced { nominal, upper: half_width, lower: -half_width, sigmas: None });
        }
        cursor.skip_blanks();
        if cursor.rest().is_empty() {
            return Ok(Toleranced { nominal, upper: 0.0, lower: 0.0, sigmas: None });
        }
        let (upper, lower) = read_deviations(cursor, &nominal)?;
        Ok(Toleranced { nominal, upper, lower, sigmas: None })
    })
}

/// Reads three lengths: `84 x 60 x 9 mm`. A number without a unit has that of the next one.
///
/// # Errors
/// Where the text is not three lengths.
pub fn size(text: &str) -> Result<[Measure; 3], TextError> {
    whole(text, three_lengths)
}

/// Reads `84 x 60 x 9 mm` and leaves what follows.
pub(super) fn three_lengths(cursor: &mut Cursor<'_>) -> Result<[Measure; 3], TextError> {
    let x = read_bare_or_term(cursor)?;
    read_times(cursor)?;
    let y = read_bare_or_term(cursor)?;
    read_times(cursor)?;
    let z = read_term(cursor)?;
    let y = y.or_in(&z.unit);
    let x = x.or_in(&y.unit);
    Ok([into_length(x)?, into_length(y)?, into_length(z)?])
}

/// Reads a unit that stands for a kind of quantity: `dB`, `K/W`.
///
/// # Errors
/// Where the unit is unknown.
pub fn unit_kind(text: &str) -> Result<Kind, TextError> {
    Unit::parse(text).map(|unit| unit.kind())
}

/// Reads a plain number: `350`, `1.5`.
///
/// # Errors
/// Where the text is no number, or a unit follows.
pub fn number(text: &str) -> Result<Measure, TextError> {
    whole(text, |cursor| {
        let start = cursor.at();
        let value = cursor.number()?;
        Term { value, unit: Unit::none(), span: start..cursor.at() }.into_measure()
    })
}

/// Reads all of `text` with `read`.
pub(super) fn whole<T>(
    text: &str,
    read: impl FnOnce(&mut Cursor<'_>) -> Result<T, TextError>,
) -> Result<T, TextError> {
    let mut cursor = Cursor::new(text);
    cursor.skip_blanks();
    let value = read(&mut cursor)?;
    cursor.finish()?;
    Ok(value)
}

fn read_times(cursor: &mut Cursor<'_>) -> Result<(), TextError> {
    cursor.skip_blanks();
    if cursor.take("x") || cursor.take("×") {
        return Ok(());
    }
    Err(cursor.error_here("`x` is missing between two sizes").with_hint("such as `84 x 60 x 9 mm`"))
}

fn into_length(term: Term) -> Result<Measure, TextError> {
    let span = term.span.clone();
    let measure = term.into_measure()?;
    if measure.kind == Kind::of(Dimension::LENGTH) {
        return Ok(measure);
    }
    Err(TextError::new(span, format!("a length is wanted here, and this is {}", measure.kind)))
}

/// Reads `± 0.5 g` or `± 1 %`, in base units; `None` where there is no ±.
pub(super) fn read_half_width(
    cursor: &mut Cursor<'_>,
    measure: &Measure,
) -> Result<Option<f64>, TextError> {
    cursor.skip_blanks();
    if !(cursor.take("±") || cursor.take("+/-")) {
        return Ok(None);
    }
    cursor.skip_blanks();
    let start = cursor.at();
    let is_number = measure.unit.symbol().is_empty();
    let number = if is_number { take_bare_number(cursor) } else { None };
    let spread = number.map_or_else(|| read_measure(cursor), Ok)?;
    half_width(&spread, measure)
        .map(Some)
        .map_err(|error| TextError { span: start..cursor.at(), ..error })
}

/// The half-width in base units that `spread` means behind `measure`; an error has no span yet.
fn half_width(spread: &Measure, measure: &Measure) -> Result<f64, TextError> {
    let refuse = |message: String| Err(TextError::new(0..0, message));
    if spread.base < 0.0 {
        return refuse("what is behind ± cannot be negative".into());
    }
    let is_share_of_value = spread.unit.is_share() && !measure.unit.is_share();
    if measure.kind.point && (is_share_of_value || spread.kind.point) {
        let message = "the ± of a temperature is a difference";
        return Err(TextError::new(0..0, message).with_hint("such as `± 1.5 K`"));
    }
    if is_share_of_value {
        return Ok(share_of(measure, spread));
    }
    if spread.kind != Kind::of(measure.kind.dimension) {
        return refuse(format!("{} cannot be the ± of {}", spread.kind, measure.kind));
    }
    Ok(spread.base)
}

/// The share `share` of the size of `value`, in base units.
fn share_of(value: &Measure, share: &Measure) -> f64 {
    let exactly = |measure: &Measure| measure.exact.map(|exact| Ratio::from(exact.abs()));
    exactly(value)
        .zip(exactly(share))
        .and_then(|(value, share)| value.times(share))
        .map_or_else(|| value.base.abs() * share.base, Ratio::to_f64)
}

/// Reads `+0.05/-0.00`: upper and lower deviation in base units.
fn read_deviations(cursor: &mut Cursor<'_>, nominal: &Measure) -> Result<(f64, f64), TextError> {
    let start = cursor.at();
    let upper = read_bare_or_term(cursor)?;
    let first = start..cursor.at();
    cursor.skip_blanks();
    cursor.take("/");
    if cursor.rest().trim().is_empty() {
        return Err(only_one_deviation(cursor.since(0), first));
    }
    let lower = read_bare_or_term(cursor)?;
    let span = start..cursor.at();
    let written = upper.unit.as_ref().or(lower.unit.as_ref()).unwrap_or(&nominal.unit).clone();
    let upper = into_deviation(upper.or_in(&written), nominal)?;
    let lower = into_deviation(lower.or_in(&written), nominal)?;
    if upper < lower {
        let message = "the upper deviation, which comes first, is below the lower one";
        return Err(TextError::new(span, message));
    }
    Ok((upper, lower))
}

/// What is told of `text`, where the deviation at `first` is the only one; of none is meant to be zero.
fn only_one_deviation(text: &str, first: Range<usize>) -> TextError {
    let (nominal, written) = (text[..first.start].trim(), &text[first.clone()]);
    let digits = |fraction: &str| fraction.chars().take_while(char::is_ascii_digit).count();
    let places = written.split_once('.').map_or(0, |(_, fraction)| digits(fraction));
    let hint = if written.starts_with(['-', '\u{2212}']) {
        format!("such as `{nominal} +{:.places$}/{written}`", 0.0)
    } else {
        format!("such as `{nominal} {written}/-{:.places$}`", 0.0)
    };
    TextError::new(first, "a size has two deviations, and this is one").with_hint(hint)
}

fn into_deviation(term: Term, nominal: &Measure) -> Result<f64, TextError> {
    let span = term.span.clone();
    let deviation = term.into_measure()?;
    if deviation.kind == Kind::of(nominal.kind.dimension) {
        return Ok(deviation.base);
    }
    let message = format!("{} cannot be a deviation from {}", deviation.kind, nominal.kind);
    Err(TextError::new(span, message))
}

/// Reads the word behind a figure that says how it is known.
pub(super) fn read_basis(cursor: &mut Cursor<'_>) -> Result<Option<Basis>, TextError> {
    cursor.skip_blanks();
    let start = cursor.at();
    let word = cursor.take_while(char::is_alphabetic);
    if word.is_empty() {
        return Ok(None);
    }
    if let Some((_, basis)) = Basis::WORDS.iter().find(|(known, _)| *known == word) {
        return Ok(Some(*basis));
    }
    let message = format!("`{word}` does not say how a figure is known");
    let hint = did_you_mean(word, Basis::WORDS.iter().map(|(known, _)| *known));
    Err(TextError { span: start..cursor.at(), message, hint })
}
