//! `bom`: what the product is made of, and what to order where.

use super::{check, variant_of};
use crate::cli::{BomArgs, CheckArgs, Format};
use crate::git::Repository;
use crate::outside::{Failure, Loader, Manner, Outcome, World, at, shown};
use crate::render::layout;
use crate::report::{self, Structure};

/// Lists the parts at one state. Where its records cannot be read, says what `check` says.
///
/// # Errors
/// [`Failure`] where the state could not be read.
pub fn run(args: &BomArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let state = Loader::new(&repository).state(&at(&args.state), manner, world)?;
    let Some(assessed) = state.assessed(None) else {
        let args = CheckArgs { state: args.state.clone(), variant: None };
        return check::run(&args, manner, world);
    };
    let built = variant_of(&assessed, args.variant.as_deref())?;
    let structure = if args.level { Structure::Level } else { Structure::Flat };
    let report = report::bom(built, state.place, args.builds, structure);
    Ok(Outcome::of(match manner.format {
        Format::Csv => layout::bom_sheet(&report),
        _ => shown("bom", &report, &layout::bom(&report), manner),
    }))
}
