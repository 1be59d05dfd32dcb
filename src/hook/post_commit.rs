//! `post-commit`: one line where the budgets moved and no hook said so before the commit, as after a
//! cherry-pick; a word where something else was committed than was judged. Keeps the ledger warm.

use super::judged::{Judged, recall};
use super::{moved, warm};
use crate::cli::hooks::By;
use crate::git::{At, Repository};
use crate::outside::{Failure, Outcome, World};

/// What is said where something else was committed than was judged.
const CHANGED: &str = "tagworthy: the index changed while it was judged, \
    and the commit holds something else\n";

/// Tells of the commit that was just made.
///
/// # Errors
/// [`Failure`] where git could not read it.
pub(super) fn run(by: By, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let Some(before) = repository.parent("HEAD")? else { return Ok(Outcome::default()) };
    after_commit(&repository, by, &before, world)
}

/// Tells of a commit by the process `by`, that `HEAD` names now and that followed `before`.
pub(super) fn after_commit(
    repository: &Repository,
    by: By,
    before: &str,
    world: &World,
) -> Result<Outcome, Failure> {
    let now = repository.snapshot(&At::Revision("HEAD".to_owned()))?;
    if !warm::is_one_of_many(repository) {
        warm::up(repository, world);
    }
    let changed = match recall(repository, by, &now) {
        Judged::Same => return Ok(Outcome::default()),
        Judged::Other => CHANGED,
        Judged::Nothing => "",
    };
    let told = moved::told(repository, (before, "HEAD"), world)?;
    Ok(Outcome { notice: format!("{changed}{}", told.notice), ..told })
}
