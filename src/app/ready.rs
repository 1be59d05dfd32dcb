//! `ready`: the release checklist.

use super::{check, look_back, variant_of};
use crate::cli::{CheckArgs, ReadyArgs};
use crate::diagnostic::Span;
use crate::fileset::RepoPath;
use crate::git::Repository;
use crate::outside::{Failure, Loader, Manner, Outcome, World, at, shown};
use crate::release;
use crate::render::layout;
use crate::report::{self, LookBackReport};
use crate::verdict::Assessed;

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
    let lines = |path: &RepoPath, span: Span| state.line(path, span);
    let mut report = report::checklist_of_release(built, state.place.clone(), &lines);
    if args.variant.is_none() {
        report.history = looking_back(&repository, built, args, world)?;
    }
    let output = shown("ready", &report, &layout::checklist(&report), manner);
    Ok(Outcome { output, refused: !report.ready, ..Outcome::default() })
}

/// What the history says to the checklist; where it cannot be read, that is said and refuses nothing.
fn looking_back(
    repository: &Repository,
    assessed: &Assessed,
    args: &ReadyArgs,
    world: &World,
) -> Result<Option<LookBackReport>, Failure> {
    let design = &assessed.design;
    let history = match look_back::history(repository, design, &args.state, None, world) {
        Ok(None) => return Ok(None),
        Ok(Some(history)) => history,
        Err(failure) => return Ok(Some(LookBackReport::unknown(&failure.to_string()))),
    };
    let released = look_back::last_release(repository, design, &history.way)?;
    let back = release::look_back(&history.ledger, assessed, released.as_ref());
    Ok(Some(report::look_back(&history.ledger, &back)))
}
