//! `bom`: what the product is made of, and what to order where.

use super::{check, variant_of};
use crate::cli::{BomArgs, CheckArgs, Format};
use crate::git::Repository;
use crate::outside::{Failure, Loader, Manner, Outcome, World, at, shown};
use crate::render::{self, layout};
use crate::report::{self, Structure};
use crate::verdict::Assessed;

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
    if manner.format == Format::Okh {
        return manifest(built);
    }
    let structure = if args.level { Structure::Level } else { Structure::Flat };
    let report = report::bom(built, state.place, args.builds, structure);
    Ok(Outcome::of(match manner.format {
        Format::Csv => layout::bom_sheet(&report),
        _ => shown("bom", &report, &layout::bom(&report), manner),
    }))
}

/// The Open Know-How manifest, where the design's own says what that needs.
fn manifest(built: &Assessed) -> Result<Outcome, Failure> {
    let manifest = report::open_know_how(built).map_err(|lacking| {
        let keys: Vec<String> = lacking.iter().map(|key| format!("`{key}`")).collect();
        let path = &built.design.manifest_path;
        Failure::new(format!(
            "an Open Know-How manifest needs more than {path} says\nadd {} to [design]",
            keys.join(", ")
        ))
    })?;
    Ok(Outcome::of(render::okh::okh(&manifest)))
}
