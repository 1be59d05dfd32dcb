//! `steps`: the order of assembly, and whether it uses what the bill of materials has.

use super::{check, variant_of};
use crate::cli::{CheckArgs, Format, StepsArgs};
use crate::diagnostic::Span;
use crate::fileset::RepoPath;
use crate::git::Repository;
use crate::outside::{Failure, Loader, Manner, Outcome, World, at, shown};
use crate::render::layout;
use crate::report;

/// Tells the steps at one state. Where its records cannot be read, says what `check` says.
///
/// # Errors
/// [`Failure`] where the state could not be read.
pub fn run(args: &StepsArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let state = Loader::new(&repository).state(&at(&args.state), manner, world)?;
    let Some(assessed) = state.assessed(None) else {
        let args = CheckArgs { state: args.state.clone(), variant: None };
        return check::run(&args, manner, world);
    };
    let built = variant_of(&assessed, args.variant.as_deref())?;
    let lines = |path: &RepoPath, span: Span| state.line(path, span);
    let report = report::assembly(built, state.place.clone(), &lines);
    Ok(Outcome::of(match manner.format {
        Format::Csv => layout::assembly_sheet(&report),
        _ => shown("steps", &report, &layout::assembly(&report), manner),
    }))
}
