//! The design in the working tree, open for a record.

use std::path::Path;
use std::sync::Arc;

use crate::cli::write::PlaceArgs;
use crate::design::Design;
use crate::edit::{Candidate, NewRecord, RecordKind, add_record, choose_file, free_id};
use crate::fileset::RepoPath;
use crate::git::{At, Repository};
use crate::outside::{Draft, Failure, Loader, Manner, State, World};
use crate::record::Id;

/// The design in the working tree, open for a record.
pub struct Desk<'r> {
    pub repository: &'r Repository,
    pub loader: Loader<'r>,
    pub state: State,
    pub design: Arc<Design>,
    root: &'r Path,
}

/// Where a record is written, and under which name.
pub struct Spot {
    pub path: RepoPath,
    pub id: Id,
}

impl<'r> Desk<'r> {
    /// The design as it lies in the working tree.
    ///
    /// # Errors
    /// [`Failure`] where there is none, or its records cannot be read.
    pub fn open(
        repository: &'r Repository,
        manner: &Manner,
        world: &World,
    ) -> Result<Self, Failure> {
        let mut loader = Loader::new(repository);
        let state = loader.state(&At::WorkTree, manner, world)?;
        let design = state.linked.design.clone().ok_or_else(|| {
            Failure::new("the records cannot be read; `tagworthy check` says why: mend them first")
        })?;
        let root = repository.work_dir().ok_or_else(|| Failure::new("there is no working tree"))?;
        Ok(Self { repository, loader, state, design, root })
    }

    /// Where a record of `kind` goes; it is named after `base` where no name was given.
    ///
    /// # Errors
    /// [`Failure`] where the file that was named holds no records of this design.
    pub fn spot(&self, kind: RecordKind, place: &PlaceArgs, base: &Id) -> Result<Spot, Failure> {
        let files = self.loader.record_files_of(&self.state, &self.design);
        let files: Vec<Candidate> = files
            .iter()
            .map(|file| Candidate::of(&file.path, file.role, &file.parsed.records, kind))
            .collect();
        let chosen = match &place.into {
            None => choose_file(&files, kind),
            Some(into) => {
                let wanted = RepoPath::default().join(into.as_bytes());
                files.iter().find(|file| Some(&file.path) == wanted.as_ref())
            }
        };
        let chosen = chosen.ok_or_else(|| {
            let into = place.into.as_deref().unwrap_or_default();
            let hint = "the manifest's `records` lists the files that are";
            Failure::new(format!("`{into}` is no record file of {}\n{hint}", self.design.name))
        })?;
        let id = match &place.id {
            Some(id) => Id::new(id.as_str()),
            None => free_id(base, |id| self.is_taken(kind, id)),
        };
        Ok(Spot { path: chosen.path.clone(), id })
    }

    fn is_taken(&self, kind: RecordKind, id: &str) -> bool {
        let design = &self.design;
        match kind {
            RecordKind::Evidence => design.evidence.iter().any(|held| held.id.as_str() == id),
            RecordKind::Item => design.items.iter().any(|held| held.id.as_str() == id),
            RecordKind::Decision => design.decisions.iter().any(|held| held.id.as_str() == id),
            RecordKind::Waiver => design.waivers.iter().any(|held| held.id.as_str() == id),
        }
    }

    /// The file at `spot` with `record` in it, not written yet.
    ///
    /// # Errors
    /// [`Failure`] where the records could not be read with it.
    pub fn draft(&self, spot: &Spot, record: &NewRecord) -> Result<Draft, Failure> {
        self.change(&spot.path, |text, role| add_record(text, role, &spot.id, record))
    }

    /// The file at `path` changed by `edit`, not written yet.
    ///
    /// # Errors
    /// [`Failure`] where the records could not be read with the change.
    pub fn change(
        &self,
        path: &RepoPath,
        edit: impl FnOnce(&str, crate::parse::Role) -> Result<String, crate::edit::EditError>,
    ) -> Result<Draft, Failure> {
        self.loader.draft((&self.state, &self.design), self.root, path, edit)
    }
}
