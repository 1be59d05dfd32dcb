//! Ids: words chosen by the designer.

use std::fmt;
use std::sync::Arc;

use serde::de::Visitor;
use serde::{Deserialize, Serialize};

/// A kebab-case word that names a record within its kind, or a quantity, setting, dimension of one.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id(Arc<str>);

impl Id {
    /// `word` as an id, without checking it; see [`Id::check`].
    pub fn new(word: impl Into<Arc<str>>) -> Self {
        Self(word.into())
    }

    /// The word.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Why `word` cannot be an id, or nothing: kebab-case, a letter first, at most 64 characters,
    /// not one of the reserved words.
    #[must_use]
    pub fn check(word: &str) -> Option<&'static str> {
        let kebab = word.split('-').all(|piece| {
            !piece.is_empty()
                && piece.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit())
        });
        match word {
            "ambient" | "given" => Some("is a reserved word"),
            _ if word.len() > 64 => Some("is longer than 64 characters"),
            _ if !kebab || !word.starts_with(|first: char| first.is_ascii_lowercase()) => {
                Some("is not kebab-case (small letters, digits, single hyphens, a letter first)")
            }
            _ => None,
        }
    }
}

impl std::borrow::Borrow<str> for Id {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl From<&str> for Id {
    fn from(word: &str) -> Self {
        Self::new(word)
    }
}

impl PartialEq<str> for Id {
    fn eq(&self, other: &str) -> bool {
        &*self.0 == other
    }
}

impl fmt::Display for Id {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.0)
    }
}

impl fmt::Debug for Id {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&*self.0, formatter)
    }
}

impl Serialize for Id {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Id {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_str(Word)
    }
}

/// Takes a word as it stands in the text that is read, without a copy between.
struct Word;

impl Visitor<'_> for Word {
    type Value = Id;

    fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("a word")
    }

    fn visit_str<E>(self, word: &str) -> Result<Id, E> {
        Ok(Id::new(word))
    }
}
