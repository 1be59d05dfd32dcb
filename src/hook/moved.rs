//! One line on how the budgets of each design moved between two revisions.

use super::touched::Change;
use super::{change, gone};
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Outcome, State, World};
use crate::render::untrusted::one_line;
use crate::report::Note;

/// Verdicts that are named behind the budgets.
const MOST_VERDICTS: usize = 2;

/// Says how the budgets of the designs that differ between two revisions moved, and which designs are
/// gone. Refuses nothing.
///
/// # Errors
/// [`Failure`] where git could not read them.
pub(super) fn told(
    repository: &Repository,
    revisions: (&str, &str),
    world: &World,
) -> Result<Outcome, Failure> {
    let mut loader = Loader::new(repository).recalling();
    let mut change = between(repository, revisions)?;
    let mut notice = budgets_of(&mut change, &mut loader, world)?;
    for gone in change.gone(&mut loader, world)? {
        notice += &format!("tagworthy: {}\n", gone::line(&gone));
    }
    Ok(Outcome { notice, ..Outcome::default() })
}

/// The same of budgets alone: where one goes back and forth, a branch without a design is no news.
///
/// # Errors
/// As [`told`].
pub(super) fn budgets(
    repository: &Repository,
    revisions: (&str, &str),
    world: &World,
) -> Result<Outcome, Failure> {
    let mut loader = Loader::new(repository).recalling();
    let mut change = between(repository, revisions)?;
    let notice = budgets_of(&mut change, &mut loader, world)?;
    Ok(Outcome { notice, ..Outcome::default() })
}

fn between<'r>(
    repository: &'r Repository,
    (before, after): (&str, &str),
) -> Result<Change<'r>, Failure> {
    let revision = |name: &str| At::Revision(name.to_owned());
    Change::between(repository, Some(revision(before)), revision(after))
}

fn budgets_of(
    change: &mut Change<'_>,
    loader: &mut Loader<'_>,
    world: &World,
) -> Result<String, Failure> {
    let mut notice = String::new();
    change.each(loader, world, |_, was, is, paths| {
        let line = was.and_then(|was| line(was, is));
        let unreadable = || format!("the records can no longer be read ({})", paths.after);
        let was_readable = was.is_some_and(|was| was.linked.design.is_some());
        let is_unreadable = was_readable && is.linked.design.is_none();
        if let Some(line) = line.or_else(|| is_unreadable.then(unreadable)) {
            notice += &format!("tagworthy: {}\n", one_line(&line));
        }
        Ok(())
    })?;
    Ok(notice)
}

fn line(was: &State, is: &State) -> Option<String> {
    let Note { moved, turned, .. } = change::note(was, is)?;
    let moved = moved?;
    let more = turned.len().saturating_sub(MOST_VERDICTS);
    let more = (more > 0).then(|| format!("{more} more"));
    let turned = turned.into_iter().take(MOST_VERDICTS).map(|verdict| without_because(&verdict));
    Some([moved].into_iter().chain(turned).chain(more).collect::<Vec<_>>().join("; "))
}

/// `carry-mass pass → fail` of `carry-mass pass → fail, because …; let through`.
fn without_because(verdict: &str) -> String {
    verdict.split([',', ';']).next().unwrap_or_default().to_owned()
}
