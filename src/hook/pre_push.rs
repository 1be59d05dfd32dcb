//! `pre-push`: judges the release tags that are being sent, at what they name.

use super::change;
use super::tag::{self, Court};
use super::updates;
use crate::git::Repository;
use crate::outside::{Failure, Manner, Outcome, World};
use crate::report::Moment;

/// Judges every release tag among what is pushed. Branches are the other side's business.
///
/// # Errors
/// [`Failure`] where git could not read what is pushed, or standard input could not be.
pub(super) fn run(manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let pushed = updates::pushed(&updates::input()?);
    let repository = Repository::open(&world.folder)?;
    let court = Court { repository: &repository, shared: None, manner, world };
    let mut outcome = Outcome::default();
    for tag in pushed.iter().filter_map(updates::Update::tag) {
        change::add(&mut outcome, tag::judge(tag, &Moment::Push, &court)?);
    }
    Ok(outcome)
}
