//! `post-rewrite`: one line on how the budgets moved by a whole rebase.

use super::{moved, updates, warm};
use crate::git::Repository;
use crate::outside::{Failure, Outcome, World};

/// Tells of the rebase that has just ended: its last line names the old tip and the new one.
///
/// # Errors
/// [`Failure`] where git could not read them, or standard input could not be.
pub(super) fn run(command: &str, world: &World) -> Result<Outcome, Failure> {
    if command != "rebase" {
        return Ok(Outcome::default());
    }
    let rewritten = updates::rewritten(&updates::input()?);
    let Some((old, new)) = rewritten.last() else { return Ok(Outcome::default()) };
    let repository = Repository::open(&world.folder)?;
    let told = moved::told(&repository, (old, new), world)?;
    warm::up(&repository, world);
    Ok(told)
}
