//! The database file: opened for each reading and each writing, begun anew where damaged.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, ErrorCode, OpenFlags, OptionalExtension, TransactionBehavior};

use super::Key;

/// How long to wait for another process: a hundred times what a writing takes.
const PATIENCE: Duration = Duration::from_millis(200);

/// How large a page of a new file is; the largest that there is in SQLite is twice that.
pub(super) const PAGE_BYTES: u32 = 1 << 15;

/// A file larger than this is begun anew: nothing removes what no one asks for any more.
const MAX_FILE_BYTES: u64 = 1 << 28;

/// Where the database is.
#[derive(Debug)]
pub(super) struct Database {
    file: PathBuf,
}

type Found = Vec<Option<Vec<u8>>>;

impl Database {
    pub(super) fn new(file: PathBuf) -> Self {
        Self { file }
    }

    /// The value of each key; nothing at all where the file can't be read.
    pub(super) fn read(&self, keys: &[Key]) -> Found {
        self.try_read(keys).unwrap_or_default()
    }

    fn try_read(&self, keys: &[Key]) -> rusqlite::Result<Found> {
        // Open for writing, where that is allowed, to take back what a killed process left half done.
        let database = open(&self.file, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        // As one reading: else the file is locked, and its end looked at, for each key anew.
        let database = database.unchecked_transaction()?;
        let mut select = database.prepare("SELECT value FROM kept WHERE key = ?1")?;
        let value = |key: &Key| select.query_row([&key.0], |row| row.get(0)).optional();
        keys.iter().map(value).collect()
    }

    /// Writes all of `entries` and says whether it could.
    pub(super) fn write(&self, entries: &BTreeMap<Key, Vec<u8>>) -> bool {
        if fs::metadata(&self.file).is_ok_and(|file| file.len() > MAX_FILE_BYTES) {
            self.remove();
        }
        match self.try_write(entries) {
            Err(error) if is_damage(&error) => {
                self.remove();
                self.try_write(entries).is_ok()
            }
            result => result.is_ok(),
        }
    }

    fn try_write(&self, entries: &BTreeMap<Key, Vec<u8>>) -> rusqlite::Result<()> {
        // Where the folder can't be made, neither can the file in it.
        self.file.parent().map(fs::create_dir_all);
        let create = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        let mut database = open(&self.file, create)?;
        // A process may be killed at any moment all the same. If the machine loses power the file may be
        // damaged; that is found out, and waiting for the disk would cost each commit 20 ms.
        database.pragma_update(None, "synchronous", "OFF")?;
        // Of a file that is begun: what is kept is large, and is read a page at a time.
        database.pragma_update(None, "page_size", PAGE_BYTES)?;
        let transaction = database.transaction_with_behavior(TransactionBehavior::Immediate)?;
        transaction.execute(
            "CREATE TABLE IF NOT EXISTS kept (key BLOB PRIMARY KEY, value BLOB) WITHOUT ROWID",
            [],
        )?;
        {
            let mut insert = transaction.prepare("INSERT OR REPLACE INTO kept VALUES (?1, ?2)")?;
            for (key, value) in entries {
                insert.execute((&key.0, value))?;
            }
        }
        transaction.commit()
    }

    /// With the journal, which must not be applied to the file's successor.
    fn remove(&self) {
        let mut journal = OsString::from(&self.file);
        journal.push("-journal");
        for file in [Path::new(&journal), &self.file] {
            // What can't be removed will be found damaged again, and not be used.
            fs::remove_file(file).ok();
        }
    }
}

fn open(file: &Path, flags: OpenFlags) -> rusqlite::Result<Connection> {
    let database = Connection::open_with_flags(file, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    database.busy_timeout(PATIENCE)?;
    Ok(database)
}

/// Whether the file itself is damaged, no database, or laid out in another way (which the database
/// says by its general error), so that it helps to begin it anew.
fn is_damage(error: &rusqlite::Error) -> bool {
    let code = error.sqlite_error_code();
    matches!(code, Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase | ErrorCode::Unknown))
}
