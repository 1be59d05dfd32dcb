//! What was before a state: the last release, and which files were overtaken by others.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use semver::Version;

use super::{Failure, Loader, State, large};
use crate::design::Design;
use crate::facts::{self, GeometryKey, Kind};
use crate::fileset::RepoPath;
use crate::git::{At, Content, LastChanges, Tag};
use crate::pointer::{MAX_POINTER_BYTES, Pointer};
use crate::verdict::{LastRelease, Past, made_from};

/// The largest exchange file that is compared with what it was, in bytes.
const MOST_BYTES: u64 = 1 << 28;

impl Loader<'_> {
    /// Looks at what was before `state`, read at `at`, which is to be judged for `release`. Without
    /// a commit nothing was.
    ///
    /// # Errors
    /// [`Failure`] where git could not read the history.
    pub fn look_back(
        &mut self,
        state: &mut State,
        at: &At,
        release: &Version,
    ) -> Result<(), Failure> {
        let Some(design) = state.linked.design.clone() else { return Ok(()) };
        let Some(commit) = self.commit_of(at)? else { return Ok(()) };
        // What carries the tag of the release, or of a later one, is not its own past.
        let own = matches!(at, At::Revision(_)).then_some((commit.as_str(), release));
        let last = self.last_release(&design, &commit, own)?;
        let overtaken = self.overtaken(state, at, &design, &commit)?;
        let unfetched = self.unfetched(&design);
        state.past = Arc::new(Past { last, overtaken, unfetched });
        Ok(())
    }

    /// The design as `release` of it was tagged.
    ///
    /// # Errors
    /// [`Failure`] where there is no such tag, or the records cannot be read there.
    pub fn released(&mut self, design: &Design, tag: &str) -> Result<Arc<Design>, Failure> {
        let revision = format!("refs/tags/{tag}");
        let found = self.design_at(&design.manifest_path, &revision)?;
        found.ok_or_else(|| {
            Failure::new(format!(
                "the records at {tag} cannot be read; `check --at {tag}` says why"
            ))
        })
    }

    /// Whether there is a tag called `name`.
    ///
    /// # Errors
    /// [`Failure`] where the tags cannot be read.
    pub fn is_tag(&self, name: &str) -> Result<bool, Failure> {
        Ok(self.repository.tags()?.iter().any(|tag| tag.name == name))
    }

    /// The highest release in the history of the state `at`, itself included, whose records can be
    /// read; no candidate. Nothing before the first commit.
    ///
    /// # Errors
    /// [`Failure`] where git could not read the history.
    pub fn released_by(
        &mut self,
        at: &At,
        design: &Design,
    ) -> Result<Option<LastRelease>, Failure> {
        let commit = self.commit_of(at)?;
        commit.map_or(Ok(None), |commit| self.last_release(design, &commit, None))
    }

    /// The commit that a state is, or that it was made on.
    fn commit_of(&self, at: &At) -> Result<Option<String>, Failure> {
        Ok(match at {
            At::Revision(revision) => Some(self.repository.describe(revision)?.id),
            At::Index | At::WorkTree => self.repository.head()?,
        })
    }

    /// The highest release in the history of `commit` whose records can be read; no candidate, and where
    /// `own` is released there, neither that nor a later one of the same commit.
    fn last_release(
        &mut self,
        design: &Design,
        commit: &str,
        own: Option<(&str, &Version)>,
    ) -> Result<Option<LastRelease>, Failure> {
        let table = &design.manifest.design;
        let tags = self.repository.tags()?.into_iter();
        let is_own = |version: &Version, tag: &Tag| {
            own.is_some_and(|(commit, release)| tag.commit == commit && version >= release)
        };
        let release = |tag: Tag| table.release_of(&tag.name).map(|version| (version, tag));
        let mut releases: Vec<(Version, Tag)> = tags
            .filter_map(release)
            .filter(|(version, tag)| version.pre.is_empty() && !is_own(version, tag))
            .collect();
        releases.sort_by_key(|(version, _)| Reverse(version.clone()));
        for (version, tag) in releases {
            if !self.repository.is_ancestor(&tag.commit, commit)? {
                continue;
            }
            if let Ok(design) = self.released(design, &tag.name) {
                return Ok(Some(LastRelease { version, tag: tag.name, design }));
            }
        }
        Ok(None)
    }

    fn overtaken(
        &self,
        state: &State,
        at: &At,
        design: &Design,
        commit: &str,
    ) -> Result<BTreeSet<(RepoPath, RepoPath)>, Failure> {
        let pairs = made_from(design);
        let paths: BTreeSet<&RepoPath> =
            pairs.iter().flat_map(|(source, export)| [source, export]).collect();
        if paths.is_empty() {
            return Ok(BTreeSet::new());
        }
        let committed = self.repository.snapshot(&At::Revision(commit.to_owned()))?;
        let key = |path: &RepoPath| state.files.entries.get(path).map(|entry| entry.key);
        let was = |path: &RepoPath| committed.entries().get(path).map(|entry| entry.key);
        let settled = paths.into_iter().filter(|path| key(path) == was(path)).cloned();
        let changes = self.repository.last_changes(commit, settled)?;
        let mut order = Order { loader: self, changes: &changes, known: BTreeMap::new() };
        let mut overtaken = BTreeSet::new();
        for (source, export) in pairs {
            let is_new = |path: &RepoPath| key(path) != was(path);
            let is_older = match (is_new(&source), is_new(&export)) {
                (_, true) => false,
                (true, false) => true,
                (false, false) => order.is_before(&export, &source)?,
            };
            if is_older && !self.is_same_shape(&source, at, changes.get(&export)) {
                overtaken.insert((source, export));
            }
        }
        Ok(overtaken)
    }

    /// The files of parts that are pointers to a content which was not fetched.
    fn unfetched(&self, design: &Design) -> BTreeSet<RepoPath> {
        let named = design.files.iter().flat_map(|files| files.all());
        let found = named.flat_map(|file| &file.found);
        let unfetched = found.filter(|(path, entry)| {
            let stored = self.repository.content(entry.key, MAX_POINTER_BYTES as u64).ok();
            let pointer = stored.and_then(|content| match content {
                Content::Bytes(bytes) => Pointer::read(&bytes),
                Content::TooLarge { .. } => None,
            });
            pointer.is_some_and(|pointer| !large::is_here(self.repository, path, &pointer))
        });
        unfetched.map(|(path, _)| path.clone()).collect()
    }

    /// Whether an exchange file holds the geometry that it held at a revision.
    fn is_same_shape(&self, path: &RepoPath, now: &At, then: Option<&String>) -> bool {
        let name = path.file_name().to_ascii_lowercase();
        let Some(then) = then else { return false };
        if !(name.ends_with(b".step") || name.ends_with(b".stp")) {
            return false;
        }
        let is = self.shape(path, now);
        is.is_some() && is == self.shape(path, &At::Revision(then.clone()))
    }

    /// The geometry of an exchange file at a state, where it can be read.
    fn shape(&self, path: &RepoPath, at: &At) -> Option<GeometryKey> {
        let mut snapshot = self.repository.snapshot(at).ok()?;
        match snapshot.read(path, MOST_BYTES).ok()?? {
            Content::Bytes(bytes) => facts::of(Kind::Step, &bytes).geometry(),
            Content::TooLarge { .. } => None,
        }
    }
}

/// Which of two last changes came first; each two commits are compared once.
struct Order<'a, 'r> {
    loader: &'a Loader<'r>,
    changes: &'a LastChanges,
    known: BTreeMap<(&'a str, &'a str), bool>,
}

impl<'a> Order<'a, '_> {
    /// Whether the last change of `one` lies in the past of the last change of `other`.
    fn is_before(&mut self, one: &RepoPath, other: &RepoPath) -> Result<bool, Failure> {
        let changes: &'a LastChanges = self.changes;
        let (Some(one), Some(other)) = (changes.get(one), changes.get(other)) else {
            return Ok(false);
        };
        let pair = (one.as_str(), other.as_str());
        if one == other {
            return Ok(false);
        }
        if let Some(known) = self.known.get(&pair) {
            return Ok(*known);
        }
        let is_before = self.loader.repository.is_ancestor(one, other)?;
        self.known.insert(pair, is_before);
        Ok(is_before)
    }
}
