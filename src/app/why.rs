//! `why`: how a figure or a verdict comes about.

use super::{check, variant_of};
use crate::cli::{CheckArgs, WhyArgs};
use crate::diagnostic::Span;
use crate::fileset::RepoPath;
use crate::git::Repository;
use crate::outside::{Failure, Loader, Manner, Outcome, World, at, shown};
use crate::render::layout;
use crate::report;

/// Looks into one name at one state. Where its records cannot be read, says what `check` says.
///
/// # Errors
/// [`Failure`] where the state could not be read, or nothing bears the name.
pub fn run(args: &WhyArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let state = Loader::new(&repository).state(&at(&args.state), manner, world)?;
    let Some(assessed) = state.assessed(None) else {
        let args = CheckArgs { state: args.state.clone(), variant: None };
        return check::run(&args, manner, world);
    };
    let built = variant_of(&assessed, args.variant.as_deref())?;
    let lines = |path: &RepoPath, span: Span| state.line(path, span);
    let trials = args.trials.and_then(|trials| usize::try_from(trials).ok());
    let report = report::why(built, &args.name, trials, state.place.clone(), &lines)
        .map_err(|unknown| Failure::new(unknown.to_string()))?;
    Ok(Outcome::of(shown("why", &report, &layout::why(&report), manner)))
}
