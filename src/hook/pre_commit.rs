//! `pre-commit`: judges what is about to be committed, against what is checked out.
//!
//! The index is the one that git names in `GIT_INDEX_FILE`: with `commit -a`, a partial commit or an
//! amendment it is another than the repository's own. The working tree is not looked at.

use std::mem::ManuallyDrop;

use super::change::{self, Rule};
use super::touched::Change;
use super::{gone, guard, judged};
use crate::cli::hooks::By;
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Manner, Outcome, World};
use crate::report::Moment;

/// Judges every design that the commit touches.
///
/// # Errors
/// [`Failure`] where git's state could not be read.
pub(super) fn run(by: By, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    judge_index(&Moment::Commit, by, manner, world)
}

/// Judges the index against what is checked out.
pub(super) fn judge_index(
    moment: &Moment,
    by: By,
    manner: &Manner,
    world: &World,
) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    // The process ends with this: records are not taken apart one by one before.
    let mut loader = ManuallyDrop::new(Loader::new(&repository).recalling());
    let head = repository.head()?.map(At::Revision);
    let mut staged = Change::between(&repository, head, At::Index)?;
    let mut outcome = Outcome::default();
    staged.each(&mut loader, world, |loader, was, is, paths| {
        let guard = guard::commit(&change::rules(is, &paths.after));
        let rule = Rule { guard: &guard, moment, manner };
        let (judgement, judged) = change::judge((was, is), &paths.after, &rule);
        change::add(&mut outcome, judgement);
        judged.iter().for_each(|judged| loader.keep_state(was, is, judged));
        Ok(())
    })?;
    for gone in staged.gone(&mut loader, world)? {
        let guard = guard::commit(&change::rules(&gone.was, &gone.manifest));
        change::add(
            &mut outcome,
            gone::judge(&gone, "HEAD", &Rule { guard: &guard, moment, manner }),
        );
    }
    loader.settle();
    if !outcome.refused {
        judged::remember(&repository, by, staged.after());
    }
    Ok(outcome)
}
