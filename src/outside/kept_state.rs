//! The state that was judged last, kept from one hook to the next: of a commit that moves figures of a
//! few parts, only these are linked and evaluated.

use std::path::Path;
use std::sync::Arc;
use std::thread::JoinHandle;

use super::facts::FOLDER;
use super::loader::Gathered;
use super::{Failure, Loader, State};
use crate::assess::{FORM, Kept, MANIFEST, changed_records};
use crate::design::{Design, Linked};
use crate::fileset::{ContentKey, FileSet, RepoPath};
use crate::git::Snapshot;
use crate::parse;
use crate::record::Date;
use crate::report::Place;
use crate::store::{Key, Single};
use crate::threads;
use crate::verdict::{Assessed, Occasion};

/// Its file within the store's folder.
const FILE_NAME: &str = "state";

/// Fewer parts than these are linked and evaluated before the store is open.
const WORTH_KEEPING: usize = 100;

/// Where more record files than these are others, all is read, and the state kept anew.
const MOST_CHANGED: usize = 32;

/// The state that was judged last in a repository.
pub(super) struct KeptState {
    file: Single,
    /// What was kept, while it is read.
    coming: Option<JoinHandle<Option<Kept>>>,
    /// The same once it was read, and until somebody takes it.
    found: Option<Kept>,
}

impl KeptState {
    /// That of the repository, which a second thread begins to read.
    pub(super) fn of(common_dir: &Path) -> Self {
        let file = Single::open(&common_dir.join(FOLDER), FILE_NAME);
        let begin = |file: Single| threads::aside(move || file.get(&key()));
        let coming = file.is_there().then(|| begin(file.clone())).flatten();
        Self { file, coming, found: None }
    }
}

impl Loader<'_> {
    /// The design at two states that follow from the one that was kept, and this one; nothing where they
    /// do not, or more changed than figures of parts and what no part depends on. What is only warned of is
    /// not told.
    pub(super) fn following(
        &mut self,
        [manifest, later_manifest]: [&RepoPath; 2],
        was: (&mut Snapshot<'_>, Place),
        is: (&mut Snapshot<'_>, Place),
        day: Date,
    ) -> Result<Option<(State, State)>, Failure> {
        if manifest != later_manifest {
            return Ok(None);
        }
        let Some(kept) = self.kept_under(was.0, manifest)? else { return Ok(None) };
        let (between, after) = (was.0.shared_entries(), is.0.shared_entries());
        let changed = changed_records(kept.design(), kept.entries(), &*between);
        let Some(earlier) = self.later(&kept, kept.design(), changed, was.0) else {
            return Ok(None);
        };
        let changed = changed_records(&earlier, &*between, &*after);
        let Some(later) = self.later(&kept, &earlier, changed, is.0) else { return Ok(None) };
        let mut state = |design: Arc<Design>, (snapshot, place): (&mut Snapshot<'_>, Place)| {
            let files = FileSet { entries: snapshot.shared_entries(), ..FileSet::default() };
            let (manifest, selection) = (manifest.clone(), Arc::default());
            let gathered = Gathered { manifest, selection, files, day, place };
            let linked = Linked { design: Some(design), diagnostics: Vec::new() };
            self.state_of(gathered, linked, snapshot)
        };
        let mut earlier = state(earlier, was)?;
        // What was at hand when the state was kept may be so no longer.
        if !earlier.linked.design.as_ref().is_some_and(|design| design.facts.are_of_content()) {
            return Ok(None);
        }
        let later = state(later, is)?;
        earlier.follows = earlier.linked.design.as_ref().map(|like| {
            let occasion = Occasion::new(like.next.clone(), day);
            Box::new(kept.assessed(like, occasion))
        });
        Ok(Some((earlier, later)))
    }

    /// What was kept of the design that this manifest is of; only once.
    fn kept_under(
        &mut self,
        snapshot: &mut Snapshot<'_>,
        manifest: &RepoPath,
    ) -> Result<Option<Kept>, Failure> {
        let Some(state) = &mut self.kept_state else { return Ok(None) };
        if let Some(thread) = state.coming.take() {
            state.found = thread.join().ok().flatten();
        }
        let kept = state.found.take_if(|kept| kept.design().manifest_path == *manifest);
        let Some(kept) = kept else { return Ok(None) };
        Ok(Some(kept.under(self.rules(snapshot, manifest)?)))
    }

    /// The design in a snapshot that follows from `design`, where only these record files changed.
    fn later(
        &mut self,
        kept: &Kept,
        design: &Arc<Design>,
        changed: Option<Vec<&RepoPath>>,
        snapshot: &mut Snapshot<'_>,
    ) -> Option<Arc<Design>> {
        let changed: Vec<RepoPath> = changed?.into_iter().cloned().collect();
        if changed.len() > MOST_CHANGED {
            return None;
        }
        // What cannot be read may be among what was kept of records.
        self.parse(&changed, snapshot).ok()?;
        kept.later(design, snapshot.entries(), &changed, &self.parses)
    }

    /// Keeps a state that was judged, for the next time to start from, unless the one that is kept led to
    /// it, or anything else is being kept.
    pub fn keep_state(&mut self, before: Option<&State>, state: &State, assessed: &Assessed) {
        let Some(KeptState { file, .. }) = &self.kept_state else { return };
        if before.is_some_and(|before| before.follows.is_some()) {
            return;
        }
        if assessed.design.parts.len() < WORTH_KEEPING || self.is_keeping() {
            return;
        }
        if let Some(kept) = Kept::of(assessed, &state.files.entries, &self.parses) {
            // Where it cannot be kept, the next run reads the records.
            file.put(&key(), &kept);
        }
    }
}

/// One for all designs of a repository: that of the one that was judged last is kept.
fn key() -> Key {
    let form = format!("{FORM} of {}", parse::kept::FORM);
    Key::new(ContentKey::new(MANIFEST.as_bytes()), &form, env!("CARGO_PKG_VERSION"))
}
