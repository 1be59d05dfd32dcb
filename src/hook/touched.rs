//! The designs that a change touches, and those that it takes away.

use crate::design;
use crate::fileset::{ContentKey, Mode, RepoPath};
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

    /// The designs of the later state that the change touches, without reading their records.
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
        mut visit: impl FnMut(Option<&State>, &State, &Paths) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        for paths in self.pairs(loader)?.0 {
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

    /// Every design of the earlier state whose manifest is not there any more, in the order of their
    /// paths.
    ///
    /// # Errors
    /// [`Failure`] where git could not read their files.
    pub fn gone(&mut self, loader: &mut Loader<'_>, world: &World) -> Result<Vec<Gone>, Failure> {
        let gone = self.pairs(loader)?.1;
        let Some((before, at)) = &mut self.before else { return Ok(Vec::new()) };
        let after = &mut self.after.0;
        let gone = gone.into_iter().map(|manifest| {
            let was = loader.design(before, &manifest, at, world)?;
            let rules = loader.rules(before, &manifest)?;
            let still_there = |path: &RepoPath| {
                after.entries().get(path).is_some_and(|entry| entry.mode == Mode::File)
            };
            let mut left = design::select(&rules, &manifest, before.entries()).records;
            left.retain(still_there);
            let number = left.len();
            for other in manifests(after.entries()) {
                let rules = loader.rules(after, &other)?;
                let read = design::select(&rules, &other, after.entries()).records;
                left.retain(|path| read.binary_search(path).is_err());
            }
            let is_taken_over = left.len() < number;
            Ok(Gone { manifest, was, left, is_taken_over })
        });
        gone.collect()
    }

    /// Where the manifest of each design lies that is there after, and those that are gone. One that
    /// is gone and a new one of the same content, else of the same name, are a design that was moved.
    fn pairs(&mut self, loader: &mut Loader<'_>) -> Result<(Vec<Paths>, Vec<RepoPath>), Failure> {
        let known = self.before.as_ref().map(|(before, _)| manifests(before.entries()));
        let (known, after) = (known.unwrap_or_default(), manifests(self.after.0.entries()));
        let mut gone: Vec<RepoPath> =
            known.iter().filter(|path| !after.contains(path)).cloned().collect();
        let mut pairs: Vec<Paths> = after
            .into_iter()
            .map(|after| Paths { before: known.contains(&after).then(|| after.clone()), after })
            .collect();
        let Some((before, _)) = &mut self.before else { return Ok((pairs, gone)) };
        for by_name in [false, true] {
            for pair in pairs.iter_mut().filter(|pair| pair.before.is_none()) {
                let mut is_same = |gone: &RepoPath| match by_name {
                    false => Ok(content(before, gone) == content(&self.after.0, &pair.after)),
                    true => {
                        is_named_alike((before, gone), (&mut self.after.0, &pair.after), loader)
                    }
                };
                let found = gone.iter().map(&mut is_same).collect::<Result<Vec<_>, Failure>>()?;
                let found = found.iter().position(|is_same| *is_same);
                pair.before = found.map(|at| gone.remove(at));
            }
        }
        Ok((pairs, gone))
    }
}

fn content(snapshot: &Snapshot<'_>, manifest: &RepoPath) -> Option<ContentKey> {
    snapshot.entries().get(manifest).map(|entry| entry.key)
}

/// Whether two manifests give the design the same name.
fn is_named_alike(
    before: (&mut Snapshot<'_>, &RepoPath),
    after: (&mut Snapshot<'_>, &RepoPath),
    loader: &mut Loader<'_>,
) -> Result<bool, Failure> {
    let mut name = |(snapshot, manifest): (&mut Snapshot<'_>, &RepoPath)| {
        let rules = loader.rules(snapshot, manifest)?;
        Ok::<_, Failure>(rules.design.name.as_ref().map(|name| name.value.clone()))
    };
    let (was, is) = (name(before)?, name(after)?);
    Ok(was.is_some() && was == is)
}

/// Whether anything below the folder of the manifest is another.
fn is_touched(manifest: &RepoPath, before: &Snapshot<'_>, after: &Snapshot<'_>) -> bool {
    let folder = manifest.folder();
    let mine = |path: &RepoPath| path.below(&folder).is_some();
    let before = before.entries().iter().filter(|(path, _)| mine(path));
    before.ne(after.entries().iter().filter(|(path, _)| mine(path)))
}
