//! Quantities as somebody typed them: known to be readable, and kept to the letter.

use std::fmt;
use std::marker::PhantomData;
use std::str::FromStr;

use crate::quantity::{self, Figure, Measure, TextError};

/// A text that reads as a `T`, in the words in which it was typed. It goes into a record as it is:
/// `38.40 °C` stays `38.40 °C`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typed<T> {
    text: String,
    reads_as: PhantomData<fn() -> T>,
}

impl<T> Typed<T> {
    fn read(text: &str, read: fn(&str) -> Result<T, TextError>) -> Result<Self, String> {
        read(text).map_err(|error| {
            let hint = error.hint.map(|hint| format!(": {hint}")).unwrap_or_default();
            format!("`{text}`: {}{hint}", error.message)
        })?;
        Ok(Self { text: text.to_owned(), reads_as: PhantomData })
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

/// What came of a test: a [`Figure`] that may lack a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Determined;

impl FromStr for Typed<Determined> {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        Self::read(text, |text| quantity::figure_or_number(text).map(|_| Determined))
    }
}

impl FromStr for Typed<Measure> {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        Self::read(text, quantity::measure)
    }
}
