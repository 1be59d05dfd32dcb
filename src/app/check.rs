//! `check`: what is wrong with the records, and every budget.

use super::variant_of;
use crate::cli::CheckArgs;
use crate::diagnostic::Span;
use crate::fileset::RepoPath;
use crate::git::Repository;
use crate::outside::{Failure, Loader, Manner, Outcome, World, at, shown};
use crate::render::layout;
use crate::report;

/// Reads, links and evaluates one state.
///
/// # Errors
/// [`Failure`] where the state could not be read.
pub fn run(args: &CheckArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let state = Loader::new(&repository).state(&at(&args.state), manner, world)?;
    let assessed = state.assessed(None);
    let variant = args.variant.as_deref();
    let built = assessed.as_ref().map(|assessed| variant_of(assessed, variant)).transpose()?;
    let lines = |path: &RepoPath, span: Span| state.line(path, span);
    let report = report::check(state.diagnostics(), built, state.place.clone(), &lines);
    let output = shown("check", &report, &layout::check(&report), manner);
    Ok(Outcome { output, refused: !report.readable, ..Outcome::default() })
}
