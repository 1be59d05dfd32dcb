//! The history of a state, for commands that are about one state.

use semver::Version;

use crate::cli::StateArgs;
use crate::design::Design;
use crate::git::{Passed, Range, Repository, Tag, Way};
use crate::history::Ledger;
use crate::outside::{self, Failure, World};
use crate::record::Id;
use crate::release::Tagged;

/// Revisions that are looked back at: more would keep who asks for one state waiting when nothing of
/// them is kept yet.
const MOST_REVISIONS: usize = 1_000;

/// The way to a state, and its ledger.
pub(super) struct History {
    pub(super) way: Way,
    pub(super) ledger: Ledger,
}

/// The history of the state that is meant, of which the index and the working tree have that of HEAD;
/// `also` is a figure of a part that is followed besides. Nothing where there is no history yet.
///
/// # Errors
/// [`Failure`] where an object of it is missing or damaged.
pub(super) fn history(
    repository: &Repository,
    design: &Design,
    state: &StateArgs,
    also: Option<(Id, Id)>,
    world: &World,
) -> Result<Option<History>, Failure> {
    if state.at.is_none() && repository.head()?.is_none() {
        return Ok(None);
    }
    let upto = state.at.clone().unwrap_or_else(|| "HEAD".to_owned());
    let mut way = repository.way(&Range { after: None, upto, every: false })?;
    way.keep_last(MOST_REVISIONS);
    let ledger = outside::ledger(repository, &design.manifest_path, also, &way, world)?;
    Ok(Some(History { way, ledger }))
}

/// The last release on the way; a trial of one is none.
///
/// # Errors
/// [`Failure`] where the tags cannot be read.
pub(super) fn last_release(
    repository: &Repository,
    design: &Design,
    way: &Way,
) -> Result<Option<Tagged>, Failure> {
    let table = &design.manifest.design;
    let tags = repository.tags()?.into_iter();
    let is_release = |version: Version| version.pre.is_empty();
    let releases = tags.filter(|tag| table.release_of(&tag.name).is_some_and(is_release));
    Ok(releases.filter_map(|tag| passed(tag, way)).max_by_key(|tagged| tagged.place))
}

/// The tag `name`, where it is one of a revision on the way.
///
/// # Errors
/// [`Failure`] where the tags cannot be read.
pub(super) fn tagged(
    repository: &Repository,
    way: &Way,
    name: &str,
) -> Result<Option<Tagged>, Failure> {
    let tag = repository.tags()?.into_iter().find(|tag| tag.name == name);
    Ok(tag.and_then(|tag| passed(tag, way)))
}

fn passed(tag: Tag, way: &Way) -> Option<Tagged> {
    let is_it = |passed: &Passed| passed.id.to_string() == tag.commit;
    let place = way.commits.iter().position(is_it)?;
    Some(Tagged { tag: tag.name, place })
}
