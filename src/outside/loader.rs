//! Reads designs at states of a repository, as far as their records allow.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::facts::Known;
use super::kept_records::KeptRecords;
use super::kept_state::KeptState;
use super::manifests::find_manifest;
use super::selected::Selected;
use super::{Failure, Manner, State, World};
use crate::assess::{self, Parses};
use crate::design::{Design, Linked, Selection};
use crate::evidence::{Revision, RevisionSeals};
use crate::fileset::{ContentKey, FileSet, RepoPath};
use crate::git::{At, Content, Repository, Snapshot};
use crate::parse::{self, MOST_BYTES, Parsed, Role, kept};
use crate::record::{Date, Manifest};
use crate::report::Place;
use crate::verdict::{self, Documents};

/// The largest document that is looked into, in bytes.
const MOST_DOCUMENT_BYTES: u64 = 1 << 20;

/// Reads states of one repository; what two of them share is read and parsed once.
pub struct Loader<'r> {
    pub(super) repository: &'r Repository,
    pub(super) parses: Parses,
    pub(super) selected: Option<Selected>,
    contents: BTreeMap<ContentKey, Arc<[u8]>>,
    /// Revisions that evidence names, by manifest and name; `None` for what cannot be read here.
    benches: BTreeMap<(RepoPath, String), Option<Bench>>,
    known: Known,
    /// Whether seals are compared with the revisions that stand beside them.
    pub(super) compares_seals: bool,
    /// What record files said in an earlier run, where that is asked for.
    pub(super) kept_records: Option<KeptRecords>,
    /// The state that an earlier run judged, where that is asked for.
    pub(super) kept_state: Option<KeptState>,
}

/// A design that was on the bench.
struct Bench {
    revision: Revision,
    /// Whether every clone would say the same of its files.
    is_certain: bool,
}

/// The files of a design at one state, read and parsed, not linked yet.
pub(super) struct Gathered {
    pub manifest: RepoPath,
    pub selection: Arc<Selection>,
    pub files: FileSet,
    pub day: Date,
    pub place: Place,
}

impl Gathered {
    fn linked(&self, parses: &Parses) -> Linked {
        assess::read_selected(&self.files, &self.manifest, &self.selection, parses)
    }

    /// The same, where another state is linked.
    fn linked_since(&self, (before, linked): (&Self, &Linked), parses: &Parses) -> Linked {
        // A warning of what stayed as it was is told again.
        let design = linked.design.as_ref().filter(|_| linked.diagnostics.is_empty());
        let Some(design) = design else { return self.linked(parses) };
        assess::read_since((&before.files, design), &self.files, &self.manifest, parses)
    }
}

impl<'r> Loader<'r> {
    /// A loader that has read nothing yet.
    #[must_use]
    pub fn new(repository: &'r Repository) -> Self {
        Self {
            repository,
            parses: Parses::default(),
            selected: None,
            contents: BTreeMap::new(),
            benches: BTreeMap::new(),
            known: Known::of(repository.common_dir()),
            compares_seals: false,
            kept_records: None,
            kept_state: None,
        }
    }

    /// The same loader, which compares seals with the revisions beside them, as a release asks for.
    #[must_use]
    pub fn comparing_seals(self) -> Self {
        Self { compares_seals: true, ..self }
    }

    /// The design that `manner` means, at a state.
    ///
    /// # Errors
    /// [`Failure`] where git could not read the state, or no manifest is there.
    pub fn state(&mut self, at: &At, manner: &Manner, world: &World) -> Result<State, Failure> {
        self.compares_seals = true;
        let mut snapshot = self.repository.snapshot(at)?;
        let wanted = manner.design.as_deref();
        let manifest = find_manifest(snapshot.entries(), self.repository.prefix(), wanted)?;
        self.design(&mut snapshot, &manifest, at, world)
    }

    /// The design whose manifest lies at `manifest`, in a snapshot taken at `at`.
    ///
    /// # Errors
    /// [`Failure`] where git could not read its files.
    pub fn design(
        &mut self,
        snapshot: &mut Snapshot<'_>,
        manifest: &RepoPath,
        at: &At,
        world: &World,
    ) -> Result<State, Failure> {
        let occasion = self.occasion(at, world)?;
        let gathered = self.gathered(snapshot, manifest, occasion)?;
        let linked = gathered.linked(&self.parses);
        self.state_of(gathered, linked, snapshot)
    }

    /// One design at two states, and where its manifest lies in each; `before` may be missing. The later
    /// one is linked from the earlier one where that is enough, and ages in both count from its day.
    ///
    /// # Errors
    /// [`Failure`] where git could not read its files.
    pub fn pair(
        &mut self,
        before: Option<(&mut Snapshot<'_>, &At, &RepoPath)>,
        after: (&mut Snapshot<'_>, &At, &RepoPath),
        world: &World,
    ) -> Result<(Option<State>, State), Failure> {
        let Some((was, was_at, was_manifest)) = before else {
            return Ok((None, self.design(after.0, after.2, after.1, world)?));
        };
        let (day, place) = self.occasion(after.1, world)?;
        if let Some((earlier, later)) = self.following(
            [was_manifest, after.2],
            (was, was_at.into()),
            (after.0, place.clone()),
            day,
        )? {
            return Ok((Some(earlier), later));
        }
        let earlier = self.gathered(was, was_manifest, (day, was_at.into()))?;
        let later = self.gathered(after.0, after.2, (day, place))?;
        let parses = &self.parses;
        let was_linked = earlier.linked(parses);
        let is_linked = later.linked_since((&earlier, &was_linked), parses);
        let earlier = self.state_of(earlier, was_linked, was)?;
        Ok((Some(earlier), self.state_of(later, is_linked, after.0)?))
    }

    /// The state `was` with other records, which are linked to `design`.
    pub(super) fn state_with(
        &mut self,
        was: &State,
        files: FileSet,
        design: Arc<Design>,
        place: Place,
        snapshot: &mut Snapshot<'_>,
    ) -> Result<State, Failure> {
        let linked = Linked { design: Some(design), ..was.linked.clone() };
        let manifest = linked.design.as_ref().map(|design| design.manifest_path.clone());
        let manifest = manifest.unwrap_or_default();
        let gathered = Gathered { manifest, selection: Arc::default(), files, day: was.day, place };
        self.state_of(gathered, linked, snapshot)
    }

    /// The files of a design, read and parsed.
    fn gathered(
        &mut self,
        snapshot: &mut Snapshot<'_>,
        manifest: &RepoPath,
        (day, place): (Date, Place),
    ) -> Result<Gathered, Failure> {
        let (selection, files) = self.files(snapshot, manifest)?;
        Ok(Gathered { manifest: manifest.clone(), selection, files, day, place })
    }

    pub(super) fn state_of(
        &mut self,
        mut gathered: Gathered,
        mut linked: Linked,
        snapshot: &mut Snapshot<'_>,
    ) -> Result<State, Failure> {
        self.read_texts(&mut gathered.files, &linked, snapshot)?;
        linked.design = linked.design.take().map(|design| self.knowing(design, snapshot));
        let revisions = self.revisions(&gathered.manifest, linked.design.as_deref());
        let documents = match self.kept_records {
            Some(_) => Documents::default(),
            None => Self::documents(snapshot, &linked)?,
        };
        let Gathered { files, day, place, .. } = gathered;
        let (past, follows) = (Arc::default(), None);
        Ok(State { files, linked, revisions, documents, day, place, past, follows })
    }

    /// The record files of a design, read and parsed.
    fn files(
        &mut self,
        snapshot: &mut Snapshot<'_>,
        manifest: &RepoPath,
    ) -> Result<(Arc<Selection>, FileSet), Failure> {
        let selection = self.selection(snapshot, manifest)?;
        let records = &selection.records;
        self.recall(records.len());
        let anew = self.parse(records, snapshot)?;
        self.keep_records(records.len(), anew, snapshot.entries());
        let (entries, contents) = (snapshot.shared_entries(), self.contents.clone());
        Ok((selection, FileSet { entries, contents }))
    }

    /// Reads and parses the record files among which nobody has yet; says how many can be packed.
    pub(super) fn parse(
        &mut self,
        records: &[RepoPath],
        snapshot: &mut Snapshot<'_>,
    ) -> Result<usize, Failure> {
        let unread = |key: &ContentKey| !self.parses.have(key, Role::Records);
        let parse = |content: &Content| parsed(content, Role::Records);
        let read = snapshot.load(records, unread, MOST_BYTES as u64, parse)?;
        let anew = read.iter().filter(|read| kept::can_be_packed(&read.made)).count();
        for read in read {
            self.keep(read.key, Role::Records, read.made, read.content);
        }
        Ok(anew)
    }

    fn keep(&mut self, key: ContentKey, role: Role, parsed: Parsed, content: Content) {
        self.parses.keep(key, role, Arc::new(parsed));
        if let Content::Bytes(bytes) = content {
            self.contents.insert(key, bytes);
        }
    }

    /// The designs that were on the bench, of the revisions that evidence asks for. What cannot be
    /// read here, in a shallow clone for example, is no failure: it cannot be told from.
    pub(super) fn revisions(
        &mut self,
        manifest: &RepoPath,
        design: Option<&Design>,
    ) -> RevisionSeals {
        let demands = design.map(|design| RevisionSeals::demands(design, self.compares_seals));
        let mut revisions = Vec::new();
        for name in demands.unwrap_or_default() {
            let key = (manifest.clone(), name);
            if !self.benches.contains_key(&key) {
                let bench = self.read_at(manifest, &key.1).ok().flatten();
                let bench = bench.map(|(design, is_certain)| Bench {
                    revision: Revision::of(design),
                    is_certain,
                });
                self.benches.insert(key.clone(), bench);
            }
            if let Some(Some(bench)) = self.benches.get(&key) {
                revisions.push((key.1, bench.revision.clone()));
            }
        }
        revisions.into_iter().collect()
    }

    /// Whether every clone would say the same of a revision that evidence was looked up at.
    pub(super) fn is_certain_of(&self, manifest: &RepoPath, name: &str) -> bool {
        let bench = self.benches.get(&(manifest.clone(), name.to_owned()));
        bench.is_some_and(|bench| bench.as_ref().is_some_and(|bench| bench.is_certain))
    }

    /// The design at the revision `name` with its facets, where its records can be read.
    pub(super) fn bench(
        &mut self,
        manifest: &RepoPath,
        name: &str,
    ) -> Result<Option<Revision>, Failure> {
        Ok(self.design_at(manifest, name)?.map(Revision::of))
    }

    /// The design at the revision `name`, where its records can be read.
    pub(super) fn design_at(
        &mut self,
        manifest: &RepoPath,
        name: &str,
    ) -> Result<Option<Arc<Design>>, Failure> {
        Ok(self.read_at(manifest, name)?.map(|(design, _)| design))
    }

    /// The same, and whether every clone would say so.
    fn read_at(
        &mut self,
        manifest: &RepoPath,
        name: &str,
    ) -> Result<Option<(Arc<Design>, bool)>, Failure> {
        let mut snapshot = self.repository.snapshot(&At::Revision(name.to_owned()))?;
        let (selection, files) = self.files(&mut snapshot, manifest)?;
        let design = assess::read_selected(&files, manifest, &selection, &self.parses).design;
        Ok(design.map(|design| self.knowing_for_certain(design, &mut snapshot)))
    }

    /// The design with what its files say.
    fn knowing(&mut self, design: Arc<Design>, snapshot: &mut Snapshot<'_>) -> Arc<Design> {
        self.knowing_for_certain(design, snapshot).0
    }

    /// The same, and whether every clone would say so.
    pub(super) fn knowing_for_certain(
        &mut self,
        design: Arc<Design>,
        snapshot: &mut Snapshot<'_>,
    ) -> (Arc<Design>, bool) {
        let (known, is_certain) = self.known.of_design(&design, snapshot, self.repository);
        (design.knowing(known), is_certain)
    }

    /// What the manifest at `manifest` says, as far as it can be read; an empty one where there is
    /// none.
    ///
    /// # Errors
    /// [`Failure`] where git could not read it.
    pub fn rules(
        &mut self,
        snapshot: &mut Snapshot<'_>,
        manifest: &RepoPath,
    ) -> Result<Arc<Manifest>, Failure> {
        let unread = |key: &ContentKey| !self.parses.have(key, Role::Manifest);
        let key = snapshot.entries().get(manifest).map(|entry| entry.key).filter(unread);
        if let Some(key) = key
            && let Some(content) = snapshot.read(manifest, MOST_BYTES as u64)?
        {
            self.keep(key, Role::Manifest, parsed(&content, Role::Manifest), content);
        }
        let files = FileSet { entries: snapshot.shared_entries(), ..FileSet::default() };
        Ok(self.parses.of(&files, manifest, Role::Manifest).rules())
    }

    /// The documents that the release checks of a design look into.
    fn documents(snapshot: &mut Snapshot<'_>, linked: &Linked) -> Result<Documents, Failure> {
        let entries = snapshot.shared_entries();
        let mut documents = Documents { entries, ..Documents::default() };
        let Some(design) = &linked.design else { return Ok(documents) };
        for path in verdict::demands(design, snapshot.entries()) {
            if let Some(Content::Bytes(bytes)) = snapshot.read(&path, MOST_DOCUMENT_BYTES)? {
                documents.texts.insert(path, bytes);
            }
        }
        Ok(documents)
    }
}

/// What a content says.
pub(super) fn parsed(content: &Content, role: Role) -> Parsed {
    match content {
        Content::Bytes(bytes) => parse::file(bytes, role),
        Content::TooLarge { bytes } => parse::too_large(*bytes),
    }
}
