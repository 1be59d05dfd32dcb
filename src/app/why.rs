//! `why`: how a figure or a verdict comes about.

use super::{check, look_back, variant_of};
use crate::cli::{CheckArgs, WhyArgs};
use crate::design::Design;
use crate::diagnostic::Span;
use crate::evaluate::PEAK_CURRENT;
use crate::fileset::RepoPath;
use crate::git::Repository;
use crate::outside::{Failure, Loader, Manner, Outcome, World, at, shown};
use crate::record::Id;
use crate::release;
use crate::render::layout;
use crate::report::{self, OriginRow};

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
    let mut report = report::why(built, &args.name, trials, state.place.clone(), &lines)
        .map_err(|unknown| Failure::new(unknown.to_string()))?;
    if args.variant.is_none() {
        match origin(&repository, &built.design, args, world) {
            Ok(origin) => report.origin = origin,
            Err(failure) => {
                report.remarks.push(format!("the history cannot be read here: {failure}"));
            }
        }
    }
    Ok(Outcome::of(shown("why", &report, &layout::why(&report), manner)))
}

/// Through which revision what was asked for is what it is.
fn origin(
    repository: &Repository,
    design: &Design,
    args: &WhyArgs,
    world: &World,
) -> Result<Option<OriginRow>, Failure> {
    let of_part = args.name.split_once('.').map(|(part, of)| (Id::from(part), Id::from(of)));
    let of_rail = || Some((design.rail(&args.name)?.id.value.clone(), PEAK_CURRENT.into()));
    let also = of_part.or_else(of_rail);
    let history = look_back::history(repository, design, &args.state, also, world)?;
    Ok(history.and_then(|history| {
        let origin = release::origin(&history.ledger, &args.name)?;
        Some(report::origin(&history.ledger, &args.name, &origin))
    }))
}
