//! The designs that a change touches.

use crate::fileset::RepoPath;
use crate::git::{At, Repository, Snapshot};
use crate::outside::{Failure, Loader, State, World, manifests};

/// Two states of a repository that a change lies between.
pub(super) struct Change<'r> {
    before: Option<(Snapshot<'r>, At)>,
    after: (Snapshot<'r>, At),
}

/// Where a design's manifest lies.
pub(super) struct Paths {
    /// Before; `None` where the design is new.
    pub before: Option<RepoPath>,
    /// After.
    pub after: RepoPath,
}

impl<'r> Change<'r> {
    /// The change from `before`, which may be missing, to `after`.
    ///
    /// # Errors
    /// [`Failure`] where git could not read one of them.
    pub fn between(
        repository: &'r Repository,
        before: Option<At>,
        after: At,
    ) -> Result<Self, Failure> {
        let state = |at: At| -> Result<_, Failure> { Ok((repository.snapshot(&at)?, at)) };
        let after = state(after)?;
        // Where there is no design, what was there before does not matter.
        let before = before.filter(|_| !manifests(after.0.entries()).is_empty());
        Ok(Self { before: before.map(state).transpose()?, after })
    }

    /// The later state.
    pub fn after(&self) -> &Snapshot<'r> {
        &self.after.0
    }

    /// Shows every design of the later state that the change touches to `visit`, before and after,
    /// in the order of their manifests' paths.
    ///
    /// # Errors
    /// [`Failure`] where git could not read their files, and that of `visit`.
    pub fn each(
        &mut self,
        loader: &mut Loader<'_>,
        world: &World,
        mut visit: impl FnMut(Option<&State>, &State, &Paths) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        for paths in self.paths() {
            let was = self.before.as_mut().zip(paths.before.as_ref());
            let is_untouched = was.as_ref().is_some_and(|((was, _), path)| {
                **path == paths.after && !is_touched(path, was, &self.after.0)
            });
            if is_untouched {
                continue;
            }
            let was = was.map(|((snapshot, at), path)| (snapshot, &*at, path));
            let after = (&mut self.after.0, &self.after.1, &paths.after);
            let (was, is) = loader.pair(was, after, world)?;
            visit(was.as_ref(), &is, &paths)?;
        }
        Ok(())
    }

    /// Where the manifest of each design lies. The one that is gone and the one that is new, where
    /// there is one of each, are the same that was moved.
    fn paths(&self) -> Vec<Paths> {
        let before = self.before.as_ref().map(|(before, _)| manifests(before.entries()));
        let (before, after) = (before.unwrap_or_default(), manifests(self.after.0.entries()));
        let gone: Vec<&RepoPath> = before.iter().filter(|path| !after.contains(path)).collect();
        let new = after.iter().filter(|path| !before.contains(path)).count();
        let moved = match gone[..] {
            [gone] if new == 1 => Some(gone),
            _ => None,
        };
        let paths = |after: &RepoPath| {
            let same = before.iter().find(|before| *before == after);
            Paths { before: same.or(moved).cloned(), after: after.clone() }
        };
        after.iter().map(paths).collect()
    }
}

/// Whether anything below the folder of the manifest is another.
fn is_touched(manifest: &RepoPath, before: &Snapshot<'_>, after: &Snapshot<'_>) -> bool {
    let folder = manifest.folder();
    let mine = |path: &RepoPath| path.below(&folder).is_some();
    let before = before.entries().iter().filter(|(path, _)| mine(path));
    before.ne(after.entries().iter().filter(|(path, _)| mine(path)))
}
