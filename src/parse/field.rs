//! Values of one key: how each type is read, and what it is called in a message.

use std::ops::Range;

use rust_decimal::Decimal;
use semver::{Version, VersionReq};
use toml::Spanned;
use toml::de::DeValue;

use super::reader::{Reader, Sink, Value, span_of, wrong_type};
use super::{BAD_VALUE, WRONG_DIMENSION, WRONG_TYPE, unknown_word};
use crate::diagnostic::{At, Diagnostic, Span};
use crate::quantity::{
    self, Amount, Basis, Currency, Distribution, Figure, Kind, Measure, Money, Spread, TextError,
    Toleranced, Unit,
};
use crate::record::{
    AmbientRule, Date, Decide, Event, Hazard, Id, Margin, Method, OnFault, Origin, Outcome, Prices,
    Priority, RollUp, Seal, Setting, Sourced,
};

/// The largest count that a record can hold.
const MOST_PIECES: u64 = 1_000_000_000;

/// A type that a key can hold.
pub(super) trait Field: Sized {
    /// What it is, for messages and the reference: `a date such as 2026-10-02`.
    fn what() -> String;
    /// The value, or a diagnostic.
    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self>;
}

/// A type whose values are words.
pub(super) trait Words: Clone + 'static {
    const WORDS: &'static [(&'static str, Self)];
}

macro_rules! words {
    ($($type:ty),*) => { $(impl Words for $type {
        const WORDS: &'static [(&'static str, Self)] = &<$type>::WORDS;
    })* };
}
words!(
    AmbientRule,
    Basis,
    Decide,
    Distribution,
    Event,
    Method,
    OnFault,
    Origin,
    Outcome,
    Prices,
    Priority,
    RollUp
);

impl<T: Words> Field for T {
    fn what() -> String {
        let words: Vec<_> = T::WORDS.iter().map(|(word, _)| *word).collect();
        format!("one of {}", words.join(", "))
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        let word = text(value, &Self::what(), sink)?;
        let found = T::WORDS.iter().find(|(known, _)| *known == word);
        if found.is_none() {
            let words = T::WORDS.iter().map(|(word, _)| *word);
            sink.push(unknown_word(word, span_of(value), words));
        }
        found.map(|(_, value)| value.clone())
    }
}

/// A field that is a string which `parse` understands.
macro_rules! texts {
    ($($type:ty, $what:expr, $parse:expr;)*) => { $(impl Field for $type {
        fn what() -> String {
            $what.to_owned()
        }

        fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
            let text = text(value, $what, sink)?;
            let result: Result<$type, TextError> = $parse(text);
            result.map_err(|error| sink.push(in_text(value, text, error, sink))).ok()
        }
    })* };
}
texts!(
    String, "a text", text_of;
    Version, "a version such as \"1.2.0\"", version;
    VersionReq, "a version range such as \"^1.2\"", version_range;
    Money, "an amount of money such as \"3.90 EUR\"", quantity::money;
    Toleranced, "a size with its tolerance such as \"5.00 mm +0.05/-0.00\"", quantity::toleranced;
    [Measure; 3], "three lengths such as \"84 x 60 x 9 mm\"", quantity::size;
    Decimal, "a percentage such as \"19 %\"", percent;
    f64, "a percentage such as \"88 %\"", share;
    (Unit, Kind), "a unit such as \"dB\"", unit;
    Currency, "a currency of ISO 4217 such as \"EUR\"", currency;
    Hazard, "a hazard: mains, hot-surface, moving, cell, sharp, light, pressure, fumes, or a text", hazard;
    Seal, "a seal, written by the tool", seal;
    Margin, "a quantity such as \"2 K\", or a percentage of the limit", margin;
);

fn text_of(text: &str) -> Result<String, TextError> {
    if text.trim().is_empty() {
        return Err(whole(text, "the text is empty"));
    }
    Ok(text.to_owned())
}

fn version(text: &str) -> Result<Version, TextError> {
    Version::parse(text).map_err(|error| TextError {
        hint: Some("three numbers: MAJOR.MINOR.PATCH, as in \"1.2.0\"".to_owned()),
        ..whole(text, format!("`{text}` is no version: {error}"))
    })
}

fn version_range(text: &str) -> Result<VersionReq, TextError> {
    VersionReq::parse(text).map_err(|error| TextError {
        hint: Some("as in \"^1.2\", \"~1.2.3\", \">=1.2, <1.5\"".to_owned()),
        ..whole(text, format!("`{text}` is no version range: {error}"))
    })
}

fn percent(text: &str) -> Result<Decimal, TextError> {
    let share = quantity::percent(text)?;
    if share.is_sign_negative() && !share.is_zero() {
        return Err(whole(text, "the percentage is negative"));
    }
    Ok(share)
}

fn share(text: &str) -> Result<f64, TextError> {
    let share = percent(text)?;
    if share > Decimal::ONE {
        return Err(whole(text, "the percentage is above 100 %"));
    }
    share.to_string().parse().map_err(|_| whole(text, "the percentage has too many digits"))
}

fn unit(text: &str) -> Result<(Unit, Kind), TextError> {
    let unit = Unit::parse(text)?;
    let kind = unit.kind();
    Ok((unit, kind))
}

fn currency(text: &str) -> Result<Currency, TextError> {
    Currency::from_code(text).ok_or_else(|| TextError {
        hint: Unit::parse(text).err().and_then(|error| error.hint),
        ..whole(text, format!("`{text}` is no currency of ISO 4217"))
    })
}

fn hazard(text: &str) -> Result<Hazard, TextError> {
    let known = Hazard::WORDS.into_iter().find(|(word, _)| *word == text);
    Ok(known.map_or_else(|| Hazard::Other(text.to_owned()), |(_, hazard)| hazard))
}

fn seal(text: &str) -> Result<Seal, TextError> {
    let facet = |word: &str| {
        let (letter, digits) = word.split_at_checked(1)?;
        let letter = letter.chars().next().filter(char::is_ascii_lowercase)?;
        let hexadecimal = digits.bytes().all(|byte| byte.is_ascii_hexdigit());
        (hexadecimal && !digits.is_empty()).then(|| (letter, digits.to_owned()))
    };
    let facets: Option<Vec<_>> = text.split_whitespace().map(facet).collect();
    facets.filter(|facets| !facets.is_empty()).map(Seal).ok_or_else(|| TextError {
        hint: Some("leave seals to the tool; delete this one to take a new one".to_owned()),
        ..whole(text, "this is no seal")
    })
}

fn margin(text: &str) -> Result<Margin, TextError> {
    let measure = quantity::measure(text)?;
    if measure.base < 0.0 {
        return Err(whole(text, "the margin is negative"));
    }
    if measure.unit == Unit::percent() {
        return Ok(Margin::Share(measure.base));
    }
    Ok(Margin::Absolute(measure))
}

fn whole(text: &str, message: impl Into<String>) -> TextError {
    TextError { span: 0..text.len(), message: message.into(), hint: None }
}

impl Field for bool {
    fn what() -> String {
        "true or false".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        let found = value.get_ref().as_bool();
        if found.is_none() {
            sink.push(wrong_type(span_of(value), &Self::what(), value.get_ref()));
        }
        found
    }
}

impl Field for u64 {
    fn what() -> String {
        "a whole number".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        let DeValue::Integer(integer) = value.get_ref() else {
            sink.push(wrong_type(span_of(value), &Self::what(), value.get_ref()));
            return None;
        };
        let number = u64::from_str_radix(integer.as_str(), integer.radix()).ok();
        let number = number.filter(|number| *number <= MOST_PIECES);
        if number.is_none() {
            let message = format!("a whole number from 0 to {MOST_PIECES} is wanted");
            sink.push(Diagnostic::error(BAD_VALUE, span_of(value), message));
        }
        number
    }
}

impl Field for Id {
    fn what() -> String {
        "an id".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        text(value, "an id", sink).map(Id::new)
    }
}

impl Field for Date {
    fn what() -> String {
        "a date such as 2026-10-02".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        let Some(datetime) = value.get_ref().as_datetime() else {
            sink.push(
                wrong_type(span_of(value), &Self::what(), value.get_ref())
                    .with_hint("write the date without quotes: 2026-10-02"),
            );
            return None;
        };
        let date = datetime.date.filter(|_| datetime.time.is_none()).and_then(|date| {
            let year = i16::try_from(date.year).ok()?;
            Self::new(year, i8::try_from(date.month).ok()?, i8::try_from(date.day).ok()?).ok()
        });
        if date.is_none() {
            let message = format!("{} is wanted", Self::what());
            sink.push(Diagnostic::error(BAD_VALUE, span_of(value), message));
        }
        date
    }
}

impl Field for Amount {
    fn what() -> String {
        "a count of pieces, or a length, mass, area or volume such as \"0.35 m\"".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        if value.get_ref().is_integer() {
            return u64::read(value, sink).map(Self::pieces);
        }
        read_text(value, &Self::what(), sink, quantity::amount)
    }
}

impl Field for Setting {
    fn what() -> String {
        "a quantity, a text, a whole number, true or false".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        match value.get_ref() {
            DeValue::Boolean(yes) => Some(Self::Text(yes.to_string())),
            DeValue::Integer(_) => {
                u64::read(value, sink).map(|count| Self::Text(count.to_string()))
            }
            _ => {
                let text = text(value, &Self::what(), sink)?;
                Some(
                    quantity::measure(text)
                        .map_or_else(|_| Self::Text(text.to_owned()), Self::Measure),
                )
            }
        }
    }
}

impl Field for Measure {
    fn what() -> String {
        "a quantity such as \"45 °C\", or a count".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        if value.get_ref().is_integer() {
            let count = u64::read(value, sink)?;
            return quantity::number(&count.to_string()).ok();
        }
        read_text(value, &Self::what(), sink, quantity::measure)
    }
}

impl Field for Figure {
    fn what() -> String {
        "a quantity such as \"31 g ± 0.5 g measured\"".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        read_text(value, &Self::what(), sink, quantity::figure)
    }
}

impl Field for Sourced {
    fn what() -> String {
        format!("{}, or a table", Figure::what())
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        if value.get_ref().is_table() {
            let mut reader = Reader::of(value, sink)?;
            let sourced = sourced(&mut reader);
            reader.finish();
            return sourced;
        }
        let figure = At::new(Figure::read(value, sink)?, span_of(value));
        Some(Self { figure, from: None, on: None })
    }
}

/// The long form of a figure: `{ value, plus-minus, distribution, basis, from, on }`.
fn sourced(reader: &mut Reader<'_>) -> Option<Sourced> {
    let mut figure = reader.required::<Figure>("value");
    let plus_minus = reader.optional::<Measure>("plus-minus");
    let distribution = reader.optional::<Distribution>("distribution").map(|at| at.value);
    let basis = reader.optional::<Basis>("basis");
    let from = reader.optional("from");
    let on = reader.optional("on");
    if let (Some(figure), Some(plus_minus)) = (&mut figure, plus_minus) {
        figure.value.spread = Some(half_width(&figure.value.measure, &plus_minus, reader)?);
    }
    let mut figure = figure?;
    if let (Some(spread), Some(distribution)) = (&mut figure.value.spread, distribution) {
        spread.distribution = distribution;
    }
    figure.value.basis = basis.map(|at| at.value).or(figure.value.basis);
    Some(Sourced { figure, from, on })
}

fn half_width(of: &Measure, plus_minus: &At<Measure>, reader: &Reader<'_>) -> Option<Spread> {
    let difference = Kind::of(of.kind.dimension);
    let relative = plus_minus.unit == Unit::percent() && difference != plus_minus.kind;
    let half_width = match () {
        () if plus_minus.base < 0.0 || (relative && of.kind.point) => None,
        () if relative => Some((of.base * plus_minus.base).abs()),
        () => (plus_minus.kind == difference).then_some(plus_minus.base),
    };
    if half_width.is_none() {
        let message = format!("± of {} must be {difference}, not negative", of.kind);
        reader.error(Diagnostic::error(WRONG_DIMENSION, plus_minus.span, message));
    }
    Some(Spread { half_width: half_width?, distribution: Distribution::Normal })
}

/// Reads a measure of one of `kinds`.
pub(super) fn measure_of<'p>(
    kinds: &'static [Kind],
) -> impl Fn(Value<'p>, &'p Sink<'p>) -> Option<Measure> {
    move |value, sink| {
        let measure = Measure::read(value, sink)?;
        of_kind(measure.kind, kinds, span_of(value), sink).then_some(measure)
    }
}

/// Reads a figure of one of `kinds`.
pub(super) fn figure_of<'p>(
    kinds: &'static [Kind],
) -> impl Fn(Value<'p>, &'p Sink<'p>) -> Option<Figure> {
    move |value, sink| {
        let figure = Figure::read(value, sink)?;
        of_kind(figure.measure.kind, kinds, span_of(value), sink).then_some(figure)
    }
}

fn of_kind(found: Kind, wanted: &[Kind], span: Span, sink: &Sink<'_>) -> bool {
    let right = wanted.contains(&found);
    if !right {
        let wanted = in_words(wanted);
        let message = format!("this is {found}, where {wanted} is wanted");
        sink.push(Diagnostic::error(WRONG_DIMENSION, span, message));
    }
    right
}

/// `a charge or an energy`.
pub(super) fn in_words(kinds: &[Kind]) -> String {
    let words: Vec<_> = kinds.iter().map(ToString::to_string).collect();
    words.join(" or ")
}

fn read_text<T>(
    value: Value<'_>,
    what: &str,
    sink: &Sink<'_>,
    parse: impl FnOnce(&str) -> Result<T, TextError>,
) -> Option<T> {
    if matches!(value.get_ref(), DeValue::Float(_) | DeValue::Integer(_)) {
        let message = "a unit is missing: a bare number stands only where pieces are counted";
        let hint = format!("{what} is wanted");
        sink.push(Diagnostic::error(WRONG_TYPE, span_of(value), message).with_hint(hint));
        return None;
    }
    let text = text(value, what, sink)?;
    parse(text).map_err(|error| sink.push(in_text(value, text, error, sink))).ok()
}

fn text<'v>(value: &'v Spanned<DeValue<'_>>, what: &str, sink: &Sink<'_>) -> Option<&'v str> {
    let text = value.get_ref().as_str();
    if text.is_none() {
        sink.push(wrong_type(span_of(value), what, value.get_ref()));
    }
    text
}

/// The diagnostic of an error inside a string; it points into the string where that stands in the
/// file as it is meant (no escapes).
fn in_text(value: Value<'_>, text: &str, error: TextError, sink: &Sink<'_>) -> Diagnostic {
    let literal = span_of(value);
    let inner = literal.range().start + 1..literal.range().end.saturating_sub(1);
    let plain = sink.text().get(inner.clone()) == Some(text) && !error.span.is_empty();
    let Range { start, end } = error.span;
    let span = if plain { Span::new(inner.start + start, inner.start + end) } else { literal };
    Diagnostic::error(BAD_VALUE, span, error.message).with_hint_if(error.hint)
}
