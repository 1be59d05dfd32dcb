//! A tree of paths that is moved from one revision to the next: what both share is not read again.
//!
//! The bytes of every folder stay at hand. A folder of another id is compared with them byte by byte,
//! and only the entries that differ are looked at.

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::ops::Bound;
use std::sync::Arc;

use gix::ObjectId;
use gix::bstr::{BString, ByteSlice};
use gix::objs::TreeRefIter;
use gix::objs::tree::EntryRef;

use super::commits::object_id;
use super::error::Error;
use super::repository::Repository;
use super::snapshot::Snapshot;
use super::tree::{check_count, check_depth, damaged, find_bytes, mode, walk};
use crate::fileset::{ContentKey, Entry, RepoPath};

/// Every path of a tree, which can be moved to another one.
pub struct Cursor<'r> {
    repository: &'r gix::Repository,
    /// The tree at which it stands.
    at: Option<ObjectId>,
    /// Its folders, unless it came there by following.
    root: Option<Folder>,
    entries: Arc<BTreeMap<RepoPath, Entry>>,
}

/// A path that two trees do not have in common.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The path.
    pub path: RepoPath,
    /// What was there.
    pub before: Option<Entry>,
    /// What is there.
    pub after: Option<Entry>,
}

/// A folder, with those below it that were looked into.
struct Folder {
    id: ObjectId,
    bytes: Vec<u8>,
    /// Where its entries begin, and where the last one ends.
    starts: Vec<usize>,
    within: BTreeMap<BString, Folder>,
}

impl Repository {
    /// A cursor that is nowhere yet.
    #[must_use]
    pub fn cursor(&self) -> Cursor<'_> {
        Cursor { repository: &self.inner, at: None, root: None, entries: Arc::default() }
    }
}

impl<'r> Cursor<'r> {
    /// Moves to a tree, and tells which paths are others there, in the order in which git stores them.
    ///
    /// # Errors
    /// [`Error::MissingObject`], [`Error::DamagedObject`], [`Error::TooLarge`]. The cursor is nowhere
    /// then.
    pub fn move_to(&mut self, tree: ContentKey) -> Result<Vec<Change>, Error> {
        let id = object_id(tree)?;
        let (at, root) = (self.at.take(), self.root.take());
        let mut changes = Vec::new();
        self.root = match at {
            Some(at) if at == id => root,
            Some(at) => {
                let root = root.map_or_else(|| Folder::read(self.repository, at), Ok)?;
                let mut comparison = Comparison {
                    repository: self.repository,
                    entries: &self.entries,
                    changes: &mut changes,
                };
                Some(comparison.folder(&BString::default(), root, id, 0)?)
            }
            None => {
                let mut found = Vec::new();
                walk(self.repository, BString::default(), id, &mut found)?;
                changes.extend(found.into_iter().map(|(path, entry)| added(path, entry)));
                self.entries = Arc::default();
                Some(Folder::read(self.repository, id)?)
            }
        };
        self.apply(&changes)?;
        self.at = Some(id);
        Ok(changes)
    }

    /// Moves to a tree by the `changes` that another cursor told on the same way: nothing is read.
    ///
    /// # Errors
    /// [`Error::TooLarge`]. The cursor is nowhere then.
    pub fn follow(&mut self, tree: ContentKey, changes: &[Change]) -> Result<(), Error> {
        let id = object_id(tree)?;
        if self.at.take().is_none() {
            self.entries = Arc::default();
        }
        self.root = None;
        self.apply(changes)?;
        self.at = Some(id);
        Ok(())
    }

    /// The tree at which it stands; `None` where it is nowhere.
    #[must_use]
    pub fn tree(&self) -> Option<ContentKey> {
        self.at.map(|id| ContentKey::new(id.as_bytes()))
    }

    /// What the tree holds, as it is now.
    #[must_use]
    pub fn snapshot(&self) -> Snapshot<'r> {
        Snapshot::shared(self.repository, Arc::clone(&self.entries))
    }

    fn apply(&mut self, changes: &[Change]) -> Result<(), Error> {
        if changes.is_empty() {
            return Ok(());
        }
        // Copied only where somebody keeps the paths of an earlier tree.
        let entries = Arc::make_mut(&mut self.entries);
        // A file that becomes a folder, or comes back under another mode, goes before it comes.
        for change in changes.iter().filter(|change| change.after.is_none()) {
            entries.remove(&change.path);
        }
        for change in changes {
            if let Some(after) = change.after {
                entries.insert(change.path.clone(), after);
            }
        }
        check_count(entries.len())
    }
}

fn added(path: RepoPath, entry: Entry) -> Change {
    Change { path, before: None, after: Some(entry) }
}

impl Folder {
    fn read(repository: &gix::Repository, id: ObjectId) -> Result<Self, Error> {
        let bytes = read(repository, id)?;
        let mut starts = Vec::new();
        let mut at = 0;
        while at < bytes.len() {
            starts.push(at);
            at = entry_at(&bytes, at, id)?.1;
        }
        starts.push(at);
        Ok(Self { id, bytes, starts, within: BTreeMap::new() })
    }
}

fn read(repository: &gix::Repository, id: ObjectId) -> Result<Vec<u8>, Error> {
    let mut bytes = Vec::new();
    find_bytes(repository, id, &mut bytes)?;
    Ok(bytes)
}

/// The entry that begins at `at` in the tree `id`, and where the next one does; `None` at its end.
fn entry_at(bytes: &[u8], at: usize, id: ObjectId) -> Result<(Option<EntryRef<'_>>, usize), Error> {
    let rest = &bytes[at..];
    let Some(entry) = TreeRefIter::from_bytes(rest, id.kind()).next() else {
        return Ok((None, at));
    };
    let entry = entry.map_err(|error| damaged(id, &error))?;
    // Mode, blank, name, zero, id.
    let mode = rest.find_byte(b' ').unwrap_or_default();
    Ok((Some(entry), at + mode + 1 + entry.filename.len() + 1 + entry.oid.as_bytes().len()))
}

/// Finds the paths in which trees differ.
struct Comparison<'a> {
    repository: &'a gix::Repository,
    /// Every path of the tree that is left.
    entries: &'a BTreeMap<RepoPath, Entry>,
    changes: &'a mut Vec<Change>,
}

/// A place between the entries of both folders; what lies before it is compared.
#[derive(Default)]
struct Place {
    was: usize,
    is: usize,
    /// How many entries of the old folder lie before it.
    passed: usize,
}

impl Comparison<'_> {
    /// The folder `id`, which stands at `prefix` (empty, or ending in a slash) where `was` stood.
    fn folder(
        &mut self,
        prefix: &BString,
        mut was: Folder,
        id: ObjectId,
        depth: usize,
    ) -> Result<Folder, Error> {
        check_depth(depth)?;
        let mut is = Folder {
            id,
            bytes: read(self.repository, id)?,
            starts: Vec::with_capacity(was.starts.len() + 1),
            within: std::mem::take(&mut was.within),
        };
        let mut place = Place::default();
        loop {
            place.skip_what_is_the_same(&was, &mut is);
            let (old, old_end) = entry_at(&was.bytes, place.was, was.id)?;
            let (new, new_end) = entry_at(&is.bytes, place.is, id)?;
            let order = match (&old, &new) {
                (None, None) => break,
                (Some(_), None) => Ordering::Less,
                (None, Some(_)) => Ordering::Greater,
                (Some(old), Some(new)) => old.cmp(new),
            };
            if order != Ordering::Greater {
                (place.was, place.passed) = (old_end, place.passed + 1);
            }
            if order != Ordering::Less {
                is.starts.push(place.is);
                place.is = new_end;
            }
            let old = old.filter(|_| order != Ordering::Greater);
            let new = new.filter(|_| order != Ordering::Less);
            self.entry(prefix, (old, new), &mut is.within, depth)?;
        }
        is.starts.push(is.bytes.len());
        Ok(is)
    }

    /// What is told of an entry that is another in both folders, or only in one of them.
    fn entry(
        &mut self,
        prefix: &BString,
        (old, new): (Option<EntryRef<'_>>, Option<EntryRef<'_>>),
        within: &mut BTreeMap<BString, Folder>,
        depth: usize,
    ) -> Result<(), Error> {
        let Some(name) = old.or(new).map(|entry| entry.filename) else { return Ok(()) };
        let mut path = prefix.clone();
        path.extend_from_slice(name);
        let file = |entry: Option<EntryRef<'_>>| {
            let entry = entry?;
            let mode = mode(entry.mode.kind())?;
            Some(Entry { key: ContentKey::new(entry.oid.as_bytes()), mode })
        };
        let (before, after) = (file(old), file(new));
        if before.is_some() || after.is_some() {
            if before != after {
                self.changes.push(Change { path: RepoPath::new(path), before, after });
            }
            return Ok(());
        }
        path.push(b'/');
        let known = within.remove(name.as_bstr());
        match (old, new) {
            (Some(old), Some(new)) if old.oid != new.oid => {
                let was = match known {
                    Some(known) => known,
                    None => Folder::read(self.repository, old.oid.to_owned())?,
                };
                let is = self.folder(&path, was, new.oid.to_owned(), depth + 1)?;
                within.insert(name.to_owned(), is);
            }
            (Some(_), None) => self.gone(path),
            (None, Some(new)) => {
                let mut found = Vec::new();
                walk(self.repository, path, new.oid.to_owned(), &mut found)?;
                self.changes.extend(found.into_iter().map(|(path, entry)| added(path, entry)));
            }
            _ => {}
        }
        Ok(())
    }

    /// Everything below the folder at `prefix` is gone.
    fn gone(&mut self, prefix: BString) {
        let from = Bound::Included(RepoPath::new(prefix.clone()));
        let below = self.entries.range((from, Bound::Unbounded));
        let below = below.take_while(|(path, _)| path.as_bstr().starts_with(&prefix));
        let gone = |(path, entry): (&RepoPath, &Entry)| Change {
            path: path.clone(),
            before: Some(*entry),
            after: None,
        };
        self.changes.extend(below.map(gone));
    }
}

impl Place {
    /// Goes on to the last entry before which both folders have the same bytes.
    fn skip_what_is_the_same(&mut self, was: &Folder, is: &mut Folder) {
        let same = common_length(&was.bytes[self.was..], &is.bytes[self.is..]);
        let reached = was.starts[self.passed..].partition_point(|start| *start <= self.was + same);
        // The place itself is a start.
        let passed = self.passed + reached.saturating_sub(1);
        let (from, to) = (self.was, was.starts[passed]);
        let here = self.is;
        is.starts.extend(was.starts[self.passed..passed].iter().map(|start| here + start - from));
        *self = Self { was: to, is: here + to - from, passed };
    }
}

/// How many bytes both begin with.
fn common_length(one: &[u8], other: &[u8]) -> usize {
    const STEP: usize = 32;
    let steps = one.chunks_exact(STEP).zip(other.chunks_exact(STEP));
    let whole = steps.take_while(|(one, other)| one == other).count() * STEP;
    let rest = one[whole..].iter().zip(&other[whole..]);
    whole + rest.take_while(|(one, other)| one == other).count()
}
