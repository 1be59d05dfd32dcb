//! `impact`: what a change does, or would do.

use super::revision_of;
use crate::cli::{ImpactArgs, StateArgs};
use crate::compare;
use crate::diagnostic::Span;
use crate::fileset::RepoPath;
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Manner, Outcome, State, World, at, shown};
use crate::release;
use crate::render::layout;
use crate::report::{self, Between, Source};

/// Compares two states. Both are judged for the release that the later one prepares.
///
/// # Errors
/// [`Failure`] where a state could not be read, or its records cannot be.
pub fn run(args: &ImpactArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let mut loader = Loader::new(&repository);
    let (from, to) = ends(args, &repository)?;
    let (mut was, is) = states(args, (from.as_ref(), &to), &mut loader, manner, world)?;
    let after = is.assessed(None).ok_or_else(|| is.unreadable())?;
    // Ages that only passed between the two are no change.
    was.iter_mut().for_each(|was| was.day = is.day);
    let judged =
        |was: &State| was.assessed(Some(&after.occasion.release)).ok_or_else(|| was.unreadable());
    let before = was.as_ref().map(judged).transpose()?;
    let change = compare::impact(before.as_ref(), &after);
    let asked = match (&from, &before) {
        (Some(from), Some(before)) => {
            let last = loader.released_by(from, &before.design)?;
            Some(release::asked(last.as_ref(), &before.design, &after.design))
        }
        _ => None,
    };
    let between = Between { before: before.as_ref(), after: &after };
    let lines_before =
        |path: &RepoPath, span: Span| was.as_ref().map_or(1, |was| was.line(path, span));
    let lines_after = |path: &RepoPath, span: Span| is.line(path, span);
    let from = was.as_ref().map(|was| Source { place: was.place.clone(), lines: &lines_before });
    let to = Source { place: is.place.clone(), lines: &lines_after };
    let report = report::impact(&change, between, asked.as_ref(), (from, to));
    Ok(Outcome::of(shown("impact", &report, &layout::impact(&report), manner)))
}

/// The two states that the arguments mean; there is no earlier one where the design is new.
fn states(
    args: &ImpactArgs,
    (from, to): (Option<&At>, &At),
    loader: &mut Loader<'_>,
    manner: &Manner,
    world: &World,
) -> Result<(Option<State>, State), Failure> {
    if args.what_if.is_nothing() {
        return loader.both((from, to), manner, world);
    }
    let (was, is) = loader.what_if(to, &args.what_if, manner, world)?;
    Ok((Some(was), is))
}

/// What is compared with what; a state with the same as it would be, where something is tried out.
fn ends(args: &ImpactArgs, repository: &Repository) -> Result<(Option<At>, At), Failure> {
    let later = at(&StateArgs { at: args.at.clone(), staged: args.staged });
    if !args.what_if.is_nothing() {
        return Ok((Some(later.clone()), later));
    }
    let Some(range) = &args.range else {
        let from = match &args.at {
            Some(revision) => repository.parent(revision)?,
            None => repository.head()?,
        };
        return Ok((from.map(At::Revision), later));
    };
    if let Some((one, other)) = range.split_once("...") {
        let (one, other) = (revision_of(one), revision_of(other));
        let base = repository.merge_base(&one, &other)?;
        let base =
            base.ok_or_else(|| Failure::new(format!("{one} and {other} have no common past")))?;
        return Ok((Some(At::Revision(base)), At::Revision(other)));
    }
    match range.split_once("..") {
        Some((from, to)) => {
            Ok((Some(At::Revision(revision_of(from))), At::Revision(revision_of(to))))
        }
        None => Err(Failure::new(format!(
            "`{range}` names one revision\ngive two, as in {range}..HEAD, or what it did itself: --at {range}"
        ))),
    }
}
