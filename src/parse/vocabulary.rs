//! Every table and key that the parser knows, listed by the parser itself.

use toml::de::DeTable;

use super::reader::Reader;
use super::sink::Sink;
use super::{manifest, records};
use crate::diagnostic::Span;

/// A key that a designer can write.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Key {
    /// The table it stands in, without ids: `part`, `part.offer`, `design`; empty for the top level.
    pub table: String,
    /// The key.
    pub key: &'static str,
    /// What it holds, in words.
    pub holds: String,
}

/// The keys seen while an empty file was read.
#[derive(Debug, Default)]
pub(super) struct Vocabulary(Vec<Key>);

impl Vocabulary {
    pub(super) fn add(&mut self, table: &str, key: &'static str, holds: String) {
        self.0.push(Key { table: table.to_owned(), key, holds });
    }
}

/// Every key of manifest and record files, in the order in which the reference shows them.
#[must_use]
pub fn vocabulary() -> Vec<Key> {
    let empty = DeTable::new();
    let sink = Sink::listing();
    {
        let mut reader = Reader::new(&empty, Span::default(), &sink);
        manifest::read(&mut reader);
        records(&mut reader);
    }
    let mut keys = sink.into_vocabulary().0;
    keys.dedup();
    keys
}
