//! `impact`: what a change does.

use super::shown;
use crate::cli::ImpactArgs;
use crate::compare;
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Manner, Outcome, State, World};
use crate::render::layout;
use crate::report::{self, Between};
use crate::verdict::Assessed;

/// Compares two states. Both are judged for the release that the later one prepares.
///
/// # Errors
/// [`Failure`] where a state could not be read, or its records cannot be.
pub fn run(args: &ImpactArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let (from, to) = ends(args, &repository)?;
    let mut loader = Loader::new(&repository);
    let (mut was, is) = (loader.state(&from, manner, world)?, loader.state(&to, manner, world)?);
    // Ages that only passed between the two are no change.
    was.day = is.day;
    let after = readable(&is, is.assessed(None))?;
    let before = readable(&was, was.assessed(Some(&after.occasion.release)))?;
    let change = compare::impact(Some(&before), &after);
    let between = Between { before: Some(&before), after: &after };
    let report = report::impact(&change, between, (Some(was.place), is.place));
    Ok(Outcome::of(shown("impact", &report, &layout::impact(&report), manner)))
}

fn readable(state: &State, assessed: Option<Assessed>) -> Result<Assessed, Failure> {
    assessed.ok_or_else(|| {
        let place = state.place.phrase();
        Failure::new(format!("the records {place} cannot be read; `tagworthy check` says why"))
    })
}

/// The two states that the arguments mean.
fn ends(args: &ImpactArgs, repository: &Repository) -> Result<(At, At), Failure> {
    let revision = |name: &str| {
        At::Revision(if name.is_empty() { "HEAD".to_owned() } else { name.to_owned() })
    };
    let Some(range) = &args.range else {
        return Ok((revision("HEAD"), if args.staged { At::Index } else { At::WorkTree }));
    };
    if let Some((one, other)) = range.split_once("...") {
        let (At::Revision(one), At::Revision(other)) = (revision(one), revision(other)) else {
            unreachable!("both are revisions");
        };
        let base = repository.merge_base(&one, &other)?;
        let base =
            base.ok_or_else(|| Failure::new(format!("{one} and {other} have no common past")))?;
        return Ok((At::Revision(base), At::Revision(other)));
    }
    match range.split_once("..") {
        Some((from, to)) => Ok((revision(from), revision(to))),
        None => Err(Failure::new(format!(
            "`{range}` names one revision\ngive two, as in {range}..HEAD"
        ))),
    }
}
