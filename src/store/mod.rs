//! What was computed once and can be computed again, kept between runs: facts of files by content and rows
//! of the ledger in a database; what record files say, and the state that was judged last, in a file each.
//!
//! Nothing depends on it. Whatever goes wrong (a full or read-only disk, a damaged file, another process
//! that holds it for long) means that something is not kept, or not found, and computed again.
//!
//! The database is one of SQLite: it survives a process that is killed at any moment, and several at
//! once. It is open only while something is read or written.
//!
//! A value is written without the names of its fields, which would be most of it: the version in its key
//! tells its shape.

mod database;
mod single;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;
use std::path::Path;

use serde::Serialize;
use serde::de::DeserializeOwned;
use twox_hash::XxHash3_128;

use crate::fileset::ContentKey;
use database::Database;

pub use single::Single;

/// The store's file within its folder.
const FILE_NAME: &str = "kept.sqlite";

const CHECK_BYTES: usize = 16;

/// What a value is kept by.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Key(Vec<u8>);

impl Key {
    /// The key of what `version` of the program says about a file with `content`; `kind` tells apart
    /// different things that it says.
    #[must_use]
    pub fn new(content: ContentKey, kind: &str, version: &str) -> Self {
        Self([version.as_bytes(), b"\n", kind.as_bytes(), b"\n", content.as_bytes()].concat())
    }
}

/// Values by key, in a file where there can be one, and in memory.
#[derive(Debug)]
pub struct Store {
    database: Option<Database>,
    /// What was put and is not yet in the file.
    fresh: BTreeMap<Key, Vec<u8>>,
}

impl Store {
    /// The store in `folder`, which is made when first something is written. Touches nothing yet.
    #[must_use]
    pub fn open(folder: &Path) -> Self {
        Self { database: Some(Database::new(folder.join(FILE_NAME))), fresh: BTreeMap::new() }
    }

    /// A store that keeps nothing beyond its own life.
    #[must_use]
    pub fn in_memory() -> Self {
        Self { database: None, fresh: BTreeMap::new() }
    }

    /// What is kept by `key`.
    #[must_use]
    pub fn get<T: DeserializeOwned>(&self, key: &Key) -> Option<T> {
        self.get_each(std::slice::from_ref(key)).pop().flatten()
    }

    /// What is kept by each of `keys`, in their order. The file is opened once.
    #[must_use]
    pub fn get_each<T: DeserializeOwned>(&self, keys: &[Key]) -> Vec<Option<T>> {
        let value = |(key, sealed): (&Key, Option<Vec<u8>>)| {
            postcard::from_bytes(opened(key, &sealed?)?).ok()
        };
        keys.iter().zip(self.sealed(keys)).map(value).collect()
    }

    fn sealed(&self, keys: &[Key]) -> Vec<Option<Vec<u8>>> {
        let stored = match &self.database {
            Some(database) if keys.iter().any(|key| !self.fresh.contains_key(key)) => {
                database.read(keys)
            }
            _ => Vec::new(),
        };
        let mut stored = stored.into_iter();
        let newest = |key| self.fresh.get(key).cloned().or(stored.next().flatten());
        keys.iter().map(newest).collect()
    }

    /// Keeps `value` by `key`; in the file only after [`Store::flush`].
    pub fn put(&mut self, key: Key, value: &impl Serialize) {
        if let Ok(bytes) = postcard::to_allocvec(value) {
            let sealed = seal(&key, bytes);
            self.fresh.insert(key, sealed);
        }
    }

    /// Writes what was put to the file, all of it or nothing. What can't be written stays in memory.
    pub fn flush(&mut self) {
        if let Some(database) = &self.database
            && !self.fresh.is_empty()
            && database.write(&self.fresh)
        {
            self.fresh.clear();
        }
    }
}

/// The value behind a check over key and value: the database does not see each damage.
fn seal(key: &Key, value: Vec<u8>) -> Vec<u8> {
    let mut sealed = check(key, &value).to_vec();
    sealed.extend(value);
    sealed
}

/// The value behind its check; `None` where that does not hold.
fn opened<'a>(key: &Key, sealed: &'a [u8]) -> Option<&'a [u8]> {
    let (stated, value) = sealed.split_first_chunk::<CHECK_BYTES>()?;
    (*stated == check(key, value)).then_some(value)
}

/// A sum against damage, not against malice: whoever can write to this file can write to git's.
fn check(key: &Key, value: &[u8]) -> [u8; CHECK_BYTES] {
    let sum = XxHash3_128::oneshot(value) ^ XxHash3_128::oneshot_with_seed(1, &key.0);
    sum.to_le_bytes()
}
