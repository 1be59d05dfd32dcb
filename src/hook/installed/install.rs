//! `hooks install`: puts the shims in place. Installing again changes only what has to be another.

use std::path::Path;

use super::shim::{self, Found};
use super::{Place, TAG_GUARD, file_name, git_version, is_there, kept};
use crate::git::Reach;
use crate::outside::{Failure, World, write_program};
use crate::report::{HookRow, HooksReport, Standing, count};

/// Installs the hooks that the repository needs, and with `tag_guard` the one for tags.
///
/// # Errors
/// [`Failure`] before anything is written where two hooks of others are in each other's way, and where
/// something cannot be written.
pub(super) fn run(place: &Place, tag_guard: bool, world: &World) -> Result<HooksReport, Failure> {
    let hooks = hooks(place, tag_guard)?;
    for hook in &hooks {
        must_have_room(&place.hook(hook))?;
    }
    make(&place.folder.path)?;
    let shim = shim::text(&world.program);
    let rows = hooks.into_iter().map(|hook| install(place, hook, &shim));
    let rows = rows.collect::<Result<Vec<HookRow>, Failure>>()?;
    Ok(report(place, rows, world))
}

fn hooks(place: &Place, tag_guard: bool) -> Result<Vec<&'static str>, Failure> {
    if tag_guard && place.is_bare {
        return Err(Failure::new(
            "a guard for tags would stop every part of a push to a shared repository\n\
             pre-receive judges tags there: install without --tag-guard",
        ));
    }
    // Once asked for it stays, until it is taken out.
    let stays = matches!(Found::at(&place.hook(TAG_GUARD)), Found::Ours { .. });
    let guard = (tag_guard || stays).then_some(TAG_GUARD);
    Ok(place.hooks().iter().copied().chain(guard).collect())
}

fn make(folder: &Path) -> Result<(), Failure> {
    if is_there(folder) && !folder.is_dir() {
        return Err(Failure::new(format!(
            "{0} is no folder, and git finds no hooks there\n\
             take it away, or let core.hooksPath name a folder",
            folder.display()
        )));
    }
    std::fs::create_dir_all(folder)
        .map_err(|error| Failure::new(format!("{} could not be made: {error}", folder.display())))
}

/// Refuses to throw away one of two hooks of others.
fn must_have_room(hook: &Path) -> Result<(), Failure> {
    let kept = kept(hook);
    if Found::at(hook) != Found::Other || !is_there(&kept) {
        return Ok(());
    }
    Err(Failure::new(format!(
        "{} and {} are both there, and neither is tagworthy's\nkeep one of them and install again",
        hook.display(),
        kept.display()
    )))
}

fn install(place: &Place, name: &'static str, shim: &str) -> Result<HookRow, Failure> {
    let hook = place.hook(name);
    let standing = match Found::at(&hook) {
        Found::Ours { text } if text == shim => Standing::InPlace,
        Found::ByHand => Standing::ChangedByHand,
        found => {
            if found == Found::Other {
                keep(&hook)?;
            }
            write_program(&hook, shim.as_bytes())?;
            match found {
                Found::Ours { .. } => Standing::BroughtUpToDate,
                _ => Standing::PutInPlace,
            }
        }
    };
    Ok(HookRow { hook: name, standing, remarks: remarks(&hook, standing) })
}

fn remarks(hook: &Path, standing: Standing) -> Vec<String> {
    let kept = kept(hook);
    let first = kept.is_file().then(|| format!("{} runs first", file_name(&kept)));
    let left = (standing == Standing::ChangedByHand).then(|| "left as it is".to_owned());
    first.into_iter().chain(left).collect()
}

/// Moves a hook of someone else's aside, to where the shim looks for it.
fn keep(hook: &Path) -> Result<(), Failure> {
    std::fs::rename(hook, kept(hook))
        .map_err(|error| Failure::new(format!("{} could not be kept: {error}", hook.display())))
}

fn report(place: &Place, rows: Vec<HookRow>, world: &World) -> HooksReport {
    let folder = place.folder.path.display().to_string();
    let is_new =
        |row: &&HookRow| matches!(row.standing, Standing::PutInPlace | Standing::BroughtUpToDate);
    let headline = match rows.iter().filter(is_new).count() {
        0 => format!("the hooks are in place already, in {folder}"),
        new => format!("{} put in place, in {folder}", count(new, "hook")),
    };
    let among_files = place.folder.reach == Reach::WorkTree;
    let among_files = among_files.then(|| {
        "the folder lies among the files: who else checks them out needs the program too".to_owned()
    });
    HooksReport {
        headline,
        folder,
        hooks: rows,
        remarks: git_version::remark(world).into_iter().chain(among_files).collect(),
        next: vec![
            "say in [guard] of the manifest what they refuse".to_owned(),
            "tagworthy hooks remove takes them out, and puts back what was there".to_owned(),
        ],
    }
}
