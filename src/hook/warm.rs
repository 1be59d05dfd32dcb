//! Leaves the ledger's row of a commit that was just made where the next `ledger` finds it.
//!
//! Only that of `HEAD`, and only of a design of some size: a row by itself is two states to read and to
//! judge, where a ledger that makes many needs one for each. Nothing depends on it, and what goes wrong
//! here goes wrong in silence.

use super::touched::Change;
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Walk, World};

/// Folders in the git directory that are there while several commits are made one after the other.
const IN_PROGRESS: [&str; 3] = ["rebase-merge", "rebase-apply", "sequencer"];

/// Record files of the largest design whose rows are kept by hooks. Of 100 they cost a third of what
/// the hooks of a commit cost without, of 1,000 as much again.
const MOST_FILES: usize = 100;

/// Whether the commit is one of several that are being made.
pub(super) fn is_one_of_many(repository: &Repository) -> bool {
    IN_PROGRESS.iter().any(|folder| repository.git_dir().join(folder).exists())
}

/// Keeps the row of `HEAD`, of every design that it touched.
pub(super) fn up(repository: &Repository, world: &World) {
    // What was not kept is made when it is asked for.
    let _ = keep(repository, world);
}

fn keep(repository: &Repository, world: &World) -> Result<(), Failure> {
    let head = "HEAD".to_owned();
    let before = repository.parent(&head)?.map(At::Revision);
    let mut change = Change::between(repository, before, At::Revision(head.clone()))?;
    let way = repository.step_to(&head)?;
    for touched in change.touched(&mut Loader::new(repository))? {
        if touched.record_files <= MOST_FILES {
            Walk::of(repository, touched.manifest, world.today).alone().ledger(&way)?;
        }
    }
    Ok(())
}
