//! `post-merge`: one line where a merge or a pull moved the budgets and no hook said so before.

use super::post_commit::after_commit;
use crate::cli::hooks::By;
use crate::git::Repository;
use crate::outside::{Failure, Outcome, World};

/// What git calls the revision from before a merge (gitrevisions(7)).
const BEFORE: &str = "ORIG_HEAD";

/// Tells of the merge that was just made; of one that leaves the commit to the user (`squash`) the
/// hook before that commit will tell.
///
/// # Errors
/// [`Failure`] where git could not read it.
pub(super) fn run(by: By, squash: Option<&str>, world: &World) -> Result<Outcome, Failure> {
    if squash == Some("1") {
        return Ok(Outcome::default());
    }
    let repository = Repository::open(&world.folder)?;
    if repository.reference(BEFORE)?.is_none() {
        return Ok(Outcome::default());
    }
    after_commit(&repository, by, BEFORE, world)
}
