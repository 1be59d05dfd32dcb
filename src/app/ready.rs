//! `ready`: the release checklist.

use super::{check, variant_of};
use crate::cli::{CheckArgs, ReadyArgs};
use crate::git::Repository;
use crate::outside::{Failure, Loader, Manner, Outcome, World, at, shown};
use crate::render::layout;
use crate::report;

/// Judges one state for a release. Where its records cannot be read, says what `check` says.
///
/// # Errors
/// [`Failure`] where the state could not be read.
pub fn run(args: &ReadyArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let mut loader = Loader::new(&repository);
    let at = at(&args.state);
    let mut state = loader.state(&at, manner, world)?;
    if let Some(design) = state.linked.design.clone() {
        loader.look_back(&mut state, &at, args.version.as_ref().unwrap_or(&design.next))?;
    }
    let Some(assessed) = state.assessed(args.version.as_ref()) else {
        let args = CheckArgs { state: args.state.clone(), variant: None };
        return check::run(&args, manner, world);
    };
    let built = variant_of(&assessed, args.variant.as_deref())?;
    let report =
        report::checklist(built, state.place.clone(), &|path, span| state.line(path, span));
    let output = shown("ready", &report, &layout::checklist(&report), manner);
    Ok(Outcome { output, refused: !report.ready, ..Outcome::default() })
}
