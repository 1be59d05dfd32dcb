//! What the record files of a design say, kept from one hook to the next: a commit changes a few of them.

use std::collections::BTreeMap;
use std::mem::take;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::facts::FOLDER;
use super::kept_state::KeptState;
use super::{Failure, Loader};
use crate::design::Linked;
use crate::fileset::{ContentKey, Entry, FileSet, RepoPath};
use crate::git::{Content, Snapshot};
use crate::parse::kept::{self, FILES_OF_A_PIECE, FORM, Pack};
use crate::parse::{MOST_BYTES, Parsed, Role};
use crate::store::{Key, Single};
use crate::threads::{self, Begun};

/// Their file within the store's folder.
const FILE_NAME: &str = "records";

/// Fewer record files than this are parsed before the store is open.
const WORTH_KEEPING: usize = 100;

/// All are written anew where one in so many had to be read: what is written takes longer than the few
/// that are read again at the next commit.
const WORTH_WRITING: usize = 16;

/// The record files of the designs of one repository.
pub(super) struct KeptRecords {
    file: Single,
    /// Whether nobody asked for what was kept.
    is_untaken: bool,
    /// What is being kept.
    going: Option<Begun<()>>,
}

/// What files say, by content.
type Unpacked = Vec<(ContentKey, Arc<Parsed>)>;

impl KeptRecords {
    fn of(common_dir: &Path) -> Self {
        let file = Single::open(&common_dir.join(FOLDER), FILE_NAME);
        Self { file, is_untaken: true, going: None }
    }

    /// Waits until all is written that is to be kept.
    fn settle(&mut self) {
        self.going.take().into_iter().flat_map(Begun::finish).for_each(drop);
    }
}

/// Takes piece after piece of what is kept in the file, whoever calls.
fn unpacking(file: Single) -> impl Fn() -> Unpacked {
    let (pack, next) = (OnceLock::new(), AtomicUsize::new(0));
    move || {
        let pack = pack.get_or_init(|| Pack::of(file.bytes(&key())?));
        let piece = || pack.as_ref()?.piece(next.fetch_add(1, Ordering::Relaxed));
        std::iter::from_fn(piece).flatten().collect()
    }
}

/// Packs piece after piece of what files say, whoever calls; who packs the last one writes the file.
fn writing(file: Single, files: Unpacked) -> impl Fn() {
    let (packed, next) = (Mutex::new(BTreeMap::new()), AtomicUsize::new(0));
    move || {
        let number = files.len().div_ceil(FILES_OF_A_PIECE);
        let each = std::iter::from_fn(|| Some(next.fetch_add(1, Ordering::Relaxed)));
        for place in each.take_while(|place| *place < number) {
            let files = files.chunks(FILES_OF_A_PIECE).nth(place).unwrap_or_default();
            let piece = kept::piece(files.iter().map(|(key, parsed)| (*key, &**parsed)));
            let mut packed = packed.lock().unwrap_or_else(PoisonError::into_inner);
            packed.insert(place, piece);
            if packed.len() == number {
                let pieces: Vec<&[u8]> = packed.values().map(Vec::as_slice).collect();
                // Where it cannot be kept, the next run reads the files again.
                file.put_bytes(&key(), &pieces.concat());
            }
        }
    }
}

impl Drop for KeptRecords {
    fn drop(&mut self) {
        self.settle();
    }
}

impl Loader<'_> {
    /// The same loader for a hook that judges requirements alone: it takes what record files say from
    /// where it was left by one before, which begins at once, and looks into no document. Of such files
    /// the lines are not known.
    #[must_use]
    pub fn recalling(mut self) -> Self {
        self.kept_records = Some(KeptRecords::of(self.repository.common_dir()));
        self.kept_state = Some(KeptState::of(self.repository.common_dir()));
        self
    }

    /// Takes what is kept, for a design with so many record files.
    pub(super) fn recall(&mut self, files: usize) {
        let Some(records) = &mut self.kept_records else { return };
        if files < WORTH_KEEPING || !take(&mut records.is_untaken) || !records.file.is_there() {
            return;
        }
        for (content, parsed) in threads::begin(unpacking(records.file.clone())).finish().flatten()
        {
            self.parses.keep(content, Role::Records, parsed);
        }
    }

    /// Whether anything is being kept for the next time.
    pub(super) fn is_keeping(&self) -> bool {
        self.kept_records.as_ref().is_some_and(|records| records.going.is_some())
    }

    /// Waits until all is written that is to be kept for the next time. A loader that is dropped does so
    /// too.
    pub fn settle(&mut self) {
        self.kept_records.iter_mut().for_each(KeptRecords::settle);
    }

    /// Begins to keep what the record files of a state say for the next time, where so many of the `files`
    /// of a design had to be read.
    pub(super) fn keep_records(
        &mut self,
        files: usize,
        read: usize,
        entries: &BTreeMap<RepoPath, Entry>,
    ) {
        let Some(records) = &mut self.kept_records else { return };
        if files < WORTH_KEEPING || read * WORTH_WRITING < files {
            return;
        }
        let said = entries.values().filter_map(|entry| {
            let parsed = self.parses.records(&entry.key)?;
            Some((entry.key, Arc::clone(parsed)))
        });
        // What is known now takes the place of what was known before.
        records.settle();
        records.going = Some(threads::begin(writing(records.file.clone(), said.collect())));
    }

    /// Reads the texts that diagnostics are about, where what they say was kept.
    pub(super) fn read_texts(
        &mut self,
        files: &mut FileSet,
        linked: &Linked,
        snapshot: &mut Snapshot<'_>,
    ) -> Result<(), Failure> {
        for located in &linked.diagnostics {
            let Some(entry) = files.entries.get(&located.path) else { continue };
            if self.kept_records.is_some()
                && !files.contents.contains_key(&entry.key)
                && let Some(Content::Bytes(bytes)) =
                    snapshot.read(&located.path, MOST_BYTES as u64)?
            {
                files.contents.insert(entry.key, bytes);
            }
        }
        Ok(())
    }
}

/// One for all designs of a repository: a content says the same in each.
fn key() -> Key {
    Key::new(ContentKey::new(&[]), FORM, env!("CARGO_PKG_VERSION"))
}
