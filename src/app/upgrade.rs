//! `upgrade`: what somebody who has built one release does to have another.

use semver::Version;

use crate::cli::UpgradeArgs;
use crate::design::Design;
use crate::diagnostic::did_you_mean;
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Manner, Outcome, World, shown};
use crate::release;
use crate::render::layout;
use crate::report;

/// Compares two states of the design for a builder of the first.
///
/// # Errors
/// [`Failure`] where a state could not be read, or its records cannot be.
pub fn run(args: &UpgradeArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let mut loader = Loader::new(&repository);
    let head = loader.state(&At::Revision("HEAD".to_owned()), manner, world)?;
    let tags = head.linked.design.as_ref().map(|design| design.manifest.design.clone());
    let tag = |name: &str| match (Version::parse(name), &tags) {
        (Ok(version), Some(table)) => Some(table.tag_of(&version)),
        _ => None,
    };
    let there = repository.tags()?;
    let mut at = |name: &str| {
        let tag = tag(name);
        if let Some(tag) = tag.as_ref().filter(|tag| there.iter().all(|known| known.name != **tag))
        {
            let hint = did_you_mean(tag, there.iter().map(|known| known.name.as_str()));
            let hint = hint.map(|hint| format!("\n{hint}")).unwrap_or_default();
            return Err(Failure::new(format!("there is no release {name}: no tag {tag}{hint}")));
        }
        let revision = tag.map_or_else(|| name.to_owned(), |tag| format!("refs/tags/{tag}"));
        let state = loader.state(&At::Revision(revision), manner, world)?;
        let place = state.place.phrase();
        state.linked.design.ok_or_else(|| {
            Failure::new(format!(
                "the records {place} cannot be read; `check --at {name}` says why"
            ))
        })
    };
    let (was, is) = (at(&args.from)?, at(&args.to)?);
    let way = release::upgrade(&was, &is);
    let names = (called(&was, &args.from), called(&is, &args.to));
    let report = report::upgrade(&was, &is, &way, (&names.0, &names.1));
    Ok(Outcome::of(shown("upgrade", &report, &layout::upgrade(&report), manner)))
}

/// The release that a tag is called after, else the name as it was given.
fn called(design: &Design, name: &str) -> String {
    let release = design.manifest.design.release_of(name);
    release.map_or_else(|| name.to_owned(), |release| release.to_string())
}
