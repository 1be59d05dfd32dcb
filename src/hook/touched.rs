//! The designs that a change touches, and those that it takes away.

use std::collections::BTreeSet;
use std::mem::ManuallyDrop;

use crate::design::{self, Concern};
use crate::fileset::{self, Mode, RepoPath};
use crate::git::{At, Repository, Snapshot};
use crate::outside::{Failure, Loader, Paths, State, World, manifests};

/// Two states of a repository that a change lies between.
pub(super) struct Change<'r> {
    before: Option<(Snapshot<'r>, At)>,
    after: (Snapshot<'r>, At),
}

/// A design that a change touches.
pub(super) struct Touched {
    /// Where its manifest lies.
    pub manifest: RepoPath,
    /// How many record files it has.
    pub record_files: usize,
}

/// A design whose manifest is not there any more.
pub(super) struct Gone {
    /// Where its manifest lay.
    pub manifest: RepoPath,
    /// The design before.
    pub was: State,
    /// Its record files that are still there, and that no design reads.
    pub left: Vec<RepoPath>,
    /// Whether another design reads some of its record files now.
    pub is_taken_over: bool,
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
        let before = match before.map(state) {
            // Where there is no design, a clone without all of its past holds nobody up.
            Some(Err(_)) if manifests(after.0.entries()).is_empty() => None,
            before => before.transpose()?,
        };
        Ok(Self { before, after })
    }

    /// The later state.
    pub fn after(&self) -> &Snapshot<'r> {
        &self.after.0
    }

    /// The designs of the later state below whose folder the change touches anything, without reading their
    /// records.
    ///
    /// # Errors
    /// [`Failure`] where git could not read a manifest.
    pub fn touched(&mut self, loader: &mut Loader<'_>) -> Result<Vec<Touched>, Failure> {
        let (before, after) = (self.before.as_ref(), &mut self.after.0);
        let mut paths = manifests(after.entries());
        paths.retain(|path| before.is_none_or(|(before, _)| is_touched(path, before, after)));
        let touched = |manifest: RepoPath| {
            let rules = loader.rules(after, &manifest)?;
            let record_files = design::select(&rules, &manifest, after.entries()).records.len();
            Ok(Touched { manifest, record_files })
        };
        paths.into_iter().map(touched).collect()
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
        mut visit: impl FnMut(&mut Loader<'_>, Option<&State>, &State, &Paths) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        let snapshot = self.before.as_mut().map(|(snapshot, _)| snapshot);
        for paths in loader.pairs(snapshot, &mut self.after.0)?.0 {
            if paths.before.as_ref() == Some(&paths.after)
                && !self.touches(&paths.after, loader, world)?
            {
                continue;
            }
            let was = self.before.as_mut().zip(paths.before.as_ref());
            let was = was.map(|((snapshot, at), path)| (snapshot, &*at, path));
            let after = (&mut self.after.0, &self.after.1, &paths.after);
            // The process ends soon: neither is taken apart, part by part, before that.
            let states = ManuallyDrop::new(loader.pair(was, after, world)?);
            visit(loader, states.0.as_ref(), &states.1, &paths)?;
        }
        Ok(())
    }

    /// Whether anything is another below the folder of a design that stayed where it was, or that its parts
    /// name elsewhere.
    fn touches(
        &mut self,
        manifest: &RepoPath,
        loader: &mut Loader<'_>,
        world: &World,
    ) -> Result<bool, Failure> {
        let Some((before, at)) = &mut self.before else { return Ok(true) };
        let after = &mut self.after.0;
        if is_touched(manifest, before, after) {
            return Ok(true);
        }
        let mut elsewhere = changed(before, after);
        // What another design is written in is no file of a part.
        for other in manifests(after.entries()) {
            let rules = loader.rules(after, &other)?;
            let other = Concern::of(&rules, &other, None);
            elsewhere.retain(|path| !other.is_record(path));
        }
        if elsewhere.is_empty() {
            return Ok(false);
        }
        let Some(design) = loader.design(before, manifest, at, world)?.linked.design else {
            return Ok(false);
        };
        let concern = Concern::of(&design.manifest, manifest, Some(&design));
        Ok(elsewhere.iter().any(|path| concern.holds(path)))
    }

    /// Every design of the earlier state whose manifest is not there any more, in the order of their
    /// paths.
    ///
    /// # Errors
    /// [`Failure`] where git could not read their files.
    pub fn gone(&mut self, loader: &mut Loader<'_>, world: &World) -> Result<Vec<Gone>, Failure> {
        let Some((before, at)) = &mut self.before else { return Ok(Vec::new()) };
        let after = &mut self.after.0;
        let gone = loader.pairs(Some(before), after)?.1;
        let mut read = BTreeSet::new();
        for other in manifests(after.entries()).into_iter().filter(|_| !gone.is_empty()) {
            let rules = loader.rules(after, &other)?;
            read.extend(design::select(&rules, &other, after.entries()).records);
        }
        let gone = gone.into_iter().map(|manifest| {
            let was = loader.design(before, &manifest, at, world)?;
            let rules = loader.rules(before, &manifest)?;
            let still_there = |path: &RepoPath| {
                after.entries().get(path).is_some_and(|entry| entry.mode == Mode::File)
            };
            let mut left = design::select(&rules, &manifest, before.entries()).records;
            left.retain(still_there);
            let number = left.len();
            left.retain(|path| !read.contains(path));
            let is_taken_over = left.len() < number;
            Ok(Gone { manifest, was, left, is_taken_over })
        });
        gone.collect()
    }
}

/// The paths that are others.
fn changed(before: &Snapshot<'_>, after: &Snapshot<'_>) -> Vec<RepoPath> {
    let differing = fileset::differing(before.entries(), after.entries());
    differing.into_iter().map(|differing| differing.path.clone()).collect()
}

/// Whether anything below the folder of the manifest is another.
fn is_touched(manifest: &RepoPath, before: &Snapshot<'_>, after: &Snapshot<'_>) -> bool {
    let folder = manifest.folder();
    let mine = |path: &RepoPath| path.below(&folder).is_some();
    let before = before.entries().iter().filter(|(path, _)| mine(path));
    before.ne(after.entries().iter().filter(|(path, _)| mine(path)))
}
