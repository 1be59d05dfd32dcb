//! `post-checkout`: one line on how the budgets differ from what was checked out before.

use super::moved;
use crate::git::Repository;
use crate::outside::{Failure, Outcome, World};

/// Tells how `after` differs from `before`.
///
/// # Errors
/// [`Failure`] where git could not read them.
pub(super) fn run(
    (before, after): (&str, &str),
    flag: Option<&str>,
    world: &World,
) -> Result<Outcome, Failure> {
    let is_nothing = |id: &str| id.bytes().all(|digit| digit == b'0');
    if flag != Some("1") || before == after || is_nothing(before) {
        return Ok(Outcome::default());
    }
    moved::budgets(&Repository::open(&world.folder)?, (before, after), world)
}
