//! Quantities as somebody typed them: known to be readable, and kept to the letter.

use std::fmt;
use std::str::FromStr;

use crate::quantity::{self, Figure, Measure, TextError};

/// A quantity in the words in which it was typed. It goes into a record as it is: `38.40 °C` stays
/// `38.40 °C`.
#[derive(Clone, Debug, PartialEq)]
pub struct Typed<T> {
    text: String,
    value: T,
}

impl<T> Typed<T> {
    /// What the text means.
    pub fn value(&self) -> &T {
        &self.value
    }

    fn read(text: &str, read: fn(&str) -> Result<T, TextError>) -> Result<Self, String> {
        let value = read(text).map_err(|error| {
            let hint = error.hint.map(|hint| format!(": {hint}")).unwrap_or_default();
            format!("`{text}`: {}{hint}", error.message)
        })?;
        Ok(Self { text: text.to_owned(), value })
    }
}

impl<T> fmt::Display for Typed<T> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.text)
    }
}

impl FromStr for Typed<Figure> {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        Self::read(text, quantity::figure)
    }
}

impl FromStr for Typed<Measure> {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        Self::read(text, quantity::measure)
    }
}
