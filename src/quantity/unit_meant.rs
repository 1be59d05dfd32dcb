//! What was most likely meant by a unit that is none.

use iso_currency::IntoEnumIterator;

use super::term::UNIT_MISSING;
use super::text::{Cursor, TextError};
use super::unit::resolve;
use super::unit_table::{ATOMS, SPELT_OUT, USUAL};
use super::{Dimension, Unit};
use crate::diagnostic::nearest;

/// What is told where no unit comes next; of `/s` it is the `1` that lacks.
pub(super) fn missing_unit(cursor: &Cursor<'_>) -> TextError {
    let error = cursor.error_here(UNIT_MISSING);
    let word = cursor.rest().split_whitespace().next().unwrap_or_default();
    let whole = word.starts_with('/').then(|| format!("1{word}"));
    match whole.filter(|whole| Unit::parse_anew(whole).is_ok()) {
        Some(whole) => error.with_hint(format!("such as `{whole}`")),
        None => error,
    }
}

/// What is told of a symbol that starts at `start`.
pub(super) fn unknown_unit(symbol: &str, start: usize) -> TextError {
    let is_code = symbol.len() == 3 && symbol.bytes().all(|byte| byte.is_ascii_uppercase());
    let what = if is_code { "currency or unit" } else { "unit" };
    let error = TextError::new(start..start + symbol.len(), format!("unknown {what} `{symbol}`"));
    match meant(symbol, is_code) {
        Some(name) => error.with_hint(format!("did you mean `{name}`?")),
        None => error,
    }
}

/// The symbol that was most likely meant.
fn meant(written: &str, is_code: bool) -> Option<String> {
    let power = written.trim_end_matches(|c: char| c.is_ascii_digit());
    if power.len() < written.len() && resolve(power).is_some() {
        return Some(format!("{power}^{}", &written[power.len()..]));
    }
    // A torque as it is often written; what is nearest by its letters would be a length.
    if let Some(length) = written.strip_prefix('N').filter(|rest| is_length(rest)) {
        return Some(format!("N·{length}"));
    }
    let units = || USUAL.iter().copied().chain(ATOMS.iter().map(|atom| atom.symbol));
    let codes = || iso_currency::Currency::iter().map(|currency| currency.code());
    // More than one of it, which no symbol says.
    let plural = || written.strip_suffix('s').filter(|symbol| resolve(symbol).is_some());
    units()
        .find(|symbol| symbol.to_lowercase() == written.to_lowercase())
        .or_else(|| spelt_out(written))
        .or_else(plural)
        .or_else(|| codes().find(|code| code.eq_ignore_ascii_case(written)))
        .or_else(|| match written.chars().count() {
            // Everything is near a single letter.
            1 => None,
            _ if is_code => nearest(written, codes()),
            _ => nearest(written, units()),
        })
        .map(str::to_owned)
}

/// The symbol of a unit that is written as it should be, or in words, or as a sign for money.
pub(super) fn symbol_meant(written: &str) -> Option<&str> {
    if resolve(written).is_some() { Some(written) } else { spelt_out(written) }
}

fn spelt_out(written: &str) -> Option<&'static str> {
    let spelt = SPELT_OUT.iter().find(|(word, _)| is_word_or_plural(written, word));
    spelt.map(|(_, symbol)| *symbol)
}

fn is_length(symbol: &str) -> bool {
    resolve(symbol).is_some_and(|(dimension, ..)| dimension == Dimension::LENGTH)
}

/// Whether `written` is `word`, or more than one of it.
fn is_word_or_plural(written: &str, word: &str) -> bool {
    let written = written.to_lowercase();
    written.strip_prefix(word).is_some_and(|ending| matches!(ending, "" | "s" | "es"))
}
