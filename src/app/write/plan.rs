//! `waive` and `decide`.

use super::desk::Desk;
use super::{decision, told, waiver};
use crate::cli::write::{DecideArgs, WaiveArgs};
use crate::edit::{NewRecord, RecordKind, id_of_title};
use crate::git::Repository;
use crate::outside::{Failure, Manner, Outcome, World};
use crate::record::{Id, Waived};
use crate::report::Written;

/// Lets a requirement or the findings of a check through.
///
/// # Errors
/// [`Failure`] where nothing was written.
pub fn waive(args: &WaiveArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let mut new = waiver(args, world.today)?;
    let repository = Repository::open(&world.folder)?;
    let desk = Desk::open(&repository, manner, world)?;
    new.by = new.by.or_else(|| repository.user_name());
    let waived = match &new.waived {
        Waived::Requirement(requirement) => requirement.value.clone(),
        Waived::Check { check, .. } => check.value.clone(),
    };
    let follows = format!("lets {waived} through until before {}", new.until_before);
    let spot = desk.spot(RecordKind::Waiver, &args.place, &waived)?;
    desk.draft(&spot, &NewRecord::Waiver(new))?.write()?;
    Ok(told("waive", &Written::new(&spot.id, &spot.path, follows), manner))
}

/// Writes down a decision.
///
/// # Errors
/// [`Failure`] where nothing was written.
pub fn decide(args: &DecideArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let mut new = decision(args, world.today)?;
    let repository = Repository::open(&world.folder)?;
    let desk = Desk::open(&repository, manner, world)?;
    new.by = new.by.or_else(|| repository.user_name());
    let replaces: Vec<&str> = new.replaces.iter().map(Id::as_str).collect();
    let follows = match replaces.as_slice() {
        [] => "decided".to_owned(),
        replaced => format!("in place of {}", replaced.join(", ")),
    };
    let spot =
        desk.spot(RecordKind::Decision, &args.place, &id_of_title(&args.title, "decision"))?;
    desk.draft(&spot, &NewRecord::Decision(new))?.write()?;
    Ok(told("decide", &Written::new(&spot.id, &spot.path, follows), manner))
}
