//! Why a file was not changed.

use std::fmt;

use crate::diagnostic::Diagnostic;
use crate::record::Id;

/// Why a file was not changed. Nothing is ever changed in part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EditError {
    /// The file is no TOML: nobody knows where its records end.
    NotToml {
        /// What the parser says.
        message: String,
        /// The line that it says it of, counted from 1.
        line: usize,
    },
    /// The word cannot be an id.
    BadId {
        /// The word.
        word: String,
        /// Why: `is a reserved word`.
        why: &'static str,
    },
    /// There is a record of that name already.
    Taken {
        /// The kind of record: `evidence`.
        kind: &'static str,
        /// Its id.
        id: Id,
    },
    /// There is no such table.
    Missing {
        /// Its keys from the top: `item.led-glare`.
        table: String,
    },
    /// The table, or one around it, is written in a form that cannot be added to.
    Form {
        /// Its keys from the top.
        table: String,
    },
    /// What would be added is there already.
    There {
        /// Its keys from the top.
        table: String,
    },
    /// The item was closed before.
    Closed {
        /// The item.
        id: Id,
    },
    /// The file would have an error that it did not have.
    Wrong(Diagnostic),
}

impl fmt::Display for EditError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotToml { message, line } => {
                write!(formatter, "line {line} is no TOML: {message}\nmend it first")
            }
            Self::BadId { word, why } => write!(formatter, "the id `{word}` {why}"),
            Self::Taken { kind, id } => {
                write!(formatter, "[{kind}.{id}] is there already\nchoose another id")
            }
            Self::Missing { table } => write!(formatter, "there is no [{table}]"),
            Self::Form { table } => write!(
                formatter,
                "`{table}` is written in a form that nothing can be added to\n\
                 write it as a table of its own: [{table}]"
            ),
            Self::There { table } => write!(formatter, "[{table}] is there already"),
            Self::Closed { id } => write!(formatter, "the item `{id}` is closed already"),
            Self::Wrong(Diagnostic { message, hint, .. }) => {
                let hint = hint.as_ref().map(|hint| format!("\n{hint}")).unwrap_or_default();
                write!(formatter, "the record would be wrong: {message}{hint}")
            }
        }
    }
}

impl std::error::Error for EditError {}
