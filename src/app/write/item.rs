//! `item`: opens, closes and lists what is left to do.

use super::desk::Desk;
use super::{closing, new_item, told, unknown};
use crate::cli::write::{ItemAction, ItemCloseArgs, ItemListArgs, ItemOpenArgs};
use crate::edit::{NewRecord, RecordKind, close_item, id_of_title};
use crate::git::Repository;
use crate::outside::{Failure, Manner, Outcome, World, shown};
use crate::record::Id;
use crate::render::layout;
use crate::report::{self, Written};

/// Does one of the three.
///
/// # Errors
/// [`Failure`] where nothing was written, or nothing can be listed.
pub fn run(action: &ItemAction, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let desk = Desk::open(&repository, manner, world)?;
    match action {
        ItemAction::Open(args) => open(args, &desk, manner, world),
        ItemAction::Close(args) => close(args, &desk, manner, world),
        ItemAction::List(args) => list(args, &desk, manner),
    }
}

fn open(
    args: &ItemOpenArgs,
    desk: &Desk<'_>,
    manner: &Manner,
    world: &World,
) -> Result<Outcome, Failure> {
    let new = new_item(args, world.today)?;
    let blocks: Vec<&str> = new.blocks.iter().map(Id::as_str).collect();
    let held_up = if blocks.is_empty() { "the release".to_owned() } else { blocks.join(", ") };
    let follows = match &new.due {
        Some(due) => format!("holds up {held_up} from {due} on"),
        None => format!("holds up {held_up}"),
    };
    let spot = desk.spot(RecordKind::Item, &args.place, &id_of_title(&args.title, "item"))?;
    desk.draft(&spot, &NewRecord::Item(new))?.write()?;
    Ok(told("item-open", &Written::new(&spot.id, &spot.path, follows), manner))
}

fn close(
    args: &ItemCloseArgs,
    desk: &Desk<'_>,
    manner: &Manner,
    world: &World,
) -> Result<Outcome, Failure> {
    let (id, on) = closing(args, world.today)?;
    let items = &desk.design.items;
    let held = items.iter().find(|held| held.id.value == id);
    let held =
        held.ok_or_else(|| unknown("item", &id, items.iter().map(|held| held.id.as_str())))?;
    let edit = |text: &str, role| close_item(text, role, &id, on, &args.result);
    let draft = desk.change(&held.path, edit)?;
    let open = draft.design.items.iter().filter(|item| item.closed.is_none()).count();
    draft.write()?;
    let follows = format!("closed; {open} left open");
    Ok(told("item-close", &Written::new(&id, &held.path, follows), manner))
}

fn list(args: &ItemListArgs, desk: &Desk<'_>, manner: &Manner) -> Result<Outcome, Failure> {
    let assessed = desk.state.assessed(None);
    let assessed = assessed.ok_or_else(|| Failure::new("the records cannot be read"))?;
    let report = report::items(&assessed, args.all);
    Ok(Outcome::of(shown("item-list", &report, &layout::items(&report), manner)))
}
