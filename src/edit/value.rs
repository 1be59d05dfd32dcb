//! Values as TOML text, each on one line.

use std::fmt::{self, Write};

use crate::record::Date;

/// What a key can be set to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Value {
    /// A text, of any characters.
    Text(String),
    /// A whole number.
    Count(u64),
    /// A day.
    Date(Date),
    /// A list.
    List(Vec<Value>),
    /// An inline table.
    Table(Vec<(String, Value)>),
}

impl Value {
    /// `text` as a text.
    pub fn text(text: impl fmt::Display) -> Self {
        Self::Text(text.to_string())
    }

    /// A list of texts.
    pub fn texts<T: fmt::Display>(texts: &[T]) -> Self {
        Self::List(texts.iter().map(Self::text).collect())
    }
}

impl fmt::Display for Value {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Text(text) => write_text(text, formatter),
            Self::Count(count) => write!(formatter, "{count}"),
            Self::Date(date) => write!(formatter, "{date}"),
            Self::List(values) => {
                formatter.write_char('[')?;
                for (at, value) in values.iter().enumerate() {
                    let comma = if at == 0 { "" } else { ", " };
                    write!(formatter, "{comma}{value}")?;
                }
                formatter.write_char(']')
            }
            Self::Table(pairs) if pairs.is_empty() => formatter.write_str("{}"),
            Self::Table(pairs) => {
                formatter.write_char('{')?;
                for (at, (key, value)) in pairs.iter().enumerate() {
                    let comma = if at == 0 { "" } else { "," };
                    write!(formatter, "{comma} {} = {value}", Key(key))?;
                }
                formatter.write_str(" }")
            }
        }
    }
}

/// A key as TOML text: bare where it can be.
pub(super) struct Key<'k>(pub(super) &'k str);

impl fmt::Display for Key<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bare = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'-' || byte == b'_';
        if !self.0.is_empty() && self.0.bytes().all(bare) {
            formatter.write_str(self.0)
        } else {
            write_text(self.0, formatter)
        }
    }
}

/// `text` as a basic string. Control characters are escaped even where TOML would allow them
/// (U+0080 to U+009F), so that every value shows what is in it.
fn write_text(text: &str, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
    formatter.write_char('"')?;
    for letter in text.chars() {
        match letter {
            '"' => formatter.write_str("\\\"")?,
            '\\' => formatter.write_str("\\\\")?,
            '\n' => formatter.write_str("\\n")?,
            '\r' => formatter.write_str("\\r")?,
            '\t' => formatter.write_str("\\t")?,
            other if other.is_control() => write!(formatter, "\\u{:04X}", u32::from(other))?,
            other => formatter.write_char(other)?,
        }
    }
    formatter.write_char('"')
}
