//! One large value in a file of its own: it is read at once, where the database would put it together
//! from pages, and copy it twice.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::{CHECK_BYTES, Key, check, opened};

/// No writer takes as long as this.
const LEFT_AFTER: Duration = Duration::from_secs(3600);

/// A file that holds one value, and for which key.
#[derive(Clone, Debug)]
pub struct Single {
    file: PathBuf,
}

impl Single {
    /// The one called `name` in the store's `folder`. Touches nothing yet.
    #[must_use]
    pub fn open(folder: &Path, name: &str) -> Self {
        Self { file: folder.join(name) }
    }

    /// Whether there is anything.
    #[must_use]
    pub fn is_there(&self) -> bool {
        self.file.exists()
    }

    /// The value, where it was kept by `key`.
    #[must_use]
    pub fn get<T: DeserializeOwned>(&self, key: &Key) -> Option<T> {
        postcard::from_bytes(self.sealed(key)?.get(CHECK_BYTES..)?).ok()
    }

    /// The bytes that were kept by `key`.
    #[must_use]
    pub fn bytes(&self, key: &Key) -> Option<Vec<u8>> {
        let mut sealed = self.sealed(key)?;
        sealed.drain(..CHECK_BYTES);
        Some(sealed)
    }

    fn sealed(&self, key: &Key) -> Option<Vec<u8>> {
        let sealed = fs::read(&self.file).ok()?;
        opened(key, &sealed)?;
        Some(sealed)
    }

    /// Keeps `value` by `key` in the place of what was there, whole or not at all; says whether it could.
    pub fn put(&self, key: &Key, value: &impl Serialize) -> bool {
        postcard::to_allocvec(value).is_ok_and(|bytes| self.put_bytes(key, &bytes))
    }

    /// The same, of bytes.
    pub fn put_bytes(&self, key: &Key, bytes: &[u8]) -> bool {
        self.write(&[&check(key, bytes), bytes]).is_ok()
    }

    /// Nobody waits for the disk: what a loss of power leaves behind does not agree with its check. Two
    /// who write at once have a name each.
    fn write(&self, parts: &[&[u8]]) -> io::Result<()> {
        self.file.parent().map_or(Ok(()), fs::create_dir_all)?;
        let beside = self.file.with_extension(std::process::id().to_string());
        let write = || {
            let mut file = File::create(&beside)?;
            parts.iter().try_for_each(|part| file.write_all(part))?;
            fs::rename(&beside, &self.file)
        };
        self.clear_away();
        write().inspect_err(|_| drop(fs::remove_file(&beside)))
    }

    /// Removes what writers that were killed have left beside it.
    fn clear_away(&self) {
        let entries = self.file.parent().and_then(|folder| fs::read_dir(folder).ok());
        let of_a_writer = |path: &PathBuf| {
            let number = path.extension().and_then(|number| number.to_str()?.parse::<u32>().ok());
            number.is_some() && path.with_extension("") == self.file
        };
        let is_left = |path: &PathBuf| {
            let changed = fs::metadata(path).and_then(|found| found.modified()).ok();
            changed.and_then(|at| at.elapsed().ok()).is_some_and(|age| age > LEFT_AFTER)
        };
        let paths = entries.into_iter().flatten().filter_map(|entry| Some(entry.ok()?.path()));
        for path in paths.filter(|path| of_a_writer(path) && is_left(path)) {
            // Whoever comes next tries again.
            let _ = fs::remove_file(path);
        }
    }
}
