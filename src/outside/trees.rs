//! The trees of a walk, one after the other. What git alone is asked for on the way is done ahead of the
//! walk, on another thread.
//!
//! Nothing depends on what was read ahead: where it is not the step that the walk takes, or something
//! could not be read, the walk asks git itself, and meets there what is wrong.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::loader::parsed;
use super::records::ParsedFiles;
use crate::design::Concern;
use crate::fileset::{ContentKey, Mode, RepoPath};
use crate::git::{Change, Commit, Cursor, Error, Passed, Repository, Snapshot};
use crate::parse::{MOST_BYTES, Parsed, Role};
use crate::threads::{Ahead, ahead};

/// Steps that are read ahead at most: each holds little more than what one revision changed.
const MOST_AHEAD: usize = 128;

/// Fewer commits than these are told of sooner than a thread begins.
const WORTH_A_THREAD: usize = 64;

/// What is asked of a revision that lies ahead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Asked {
    /// What led to it: nothing is known of it.
    All,
    /// Only how a screen names it: its row is known.
    Name,
}

/// Where a walk stands, and what is read ahead of it.
pub(super) struct Trees<'r> {
    repository: &'r Repository,
    cursor: Cursor<'r>,
    /// Whether another thread may read ahead.
    may_look_ahead: bool,
    ahead: Option<Ahead<Step>>,
    /// The revisions that are read ahead and were not arrived at.
    awaited: BTreeSet<ContentKey>,
    /// The step of the revision that was arrived at last.
    next: Option<Step>,
}

/// What git tells of one revision.
struct Step {
    revision: ContentKey,
    moves: Vec<Move>,
    parses: ParsedFiles,
    commit: Option<Commit>,
}

/// What lies between two trees.
struct Move {
    from: Option<ContentKey>,
    to: ContentKey,
    changes: Vec<Change>,
}

impl Step {
    /// One that nothing is known of yet.
    fn to(revision: &Passed) -> Self {
        Self { revision: revision.id, moves: Vec::new(), parses: ParsedFiles::new(), commit: None }
    }
}

impl<'r> Trees<'r> {
    /// At no tree yet.
    pub(super) fn of(repository: &'r Repository) -> Self {
        Self {
            repository,
            cursor: repository.cursor(),
            may_look_ahead: true,
            ahead: None,
            awaited: BTreeSet::new(),
            next: None,
        }
    }

    /// The same on this thread alone.
    pub(super) fn alone(self) -> Self {
        Self { may_look_ahead: false, ..self }
    }

    /// From here on, these revisions are read ahead in their order: their ways by way of their parents,
    /// and what changed of the files of records, which `globs` tell.
    pub(super) fn look_ahead(
        &mut self,
        revisions: Vec<(Passed, Asked)>,
        manifest: &RepoPath,
        globs: &Concern,
    ) {
        (self.ahead, self.next) = (None, None);
        self.awaited = revisions.iter().map(|(revision, _)| revision.id).collect();
        let is_little = revisions.len() < WORTH_A_THREAD
            && revisions.iter().all(|(_, asked)| *asked == Asked::Name);
        if is_little || !self.may_look_ahead {
            return;
        }
        let (repository, from) = (self.repository.beside(), self.cursor.tree());
        let (manifest, globs) = (manifest.clone(), globs.clone());
        let mut reader = Reader { manifest, globs, known: BTreeSet::new() };
        self.ahead = ahead(MOST_AHEAD, move |hand_over| {
            reader.read(&repository, from, &revisions, hand_over);
        });
    }

    /// What was parsed ahead for a revision.
    pub(super) fn arrive(&mut self, revision: &Passed) -> ParsedFiles {
        self.step_of(revision).map(|step| std::mem::take(&mut step.parses)).unwrap_or_default()
    }

    /// A revision as a screen names it, where it was read ahead.
    pub(super) fn commit(&mut self, revision: &Passed) -> Option<Commit> {
        self.step_of(revision)?.commit.take()
    }

    /// The step of a revision, where it was read ahead.
    fn step_of(&mut self, revision: &Passed) -> Option<&mut Step> {
        if self.awaited.remove(&revision.id) {
            self.next = self.ahead.as_mut()?.find(|step| step.revision == revision.id);
        }
        self.next.as_mut().filter(|step| step.revision == revision.id)
    }

    /// Goes to a tree, and tells which paths are others there.
    pub(super) fn go(&mut self, tree: ContentKey) -> Result<Vec<Change>, Error> {
        let from = self.cursor.tree();
        let is_it = |step: &Move| (step.from, step.to) == (from, tree);
        let known = self.next.as_mut().and_then(|next| {
            let place = next.moves.iter().position(is_it)?;
            Some(next.moves.remove(place))
        });
        match known {
            Some(known) => {
                self.cursor.follow(tree, &known.changes)?;
                Ok(known.changes)
            }
            None => self.cursor.move_to(tree),
        }
    }

    /// What lies at the tree.
    pub(super) fn snapshot(&self) -> Snapshot<'r> {
        self.cursor.snapshot()
    }
}

/// Who reads ahead.
struct Reader {
    manifest: RepoPath,
    /// The paths of record files, by the manifest that was read last.
    globs: Concern,
    /// What was read already.
    known: BTreeSet<ContentKey>,
}

impl Reader {
    /// Reads one revision after the other, until something cannot be read.
    fn read(
        &mut self,
        repository: &Repository,
        from: Option<ContentKey>,
        revisions: &[(Passed, Asked)],
        hand_over: &mut dyn FnMut(Step) -> bool,
    ) {
        let (mut cursor, teller) = (repository.cursor(), repository.teller());
        let moves = revisions.iter().any(|(_, asked)| *asked == Asked::All);
        if moves && from.is_some_and(|from| cursor.move_to(from).is_err()) {
            return;
        }
        for (revision, asked) in revisions {
            let step = match asked {
                Asked::All => self.step(&mut cursor, revision),
                Asked::Name => Some(Step::to(revision)),
            };
            let Some(mut step) = step else { return };
            // What changed no records has a row rarely.
            if *asked == Asked::Name || !step.parses.is_empty() {
                step.commit = teller.tell(revision).ok();
            }
            if !hand_over(step) {
                return;
            }
        }
    }

    fn step(&mut self, cursor: &mut Cursor<'_>, revision: &Passed) -> Option<Step> {
        let mut step = Step::to(revision);
        for to in revision.parent_tree.into_iter().chain([revision.tree]) {
            let from = cursor.tree();
            if from == Some(to) {
                continue;
            }
            let changes = cursor.move_to(to).ok()?;
            self.parse(&changes, &mut cursor.snapshot(), &mut step.parses)?;
            step.moves.push(Move { from, to, changes });
        }
        Some(step)
    }

    /// Parses what is new among the files of records.
    fn parse(
        &mut self,
        changes: &[Change],
        snapshot: &mut Snapshot<'_>,
        parses: &mut ParsedFiles,
    ) -> Option<()> {
        let is_file = |change: &&Change| change.after.is_some_and(|it| it.mode == Mode::File);
        let files = || changes.iter().filter(is_file).map(|change| &change.path);
        if files().any(|path| *path == self.manifest) {
            let manifest = self.manifest.clone();
            for (key, parsed) in self.load(&[manifest], Role::Manifest, snapshot)? {
                self.globs = Concern::of(&parsed.rules(), &self.manifest, None);
                parses.insert((key, Role::Manifest), Arc::new(parsed));
            }
        }
        let is_manifest = |path: &RepoPath| path.file_name() == self.manifest.file_name();
        let records = files().filter(|path| self.globs.is_record(path) && !is_manifest(path));
        let records: Vec<RepoPath> = records.cloned().collect();
        let read = self.load(&records, Role::Records, snapshot)?;
        parses
            .extend(read.into_iter().map(|(key, parsed)| ((key, Role::Records), Arc::new(parsed))));
        Some(())
    }

    fn load(
        &mut self,
        paths: &[RepoPath],
        role: Role,
        snapshot: &mut Snapshot<'_>,
    ) -> Option<Vec<(ContentKey, Parsed)>> {
        let is_new = |key: &ContentKey| role == Role::Manifest || !self.known.contains(key);
        let parse = |content: &_| parsed(content, role);
        let read = snapshot.load(paths, is_new, MOST_BYTES as u64, parse).ok()?;
        if role == Role::Records {
            self.known.extend(read.iter().map(|read| read.key));
        }
        Some(read.into_iter().map(|read| (read.key, read.made)).collect())
    }
}
