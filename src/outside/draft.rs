//! A record file with a change in it: linked with all others before anything is written.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use bstr::ByteSlice;

use super::{Failure, Loader, State, write_whole};
use crate::assess;
use crate::design::{self, Design};
use crate::diagnostic::Severity;
use crate::edit::EditError;
use crate::evidence::Revision;
use crate::fileset::{ContentKey, Entry, Mode, RepoPath};
use crate::parse::{Parsed, Role};

/// A file that a design reads records from.
pub struct RecordFile {
    /// Where it lies.
    pub path: RepoPath,
    /// What it is read as.
    pub role: Role,
    /// What stands in it.
    pub parsed: Arc<Parsed>,
}

/// A record file's text on disk, and the text that is to be there.
pub struct Draft {
    place: PathBuf,
    was: String,
    now: String,
    /// The design as it reads with the new text.
    pub design: Arc<Design>,
}

impl Loader<'_> {
    /// The files that `design` reads records from, the manifest first.
    #[must_use]
    pub fn record_files_of(&self, state: &State, design: &Design) -> Vec<RecordFile> {
        let file = |path: &RepoPath, role| {
            let parsed = self.parses.of(&state.files, path, role);
            RecordFile { path: path.clone(), role, parsed }
        };
        let manifest = file(&design.manifest_path, Role::Manifest);
        let rules = manifest.parsed.rules();
        let selected = design::select(&rules, &manifest.path, &state.files.entries).records;
        let records = selected.iter().map(|path| file(path, Role::Records));
        [manifest].into_iter().chain(records).collect()
    }

    /// The same design at the revision `name`; `None` where its records cannot be read.
    ///
    /// # Errors
    /// [`Failure`] where git could not read the revision.
    pub fn same_at(&mut self, design: &Design, name: &str) -> Result<Option<Revision>, Failure> {
        self.bench(&design.manifest_path, name)
    }

    /// The file at `path` of the working tree below `root`, changed by `edit` and not written yet.
    ///
    /// # Errors
    /// [`Failure`] where it cannot be read or changed, and where the records could not be read with
    /// the change.
    pub fn draft(
        &self,
        (state, design): (&State, &Design),
        root: &Path,
        path: &RepoPath,
        edit: impl FnOnce(&str, Role) -> Result<String, EditError>,
    ) -> Result<Draft, Failure> {
        let is_manifest = *path == design.manifest_path;
        let role = if is_manifest { Role::Manifest } else { Role::Records };
        let place = place_of(root, path)?;
        let was = read(&place)?;
        let now = edit(&was, role).map_err(|error| unwritten(path, &error.to_string()))?;
        let design = self.linked_with(state, &design.manifest_path, path, &now)?;
        Ok(Draft { place, was, now, design })
    }

    fn linked_with(
        &self,
        state: &State,
        manifest: &RepoPath,
        path: &RepoPath,
        text: &str,
    ) -> Result<Arc<Design>, Failure> {
        // No object has an empty id, so that nothing else is taken for this content.
        let key = ContentKey::new(&[]);
        let mut files = state.files.clone();
        Arc::make_mut(&mut files.entries).insert(path.clone(), Entry { key, mode: Mode::File });
        files.contents.insert(key, text.as_bytes().into());
        let linked = assess::read(&files, manifest, &self.parses);
        linked.design.ok_or_else(|| {
            let mut errors = linked.diagnostics.iter().map(|located| &located.diagnostic);
            let first = errors.find(|found| found.severity == Severity::Error);
            let told = first.map(|error| {
                let hint = error.hint.as_ref().map(|hint| format!("\n{hint}")).unwrap_or_default();
                format!("{}: {}{hint}", error.code.0, error.message)
            });
            unwritten(path, &told.unwrap_or_default())
        })
    }
}

impl Draft {
    /// Writes the file, whole or not at all.
    ///
    /// # Errors
    /// [`Failure`] where it could not be written, or was changed by somebody else since.
    pub fn write(&self) -> Result<(), Failure> {
        if read(&self.place)? != self.was {
            let place = self.place.display();
            return Err(Failure::new(format!("{place} was changed meanwhile; try again")));
        }
        write_whole(&self.place, self.now.as_bytes())
    }
}

fn read(place: &Path) -> Result<String, Failure> {
    fs::read_to_string(place)
        .map_err(|error| Failure::new(format!("{} could not be read: {error}", place.display())))
}

fn place_of(root: &Path, path: &RepoPath) -> Result<PathBuf, Failure> {
    let below = path.as_bstr().to_path();
    let below = below.map_err(|_| Failure::new(format!("{path} is no path on this machine")))?;
    Ok(root.join(below))
}

fn unwritten(path: &RepoPath, why: &str) -> Failure {
    Failure::new(format!("nothing was written to {path}: {why}"))
}
