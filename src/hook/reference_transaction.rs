//! `reference-transaction`: judges a release tag that is about to be made or moved here.
//!
//! Git calls it for every change of references. A fetch of someone else's tag looks like the making of
//! one: a tag of what a remote has already is let through, and the push of one is judged elsewhere.

use super::change;
use super::tag::{self, Court};
use super::updates::{self, Update};
use crate::git::Repository;
use crate::outside::{Failure, Manner, Outcome, World};
use crate::report::Moment;

/// Where branches of other repositories are kept.
const REMOTES: &str = "refs/remotes/";

/// Judges the release tags that come or move in the transaction.
///
/// # Errors
/// [`Failure`] where git could not read what they name, or standard input could not be.
pub(super) fn run(state: &str, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let mut outcome = Outcome::default();
    if state != "prepared" {
        return Ok(outcome);
    }
    let updates = updates::received(&updates::input()?);
    let repository = Repository::open(&world.folder)?;
    let court = Court { repository: &repository, shared: None, manner, world };
    let tips = remote_tips(&repository, &updates)?;
    for update in &updates {
        let Some((name, object)) = update.tag() else { continue };
        // Packing references looks like making them.
        let is_there = repository.reference(&update.name)?.as_deref() == Some(object);
        if !is_there && !is_remote(&repository, object, &tips)? {
            change::add(
                &mut outcome,
                tag::judge((name, object), &Moment::Tag(name.to_owned()), &court)?,
            );
        }
    }
    Ok(outcome)
}

/// Branches of other repositories, as they are known and as they are about to be.
fn remote_tips(repository: &Repository, updates: &[Update]) -> Result<Vec<String>, Failure> {
    let mut tips = repository.remote_tips()?;
    let coming = updates.iter().filter(|update| update.name.starts_with(REMOTES));
    tips.extend(coming.filter_map(|update| update.new.clone()));
    Ok(tips)
}

fn is_remote(repository: &Repository, object: &str, tips: &[String]) -> Result<bool, Failure> {
    match repository.commit_behind(object)? {
        Some(commit) => Ok(repository.is_reached(&commit, tips)?),
        None => Ok(false),
    }
}
