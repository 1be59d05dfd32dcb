//! What the record files of a design say, kept from one hook to the next: a commit changes a few of them.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use twox_hash::XxHash3_128;

use super::facts::FOLDER;
use super::{Failure, Loader};
use crate::design::Linked;
use crate::fileset::{ContentKey, Entry, FileSet, RepoPath};
use crate::git::{Content, Snapshot};
use crate::parse::kept::{self, FORM};
use crate::parse::{MOST_BYTES, Role};
use crate::store::{Key, Store};

/// Fewer record files than this are parsed before the store is open.
const WORTH_KEEPING: usize = 100;

/// All are written anew where one in so many had to be read: what is written takes longer than the few
/// that are read again at the next commit.
const WORTH_WRITING: usize = 16;

/// The record files of the designs of one repository.
pub(super) struct KeptRecords {
    store: Store,
    /// The manifests whose files were looked for.
    asked: BTreeSet<RepoPath>,
}

impl KeptRecords {
    fn of(common_dir: &Path) -> Self {
        Self { store: Store::open(&common_dir.join(FOLDER)), asked: BTreeSet::new() }
    }
}

impl Loader<'_> {
    /// The same loader, which takes what record files say from where it was left by one before.
    /// Of such files the lines are not known.
    #[must_use]
    pub fn recalling(mut self) -> Self {
        self.kept_records = Some(KeptRecords::of(self.repository.common_dir()));
        self
    }

    /// Takes what is kept of a design with so many record files.
    pub(super) fn recall(&mut self, manifest: &RepoPath, files: usize) {
        let Some(records) = &mut self.kept_records else { return };
        if files < WORTH_KEEPING || !records.asked.insert(manifest.clone()) {
            return;
        }
        let bytes = records.store.bytes(&key(manifest));
        for (content, parsed) in bytes.and_then(|bytes| kept::unpack(&bytes)).unwrap_or_default() {
            self.parses.keep(content, Role::Records, parsed);
        }
    }

    /// Keeps what these record files say for the next time, where so many of them had to be read.
    pub(super) fn keep_records(
        &mut self,
        (manifest, files): (&RepoPath, &[RepoPath]),
        read: usize,
        entries: &BTreeMap<RepoPath, Entry>,
    ) {
        let Some(records) = &mut self.kept_records else { return };
        if files.len() < WORTH_KEEPING || read * WORTH_WRITING < files.len() {
            return;
        }
        let said = files.iter().filter_map(|path| {
            let key = entries.get(path)?.key;
            Some((key, self.parses.records(&key)?))
        });
        records.store.put_bytes(key(manifest), kept::pack(said));
        records.store.flush();
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

/// By the manifest: what was judged last is what the next commit changes.
fn key(manifest: &RepoPath) -> Key {
    let path = ContentKey::new(&XxHash3_128::oneshot(manifest.as_bstr()).to_be_bytes());
    Key::new(path, FORM, env!("CARGO_PKG_VERSION"))
}
