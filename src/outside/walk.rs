//! A design through its history: every state read by what it has of its own, compared with the last,
//! and kept.
//!
//! What is kept is found by the trees on both sides of a revision, so that a rewritten history which
//! comes to the same states finds it again. A row that was found asks for no state; a state is read
//! only where a row beside it was not found.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::kept_rows::{Kept, KeptRows};
use super::loader::Loader;
use super::occasion::day_of;
use super::records::RecordFiles;
use super::trees::{Asked, Trees};
use super::{Failure, Progress};
use crate::assess;
use crate::design::{self, Changed, Concern, Design, Linked};
use crate::diagnostic::Severity;
use crate::evidence::RevisionSeals;
use crate::fileset::{ContentKey, RepoPath};
use crate::git::{Change, Commit, Content, Passed, Repository, Way};
use crate::history::{self, Ledger, Revision, Row, Told};
use crate::record::{Date, Id};
use crate::verdict::{Assessed, Occasion};

/// Revisions whose rows are looked up at once.
const LOOKED_UP_AT_ONCE: usize = 1_000;

/// What takes the rows of a ledger, one after the other.
pub type Take<'t> = dyn FnMut(Row) -> Result<(), Failure> + 't;

/// What was done for a ledger.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// Contents of record files that were read and parsed.
    pub parsed: usize,
    /// States that were linked as a whole; others were linked from the state before them.
    pub linked: usize,
    /// States that were evaluated and judged.
    pub evaluated: usize,
    /// Revisions that were found done already.
    pub found: usize,
}

/// The design whose manifest lies at one path, through the revisions of a repository.
pub struct Walk<'r> {
    repository: &'r Repository,
    manifest: RepoPath,
    /// A figure, by part and quantity, that is followed whether or not anything was promised of it.
    also: Option<(Id, Id)>,
    trees: Trees<'r>,
    records: RecordFiles,
    loader: Loader<'r>,
    rows: KeptRows<'r>,
    /// Where later revisions begin, by commit.
    stages: BTreeMap<ContentKey, Stage>,
    work: Work,
    today: Date,
}

/// The design at a revision.
#[derive(Clone, Default)]
struct Stage {
    /// The tree at which it could be read, there or last before.
    readable_at: Option<ContentKey>,
    /// The design of that tree, where it was asked for.
    readable: Option<Readable>,
    /// The paths that the design is made of at the revision, where they were asked for.
    concern: Option<Arc<Concern>>,
}

/// A design that can be read, and how it stands where that was asked for.
#[derive(Clone)]
struct Readable {
    design: Arc<Design>,
    assessed: Option<Arc<Assessed>>,
    /// Whether every clone would say the same.
    is_certain: bool,
}

/// What a step from one tree to another made another.
struct Moved {
    changes: Vec<Change>,
    /// The record files among it; nothing where others may be selected.
    records: Option<Vec<Changed>>,
}

/// What lies at a tree.
struct Read {
    /// The design, or what its row says.
    design: Result<Readable, Told>,
    concern: Arc<Concern>,
}

impl<'r> Walk<'r> {
    /// A walk over the past of the design whose manifest lies at `manifest`; nothing is read yet.
    #[must_use]
    pub fn of(repository: &'r Repository, manifest: RepoPath, today: Date) -> Self {
        Self {
            repository,
            records: RecordFiles::of(manifest.clone()),
            rows: KeptRows::of(repository, &manifest),
            manifest,
            also: None,
            trees: Trees::of(repository),
            loader: Loader::new(repository).comparing_seals(),
            stages: BTreeMap::new(),
            work: Work::default(),
            today,
        }
    }

    /// The same, with a figure of a part among the others.
    #[must_use]
    pub fn following(mut self, part: Id, quantity: Id) -> Self {
        self.rows.asked_for(&format!("{part}.{quantity}"));
        self.also = Some((part, quantity));
        self
    }

    /// The same on this thread alone: nothing is read ahead on another.
    #[must_use]
    pub fn alone(self) -> Self {
        Self { trees: self.trees.alone(), ..self }
    }

    /// The rows of the revisions on the way that touched the design.
    ///
    /// # Errors
    /// [`Failure`] where an object is missing or damaged.
    pub fn ledger(&mut self, way: &Way) -> Result<Ledger, Failure> {
        let (passed, is_cut_off) = (way.commits.len(), way.is_cut_off);
        let mut ledger = Ledger { rows: Vec::new(), passed, is_cut_off };
        self.rows(way, &mut |row| {
            ledger.rows.push(row);
            Ok(())
        })?;
        Ok(ledger)
    }

    /// The same, one row after the other: the rows of a long history are more than the states that
    /// they lie between.
    ///
    /// # Errors
    /// As above, and what `take` fails with.
    pub fn rows(&mut self, way: &Way, take: &mut Take<'_>) -> Result<(), Failure> {
        let mut waiting = children(way);
        let teller = self.repository.teller();
        let mut progress = Progress::of("revisions", way.commits.len());
        for (place, passed) in way.commits.iter().enumerate() {
            if place % LOOKED_UP_AT_ONCE == 0 {
                let ahead = way.commits[place..].iter().take(LOOKED_UP_AT_ONCE);
                self.rows.look_up(ahead.clone());
                let asked = ahead.filter_map(|passed| match self.rows.has_row(passed) {
                    None => Some((passed.clone(), Asked::All)),
                    Some(has_row) => has_row.then(|| (passed.clone(), Asked::Name)),
                });
                self.trees.look_ahead(asked.collect(), &self.manifest, self.records.globs());
            }
            let before = self.begin(passed, &mut waiting);
            let (stage, told) = self.step(passed, before)?;
            if waiting.contains_key(&passed.id) {
                self.stages.insert(passed.id, stage);
            }
            if let Some(told) = told {
                let commit = self.trees.commit(passed).map_or_else(|| teller.tell(passed), Ok)?;
                let revision = self.revision(commit, passed);
                take(Row { revision, place, told })?;
            }
            progress.passed();
        }
        self.rows.flush();
        Ok(())
    }

    /// What was done so far.
    #[must_use]
    pub fn work(&self) -> Work {
        Work { parsed: self.records.parsed, ..self.work }
    }

    /// The stage at which a revision begins: that of its parent.
    fn begin(&mut self, passed: &Passed, waiting: &mut BTreeMap<ContentKey, usize>) -> Stage {
        let Some(parent) = &passed.parent else { return Stage::default() };
        let left = waiting.get_mut(parent).map(|left| {
            *left = left.saturating_sub(1);
            *left
        });
        let stage = match left {
            Some(0) => {
                waiting.remove(parent);
                self.stages.remove(parent)
            }
            _ => self.stages.get(parent).cloned(),
        };
        // Before the first revision that is told of, the design is taken to be readable until it is
        // looked into.
        stage.unwrap_or(Stage { readable_at: passed.parent_tree, ..Stage::default() })
    }

    /// What the revision made of the stage before it, and what its row says where it has one.
    fn step(&mut self, passed: &Passed, before: Stage) -> Result<(Stage, Option<Told>), Failure> {
        if let Some(kept) = self.rows.take(passed, before.readable_at) {
            self.work.found += 1;
            let at = if kept.is_readable { Some(passed.tree) } else { before.readable_at };
            return Ok((Stage { readable_at: at, ..Stage::default() }, kept.told));
        }
        self.records.expect(self.trees.arrive(passed));
        let before = self.looked_into(passed, before)?;
        let moved = self.step_to(passed)?;
        if !self.is_touched(passed, &before, &moved) {
            let is_readable =
                before.readable_at.is_some() && before.readable_at == passed.parent_tree;
            let kept = Kept { told: None, is_readable };
            self.rows.put(passed, before.readable_at, &BTreeSet::new(), &kept);
            let at = if is_readable { Some(passed.tree) } else { before.readable_at };
            return Ok((Stage { readable_at: at, ..before }, None));
        }
        self.touched(passed, before, moved)
    }

    /// The same of a revision that touched the design; the cursor stands there.
    fn touched(
        &mut self,
        passed: &Passed,
        before: Stage,
        moved: Moved,
    ) -> Result<(Stage, Option<Told>), Failure> {
        let Read { design, concern } = match self.relinked(passed, &before, moved) {
            Some(read) => read,
            None => self.read()?,
        };
        let concern = Some(concern);
        let mut after = match design {
            Ok(readable) => readable,
            Err(told) => {
                let kept = Kept { told: Some(told), is_readable: false };
                self.rows.put(passed, before.readable_at, &BTreeSet::new(), &kept);
                return Ok((Stage { concern, ..before }, kept.told));
            }
        };
        let (mut was, mut readable_at) = (before.readable, before.readable_at);
        if let (None, Some(tree)) = (&was, readable_at) {
            self.go(tree)?;
            was = self.read()?.design.ok();
            readable_at = was.as_ref().map(|_| tree);
            self.go(passed.tree)?;
        }
        let stood = was.as_mut().map(|was| self.assessed(None, was));
        let is = self.assessed(stood.as_deref(), &mut after);
        let also = self.also.as_ref().map(|(part, quantity)| (part, quantity));
        let told = Told::Entry(Box::new(history::entry(stood.as_deref(), &is, also)));
        let kept = Kept { told: Some(told), is_readable: true };
        let states: Vec<&Readable> = was.iter().chain([&after]).collect();
        if states.iter().all(|state| state.is_certain) {
            let named = states.iter().flat_map(|state| RevisionSeals::demands(&state.design, true));
            self.rows.put(passed, readable_at, &named.collect(), &kept);
        }
        let stage = Stage { readable_at: Some(passed.tree), readable: Some(after), concern };
        Ok((stage, kept.told))
    }

    /// The stage before a revision, with the paths that its design is made of.
    fn looked_into(&mut self, passed: &Passed, mut stage: Stage) -> Result<Stage, Failure> {
        let Some(tree) = passed.parent_tree.filter(|_| stage.concern.is_none()) else {
            return Ok(stage);
        };
        self.go(tree)?;
        let Read { design, concern } = self.read()?;
        stage.concern = Some(concern);
        if stage.readable_at == Some(tree) {
            stage.readable = design.ok();
            stage.readable_at = stage.readable.as_ref().map(|_| tree);
        }
        Ok(stage)
    }

    /// Goes to the revision by way of its parent.
    fn step_to(&mut self, passed: &Passed) -> Result<Moved, Failure> {
        if let Some(parent_tree) = passed.parent_tree {
            self.go(parent_tree)?;
        }
        self.go(passed.tree)
    }

    /// Whether anything is another at the revision that the design is made of.
    fn is_touched(&self, passed: &Passed, before: &Stage, moved: &Moved) -> bool {
        if passed.parent_tree.is_none() {
            return self.records.are_there();
        }
        let concern = before.concern.as_ref();
        moved.changes.iter().any(|change| concern.is_some_and(|it| it.holds(&change.path)))
    }

    fn go(&mut self, tree: ContentKey) -> Result<Moved, Failure> {
        let changes = self.trees.go(tree)?;
        let records = match changes.is_empty() {
            true => Some(Vec::new()),
            false => self.records.follow(&changes, &mut self.trees.snapshot())?,
        };
        Ok(Moved { changes, records })
    }

    /// The state at which the cursor stands, by what it has of its own beside the one before it; nothing
    /// where it has to be read as a whole.
    fn relinked(&self, passed: &Passed, before: &Stage, moved: Moved) -> Option<Read> {
        let is_beside = before.readable_at.is_some() && before.readable_at == passed.parent_tree;
        let readable = before.readable.as_ref().filter(|_| is_beside)?;
        let concern = before.concern.as_ref()?;
        let is_record = |change: &Change| concern.is_record(&change.path);
        let mut touching = moved.changes.iter().filter(|change| concern.holds(&change.path));
        if !touching.all(is_record) {
            return None;
        }
        let snapshot = self.trees.snapshot();
        let design = design::relink(&readable.design, snapshot.entries(), &moved.records?)?;
        let design = Ok(Readable { design, assessed: None, is_certain: readable.is_certain });
        Some(Read { design, concern: Arc::clone(concern) })
    }

    /// The state at which the cursor stands.
    fn read(&mut self) -> Result<Read, Failure> {
        let mut snapshot = self.trees.snapshot();
        let linked = self.records.linked(&snapshot);
        self.work.linked += 1;
        let Some(design) = linked.design else {
            let told = match self.records.are_there() {
                true => self.unreadable(&linked)?,
                false => Told::Gone,
            };
            return Ok(Read { design: Err(told), concern: Arc::new(self.records.concern(None)) });
        };
        let concern = Arc::new(self.records.concern(Some(&design)));
        let (design, is_certain) = self.loader.knowing_for_certain(design, &mut snapshot);
        Ok(Read { design: Ok(Readable { design, assessed: None, is_certain }), concern })
    }

    /// How a design stands, judged where it was not yet; beside the one `before` it where that is known.
    fn assessed(&mut self, before: Option<&Assessed>, readable: &mut Readable) -> Arc<Assessed> {
        if let Some(assessed) = &readable.assessed {
            return Arc::clone(assessed);
        }
        let design = &readable.design;
        let revisions = self.loader.revisions(&self.manifest, Some(design));
        let named = RevisionSeals::demands(design, true);
        readable.is_certain &=
            named.iter().all(|name| self.loader.is_certain_of(&self.manifest, name));
        let occasion = Occasion::new(design.next.clone(), self.today);
        let assessed = assess::judge_requirements(before, design, &revisions, &occasion);
        let assessed = Arc::new(assessed);
        self.work.evaluated += 1;
        readable.assessed = Some(Arc::clone(&assessed));
        assessed
    }

    fn unreadable(&self, linked: &Linked) -> Result<Told, Failure> {
        let is_error =
            |found: &&crate::diagnostic::Located| found.diagnostic.severity == Severity::Error;
        let errors: Vec<_> = linked.diagnostics.iter().filter(is_error).collect();
        let Some(first) = errors.first() else {
            return Ok(Told::Unreadable { errors: 0, first: String::new() });
        };
        let mut snapshot = self.trees.snapshot();
        let bytes = match snapshot.read(&first.path, crate::parse::MOST_BYTES as u64)? {
            Some(Content::Bytes(bytes)) => bytes,
            _ => Arc::default(),
        };
        let start = first.diagnostic.span.range().start.min(bytes.len());
        let line = bytes[..start].iter().filter(|byte| **byte == b'\n').count() + 1;
        let first = format!("{}:{line}: {}", first.path, first.diagnostic.message);
        Ok(Told::Unreadable { errors: errors.len(), first })
    }

    fn revision(&self, commit: Commit, passed: &Passed) -> Revision {
        let Commit { id, short_id, seconds, author, subject, .. } = commit;
        let date = day_of(seconds, self.today);
        Revision { id, short_id, date, author, subject, is_merge: passed.parents > 1 }
    }
}

/// How many revisions of the way begin where each commit ends.
fn children(way: &Way) -> BTreeMap<ContentKey, usize> {
    let mut children = BTreeMap::new();
    for parent in way.commits.iter().filter_map(|passed| passed.parent) {
        *children.entry(parent).or_default() += 1;
    }
    children
}
