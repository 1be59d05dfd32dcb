//! The record files of a design, kept up to date from revision to revision.

use std::collections::BTreeMap;
use std::mem::take;
use std::sync::Arc;

use super::Failure;
use super::loader::parsed;
use crate::design::{self, Changed, Concern, Design, Linked};
use crate::fileset::{ContentKey, Mode, RepoPath};
use crate::git::{Change, Snapshot};
use crate::parse::{MOST_BYTES, Parsed, Role};
use crate::threads::aside;
use crate::verdict;

/// Contents that stay parsed beside those that are in use, for when a revision brings them back.
const MOST_SPARE: usize = 4_096;

/// More contents than these are let go of on another thread.
const MOST_DROPPED_HERE: usize = 256;

/// Contents that were parsed, by key and what they were read as.
pub(super) type ParsedFiles = BTreeMap<(ContentKey, Role), Arc<Parsed>>;

/// The manifest at one path and the record files that it selects, parsed.
pub(super) struct RecordFiles {
    manifest_path: RepoPath,
    manifest: Option<Arc<Parsed>>,
    /// In the order of paths.
    files: Vec<(RepoPath, Arc<Parsed>)>,
    concern: Concern,
    parses: ParsedFiles,
    /// What was read ahead for the revision that is looked at.
    at_hand: ParsedFiles,
    /// How many contents were parsed so far.
    pub(super) parsed: usize,
}

impl Drop for RecordFiles {
    /// To let go of all that a long history said takes a while, for which nobody waits.
    fn drop(&mut self) {
        if self.parses.len() > MOST_DROPPED_HERE {
            let (parses, files) = (take(&mut self.parses), take(&mut self.files));
            aside(move || drop((parses, files)));
        }
    }
}

impl RecordFiles {
    pub(super) fn of(manifest_path: RepoPath) -> Self {
        let concern = Concern::of(&Arc::default(), &manifest_path, None);
        Self {
            manifest_path,
            manifest: None,
            files: Vec::new(),
            concern,
            parses: ParsedFiles::new(),
            at_hand: ParsedFiles::new(),
            parsed: 0,
        }
    }

    /// Whether there is a manifest.
    pub(super) fn are_there(&self) -> bool {
        self.manifest.is_some()
    }

    /// The paths of record files, as far as the manifest that was read last says.
    pub(super) fn globs(&self) -> &Concern {
        &self.concern
    }

    /// Takes note of what was read ahead: it is not read again.
    pub(super) fn expect(&mut self, parses: ParsedFiles) {
        self.at_hand = parses;
    }

    /// Reads what `changes` made another on the way to `snapshot`, and tells which record files that
    /// are; nothing where others may be selected.
    ///
    /// # Errors
    /// [`Failure`] where a record file cannot be read from the store.
    pub(super) fn follow(
        &mut self,
        changes: &[Change],
        snapshot: &mut Snapshot<'_>,
    ) -> Result<Option<Vec<Changed>>, Failure> {
        let records = changes.iter().filter(|change| self.concern.is_record(&change.path));
        let records: Vec<&Change> = records.collect();
        let mut changed = Vec::new();
        for change in records {
            let place = self.files.binary_search_by(|(path, _)| path.cmp(&change.path));
            let is_file = change.after.is_some_and(|entry| entry.mode == Mode::File);
            let (Ok(place), true) = (place, is_file) else {
                // A file came or went, or a manifest is another: which files are selected may be.
                self.select(snapshot)?;
                return Ok(None);
            };
            let after = self.parsed(&change.path, Role::Records, snapshot)?;
            let before = std::mem::replace(&mut self.files[place].1, Arc::clone(&after));
            changed.push(Changed { path: change.path.clone(), before, after });
        }
        Ok(Some(changed))
    }

    /// Reads all that the manifest selects.
    fn select(&mut self, snapshot: &mut Snapshot<'_>) -> Result<(), Failure> {
        let path = self.manifest_path.clone();
        let is_file = snapshot.entries().get(&path).is_some_and(|entry| entry.mode == Mode::File);
        self.manifest =
            is_file.then(|| self.parsed(&path, Role::Manifest, snapshot)).transpose()?;
        let rules = self.manifest.as_ref().map(|manifest| manifest.rules()).unwrap_or_default();
        self.concern = Concern::of(&rules, &path, None);
        let selected = match &self.manifest {
            Some(_) => design::select(&rules, &path, snapshot.entries()).records,
            None => Vec::new(),
        };
        let read = |path: RepoPath| {
            let parsed = self.parsed(&path, Role::Records, snapshot)?;
            Ok((path, parsed))
        };
        self.files = selected.into_iter().map(read).collect::<Result<_, Failure>>()?;
        Ok(())
    }

    fn parsed(
        &mut self,
        path: &RepoPath,
        role: Role,
        snapshot: &mut Snapshot<'_>,
    ) -> Result<Arc<Parsed>, Failure> {
        let Some(entry) = snapshot.entries().get(path) else { return Ok(Arc::default()) };
        let key = (entry.key, role);
        if let Some(known) = self.parses.get(&key) {
            return Ok(Arc::clone(known));
        }
        let parsed = match self.at_hand.remove(&key) {
            Some(parsed) => parsed,
            None => Arc::new(match snapshot.read(path, MOST_BYTES as u64)? {
                Some(content) => parsed(&content, role),
                None => Parsed::default(),
            }),
        };
        self.parsed += 1;
        if self.parses.len() > 2 * self.files.len() + MOST_SPARE {
            self.parses.retain(|_, parsed| Arc::strong_count(parsed) > 1);
        }
        self.parses.insert(key, Arc::clone(&parsed));
        Ok(parsed)
    }

    /// The design that they come to, or what is wrong with them.
    pub(super) fn linked(&self, snapshot: &Snapshot<'_>) -> Linked {
        let Some(manifest) = &self.manifest else { return Linked::default() };
        design::link(&design::Input {
            manifest_path: &self.manifest_path,
            manifest,
            files: &self.files,
            entries: snapshot.entries(),
            checks: &verdict::waivable_codes(),
        })
    }

    /// The paths that the design is made of, as far as it can be read.
    pub(super) fn concern(&self, design: Option<&Design>) -> Concern {
        let rules = self.manifest.as_ref().map(|manifest| manifest.rules()).unwrap_or_default();
        Concern::of(&rules, &self.manifest_path, design)
    }
}
