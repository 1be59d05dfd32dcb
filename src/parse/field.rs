//! Values of one key: how each type is read, and what it is called in a message.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use super::literal::locate;
use super::reader::{Value, span_of};
use super::sink::Sink;
use super::{BAD_VALUE, WRONG_TYPE, unknown_word, wrong_type};
use crate::diagnostic::{Diagnostic, Span};
use crate::quantity::{Basis, Distribution, TextError};
use crate::record::{
    AmbientRule, Date, Decide, Event, Id, Method, OnFault, Origin, Outcome, Prices, Priority,
    RollUp,
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
        let word = text(value, Self::what, sink)?;
        let found = T::WORDS.iter().find(|(known, _)| *known == word);
        if found.is_none() {
            let words = T::WORDS.iter().map(|(word, _)| *word);
            sink.push(unknown_word(word, span_of(value), words));
        }
        found.map(|(_, value)| value.clone())
    }
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
        text(value, Self::what, sink).map(Id::new)
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

/// Reads a text with `parse`; a bare number is told that its unit is missing.
pub(super) fn read_text<T>(
    value: Value<'_>,
    what: impl FnOnce() -> String,
    sink: &Sink<'_>,
    parse: impl FnOnce(&str) -> Result<T, TextError>,
) -> Option<T> {
    if matches!(value.get_ref(), DeValue::Float(_) | DeValue::Integer(_)) {
        let message = "a unit is missing: a bare number stands only where pieces are counted";
        let hint = format!("{} is wanted", what());
        sink.push(Diagnostic::error(WRONG_TYPE, span_of(value), message).with_hint(hint));
        return None;
    }
    let text = text(value, what, sink)?;
    parse(text).map_err(|error| sink.push(in_text(value, text, error, sink))).ok()
}

/// The string that `value` is, or a diagnostic.
pub(super) fn text<'v>(
    value: &'v Spanned<DeValue<'_>>,
    what: impl FnOnce() -> String,
    sink: &Sink<'_>,
) -> Option<&'v str> {
    let text = value.get_ref().as_str();
    if text.is_none() {
        sink.push(wrong_type(span_of(value), &what(), value.get_ref()));
    }
    text
}

/// The diagnostic of an error inside a string, at the place where the file spells the offending
/// piece.
pub(super) fn in_text(
    value: Value<'_>,
    text: &str,
    error: TextError,
    sink: &Sink<'_>,
) -> Diagnostic {
    let literal = span_of(value);
    let source = sink.text().get(literal.range()).filter(|_| !error.span.is_empty());
    let inner = source.and_then(|source| locate(source, text, &error.span));
    let span = inner.map_or(literal, |Range { start, end }| {
        let offset = literal.range().start;
        Span::new(offset + start, offset + end)
    });
    Diagnostic::error(BAD_VALUE, span, error.message).with_hint_if(error.hint)
}
