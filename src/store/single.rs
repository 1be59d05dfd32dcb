//! One large value in a file of its own: it is read at once, where the database would put it together
//! from pages, and copy it twice.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::{Key, opened, seal};

/// A file that holds one value, and for which key.
#[derive(Debug)]
pub struct Single {
    file: PathBuf,
}

impl Single {
    /// The one called `name` in the store's `folder`. Touches nothing yet.
    #[must_use]
    pub fn open(folder: &Path, name: &str) -> Self {
        Self { file: folder.join(name) }
    }

    /// The value, where it was kept by `key`.
    #[must_use]
    pub fn get<T: DeserializeOwned>(&self, key: &Key) -> Option<T> {
        let sealed = fs::read(&self.file).ok()?;
        postcard::from_bytes(opened(key, &sealed)?).ok()
    }

    /// Keeps `value` by `key` in the place of what was there, whole or not at all; says whether it could.
    pub fn put(&self, key: &Key, value: &impl Serialize) -> bool {
        let Ok(bytes) = postcard::to_allocvec(value) else { return false };
        self.write(&seal(key, bytes)).is_ok()
    }

    /// Nobody waits for the disk: what a loss of power leaves behind does not agree with its check.
    fn write(&self, bytes: &[u8]) -> io::Result<()> {
        let folder = self.file.parent().unwrap_or(Path::new("."));
        fs::create_dir_all(folder)?;
        let mut beside = tempfile::NamedTempFile::new_in(folder)?;
        beside.write_all(bytes)?;
        beside.persist(&self.file)?;
        Ok(())
    }
}
