//! Ids: words chosen by the designer.

use std::fmt;
use std::sync::Arc;

use serde::de::Visitor;
use serde::{Deserialize, Serialize};

/// The longest id, in bytes.
pub const LONGEST: usize = 64;

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
            _ if word.len() > LONGEST => Some("is longer than 64 characters"),
            _ if !kebab || !word.starts_with(|first: char| first.is_ascii_lowercase()) => {
                Some("is not kebab-case (small letters, digits, single hyphens, a letter first)")
            }
            _ => None,
        }
    }

    /// An id that says the same as a `word` that is none, where there is one.
    #[must_use]
    pub fn near(word: &str) -> Option<Self> {
        let near = kebab(word, LONGEST);
        let near = near.trim_start_matches(|first: char| !first.is_ascii_lowercase());
        Self::check(near).is_none().then(|| Self::new(near))
    }
}

/// The words of a text in kebab-case, of at most `most` letters; as many whole words as that holds.
/// Marks on Latin letters are left out; letters of other scripts end a word.
#[must_use]
pub fn kebab(text: &str, most: usize) -> String {
    // An apostrophe ends no word: `gate's` is `gates`.
    let lower = text.to_lowercase().replace(['\'', '’'], "");
    let plain: String = lower.chars().map(without_mark).collect::<Vec<_>>().concat();
    let mut id = String::new();
    for word in plain.split(|letter: char| !letter.is_ascii_alphanumeric()) {
        if !id.is_empty() && id.len() + 1 + word.len() > most {
            break;
        }
        if !id.is_empty() && !word.is_empty() {
            id.push('-');
        }
        id.push_str(word);
    }
    id.truncate(most);
    id
}

/// A small letter of the Latin-1 supplement by its plain ones.
fn without_mark(letter: char) -> String {
    let plain = match letter {
        'à'..='å' => "a",
        'æ' => "ae",
        'ç' => "c",
        'è'..='ë' => "e",
        'ì'..='ï' => "i",
        'ñ' => "n",
        'ò'..='ö' | 'ø' => "o",
        'ù'..='ü' => "u",
        'ý' | 'ÿ' => "y",
        'ß' => "ss",
        _ => return letter.to_string(),
    };
    plain.to_owned()
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_that_is_no_id_is_near_one() {
        let near = |word| Id::near(word).map(|id| id.to_string());
        assert_eq!(near("10-rotor").as_deref(), Some("rotor"));
        assert_eq!(near("Film_Gate").as_deref(), Some("film-gate"));
        assert_eq!(near("Größe des Ærø-Rads").as_deref(), Some("grosse-des-aero-rads"));
        assert_eq!(near("ambient"), None);
        assert_eq!(near("42"), None);
        assert_eq!(near("ねじ"), None);
    }
}
