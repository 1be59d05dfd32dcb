//! `waive` and `decide`.

use std::sync::Arc;

use super::desk::Desk;
use super::{decision, told, waiver};
use crate::cli::write::{DecideArgs, WaiveArgs};
use crate::design::Design;
use crate::edit::{NewRecord, RecordKind, id_of_title};
use crate::git::Repository;
use crate::outside::{Failure, Manner, Outcome, World};
use crate::record::{Id, Waived};
use crate::report::{self, Written};

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
    let next = &desk.design.next;
    if new.until_before.cmp_precedence(next).is_le() {
        let message = format!("a waiver until before {} does not hold at {next}", new.until_before);
        let hint = "name a release behind the one that is being prepared";
        return Err(Failure::new(format!("--until-before: {message}\n{hint}")));
    }
    let spot = desk.spot(RecordKind::Waiver, &args.place, &waived)?;
    let draft = desk.draft(&spot, &NewRecord::Waiver(new))?;
    // What the files of parts say is known of the design as it is; but for the waiver it stays that.
    let waivers = draft.design.waivers.clone();
    let design = Arc::new(Design { waivers, ..(*desk.design).clone() });
    let assessed = desk.state.requirements_judged(None, &design, next);
    if let Some(why) = report::why_not_waived(&assessed, &spot.id) {
        return Err(Failure::new(format!("nothing was written: {why}")));
    }
    draft.write()?;
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
