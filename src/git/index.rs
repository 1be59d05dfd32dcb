//! The paths of the index.

use std::collections::BTreeMap;

use gix::bstr::BString;
use gix::index::State;
use gix::index::entry::{Flags, Mode as IndexMode};

use super::error::{Error, unreadable};
use super::tree;
use crate::fileset::{ContentKey, Entry, Mode, RepoPath};

/// The index of the working tree, or an empty one before the first `git add`.
pub(super) fn read(repository: &gix::Repository) -> Result<gix::worktree::Index, Error> {
    repository.index_or_empty().map_err(|error| {
        let what = format!("the index {}", repository.index_path().display());
        unreadable(&what, &error)
    })
}

/// What a commit of the index would hold: entries that are only announced (`git add -N`) are left
/// out, folders that a sparse index folds up are read from their trees.
pub(super) fn entries(
    repository: &gix::Repository,
    index: &State,
) -> Result<BTreeMap<RepoPath, Entry>, Error> {
    refuse_conflicts(index)?;
    tree::check_count(index.entries().len())?;
    let mut found = Vec::with_capacity(index.entries().len());
    for entry in index.entries() {
        let path = entry.path(index);
        match mode(entry.mode) {
            _ if entry.flags.contains(Flags::INTENT_TO_ADD) => {}
            Some(mode) => {
                let key = ContentKey::new(entry.id.as_bytes());
                found.push((RepoPath::new(path), Entry { key, mode }));
            }
            None => tree::walk(repository, folded(path.into()), entry.id, &mut found)?,
        }
    }
    Ok(found.into_iter().collect())
}

/// What an index entry stands for; `None` for a folder that a sparse index folds up.
pub(super) fn mode(mode: IndexMode) -> Option<Mode> {
    match mode {
        IndexMode::DIR => None,
        IndexMode::SYMLINK => Some(Mode::Link),
        IndexMode::COMMIT => Some(Mode::Submodule),
        _ => Some(Mode::File),
    }
}

/// The prefix of the paths in a folded folder, which is written with its slash at the end.
pub(super) fn folded(mut path: BString) -> BString {
    if path.last() != Some(&b'/') {
        path.push(b'/');
    }
    path
}

fn refuse_conflicts(index: &State) -> Result<(), Error> {
    let conflicting = index.entries().iter().filter(|entry| entry.stage_raw() != 0);
    let mut paths: Vec<_> = conflicting.map(|entry| RepoPath::new(entry.path(index))).collect();
    paths.dedup();
    match paths.is_empty() {
        true => Ok(()),
        false => Err(Error::Conflicts { paths }),
    }
}
