//! `pre-merge-commit`: judges a merge that went through without conflicts, against the branch that it
//! goes into. Two sides that keep a limit each may break it together.

use super::pre_commit::judge_index;
use crate::cli::hooks::By;
use crate::outside::{Failure, Manner, Outcome, World};
use crate::report::Moment;

/// Judges every design that the merge touches.
///
/// # Errors
/// [`Failure`] where git's state could not be read.
pub(super) fn run(by: By, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    judge_index(&Moment::Merge, by, manner, world)
}
