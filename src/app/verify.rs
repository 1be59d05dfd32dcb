//! `verify`: works out again what a release's tag says.

use semver::Version;

use crate::cli::VerifyArgs;
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Manner, Outcome, World, shown};
use crate::release::{Difference, Record, RecordError, differences, record_of};
use crate::render::layout;
use crate::report::{self, Looked};

/// Compares a tag's record with what its commit holds.
///
/// # Errors
/// [`Failure`] where there is no such tag of a commit, or its records cannot be read.
pub fn run(args: &VerifyArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let tag = repository.annotated_tag(&args.tag)?;
    let at = At::Revision(format!("refs/tags/{}", tag.name));
    let mut loader = Loader::new(&repository);
    let mut state = loader.state(&at, manner, world)?;
    let mut compared = || -> Result<Result<Vec<Difference>, RecordError>, Failure> {
        let record = match Record::read(&tag.message) {
            Ok(record) => record,
            Err(RecordError::Edited) => return Ok(Err(RecordError::Edited)),
            Err(why) => return Err(Failure::new(format!("the tag `{}`: {why}", tag.name))),
        };
        let Ok(release) = Version::parse(&record.release) else {
            let why = RecordError::Unreadable(format!("`{}` is no version", record.release));
            return Err(Failure::new(format!("the tag `{}`: {why}", tag.name)));
        };
        loader.look_back(&mut state, &at, &release)?;
        let assessed = state.assessed(Some(&release)).ok_or_else(|| {
            Failure::new(format!(
                "the records at {0} cannot be read; `tagworthy check --at {0}` says why",
                tag.name
            ))
        })?;
        let mut found = record_of(&assessed);
        let table = &assessed.design.manifest.design;
        if let Some(named) = table.release_of(&tag.name) {
            found.release = named.to_string();
        }
        Ok(Ok(differences(&record, &found)))
    };
    let compared = compared()?;
    let looked = Looked { tag: &tag.name, commit: state.place.name(), signed: tag.signed };
    let report = report::verify(looked, compared);
    let output = shown("verify", &report, &layout::verify(&report), manner);
    Ok(Outcome { output, refused: !report.agrees, ..Outcome::default() })
}
