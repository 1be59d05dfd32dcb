//! The designs that a change touches.

use crate::fileset::RepoPath;
use crate::git::{At, Repository, Snapshot};
use crate::outside::{Failure, Loader, State, World, manifests};

/// Two states of a repository that a change lies between.
pub(super) struct Change<'r> {
    before: Option<(Snapshot<'r>, At)>,
    after: (Snapshot<'r>, At),
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
        Ok(Self { before: before.map(state).transpose()?, after: state(after)? })
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
        mut visit: impl FnMut(Option<&State>, &State, &RepoPath) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        for manifest in manifests(self.after.0.entries()) {
            let before = self.before.as_mut();
            let was = before.filter(|(before, _)| before.entries().contains_key(&manifest));
            if was.as_ref().is_some_and(|(was, _)| !is_touched(&manifest, was, &self.after.0)) {
                continue;
            }
            let was = was.map(|(snapshot, at)| (snapshot, &*at));
            let (was, is) =
                loader.pair(was, (&mut self.after.0, &self.after.1), &manifest, world)?;
            visit(was.as_ref(), &is, &manifest)?;
        }
        Ok(())
    }
}

/// Whether anything below the folder of the manifest is another.
fn is_touched(manifest: &RepoPath, before: &Snapshot<'_>, after: &Snapshot<'_>) -> bool {
    let folder = manifest.folder();
    let mine = |path: &RepoPath| path.below(&folder).is_some();
    let before = before.entries().iter().filter(|(path, _)| mine(path));
    before.ne(after.entries().iter().filter(|(path, _)| mine(path)))
}
