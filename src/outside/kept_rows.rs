//! Rows of a ledger in the store, found by the trees on both sides of their revision.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::facts::FOLDER;
use crate::fileset::{ContentKey, RepoPath};
use crate::git::{Passed, Repository};
use crate::history::{self, Told};
use crate::store::{Key, Store};
use crate::threads::in_halves;

/// Rows that are written at once.
const MOST_WAITING: usize = 1_000;

/// Fewer rows than these are read sooner than a thread begins.
const WORTH_A_THREAD: usize = 64;

/// What is kept of a revision.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Kept {
    /// What its row says; nothing where it did not touch the design.
    pub(super) told: Option<Told>,
    /// Whether the design can be read there.
    pub(super) is_readable: bool,
}

/// A row in the store; borrowed on the way there.
#[derive(Serialize, Deserialize)]
struct Value<'k> {
    /// The tree of the last readable state, which the revision was compared with.
    against: Option<Cow<'k, [u8]>>,
    /// The revisions that evidence names, each with the commit that it meant.
    named: Vec<(Cow<'k, str>, Cow<'k, [u8]>)>,
    kept: Cow<'k, Kept>,
}

/// The rows of one design.
pub(super) struct KeptRows<'r> {
    repository: &'r Repository,
    store: Store,
    manifest: RepoPath,
    kind: String,
    /// By commit.
    found: BTreeMap<ContentKey, Value<'static>>,
    /// The commit that a name means here; nothing where it means none.
    meant: BTreeMap<String, Option<ContentKey>>,
    waiting: usize,
}

impl<'r> KeptRows<'r> {
    pub(super) fn of(repository: &'r Repository, manifest: &RepoPath) -> Self {
        Self {
            repository,
            store: Store::open(&repository.common_dir().join(FOLDER)),
            manifest: manifest.clone(),
            kind: "ledger".to_owned(),
            found: BTreeMap::new(),
            meant: BTreeMap::new(),
            waiting: 0,
        }
    }

    /// From here on, rows hold a figure besides.
    pub(super) fn asked_for(&mut self, figure: &str) {
        self.kind = format!("ledger with {figure}");
    }

    /// Finds what is kept of all these revisions, in one go; what was found before is forgotten.
    pub(super) fn look_up<'p>(&mut self, commits: impl Iterator<Item = &'p Passed> + Clone) {
        let keys: Vec<Key> = commits.clone().map(|passed| self.key(passed)).collect();
        let get = |keys: &[Key]| self.store.get_each::<Value<'static>>(keys);
        let values = match keys.len() {
            ..WORTH_A_THREAD => get(&keys),
            _ => in_halves(&keys, get),
        };
        let found = commits.zip(values).filter_map(|(passed, value)| Some((passed.id, value?)));
        self.found = found.collect();
    }

    /// Whether a revision that was looked up has a row; nothing where nothing was found of it.
    pub(super) fn has_row(&self, passed: &Passed) -> Option<bool> {
        Some(self.found.get(&passed.id)?.kept.told.is_some())
    }

    /// What is kept of a revision, if it was compared with the state at `against`, and what evidence
    /// names is what it was then; only once.
    pub(super) fn take(&mut self, passed: &Passed, against: Option<ContentKey>) -> Option<Kept> {
        let value = self.found.remove(&passed.id)?;
        let against = against.as_ref().map(ContentKey::as_bytes);
        let mut named = value.named.iter();
        let is_as_then = value.against.as_deref() == against
            && named.all(|(name, then)| {
                self.meaning(name).is_some_and(|commit| commit.as_bytes() == &**then)
            });
        is_as_then.then(|| value.kept.into_owned())
    }

    /// Keeps what a revision did to the state at `against`, where all that evidence names in the two
    /// states is there. A name may mean another commit tomorrow: it is kept with the one of today.
    pub(super) fn put(
        &mut self,
        passed: &Passed,
        against: Option<ContentKey>,
        names: &BTreeSet<String>,
        kept: &Kept,
    ) {
        let commits = names.iter().map(|name| self.meaning(name));
        let Some(commits) = commits.collect::<Option<Vec<_>>>() else { return };
        let commits = names.iter().zip(&commits);
        let named = commits.map(|(name, commit)| (name.as_str().into(), commit.as_bytes().into()));
        let against = against.as_ref().map(|tree| tree.as_bytes().into());
        let value = Value { against, named: named.collect(), kept: Cow::Borrowed(kept) };
        self.store.put(self.key(passed), &value);
        self.waiting += 1;
        if self.waiting >= MOST_WAITING {
            self.flush();
        }
    }

    /// The commit that `name` means here.
    fn meaning(&mut self, name: &str) -> Option<ContentKey> {
        if let Some(known) = self.meant.get(name) {
            return *known;
        }
        let commit = self.repository.commit_named(name).ok();
        self.meant.insert(name.to_owned(), commit);
        commit
    }

    /// Writes what waits to be kept.
    pub(super) fn flush(&mut self) {
        self.store.flush();
        self.waiting = 0;
    }

    fn key(&self, passed: &Passed) -> Key {
        let mut digest = Sha256::new();
        let parent = passed.parent_tree.as_ref().map_or(&[][..], ContentKey::as_bytes);
        for piece in [parent, passed.tree.as_bytes(), self.manifest.as_bstr()] {
            digest.update((piece.len() as u64).to_le_bytes());
            digest.update(piece);
        }
        Key::new(ContentKey::new(&digest.finalize()), &self.kind, history::VERSION)
    }
}

#[cfg(test)]
mod tests;
