//! `hooks remove`: takes the shims out, and puts back what was there before. What someone changed
//! since is left alone.

use std::path::Path;

use super::shim::Found;
use super::{Place, file_name, is_there, kept};
use crate::outside::Failure;
use crate::report::{HookRow, HooksReport, Standing, count};

/// Takes out every hook of ours.
///
/// # Errors
/// [`Failure`] where one cannot be taken out or put back.
pub(super) fn run(place: &Place) -> Result<HooksReport, Failure> {
    let rows = Place::all().map(|hook| remove(place, hook));
    let rows = rows.collect::<Result<Vec<Option<HookRow>>, Failure>>()?;
    let rows: Vec<HookRow> = rows.into_iter().flatten().collect();
    let folder = place.folder.path.display().to_string();
    let taken_out = rows.iter().filter(|row| row.standing == Standing::TakenOut).count();
    let headline = match taken_out {
        0 => format!("no hook of tagworthy's is there to take out, in {folder}"),
        taken_out => format!("{} taken out of {folder}", count(taken_out, "hook")),
    };
    let left = rows.iter().any(|row| row.standing == Standing::ChangedByHand);
    let next =
        left.then(|| "delete what was changed by hand, if it is no longer wanted".to_owned());
    let next = next.into_iter().collect();
    Ok(HooksReport { headline, folder, hooks: rows, remarks: Vec::new(), next })
}

/// Takes out one hook; `None` where it is none of ours.
fn remove(place: &Place, name: &'static str) -> Result<Option<HookRow>, Failure> {
    let hook = place.hook(name);
    let row = |standing, remarks| Ok(Some(HookRow { hook: name, standing, remarks }));
    match Found::at(&hook) {
        Found::Nothing | Found::Other => Ok(None),
        Found::ByHand => row(Standing::ChangedByHand, vec!["left as it is".to_owned()]),
        Found::Ours { .. } => {
            let kept = kept(&hook);
            let back = is_there(&kept);
            let done = put_back(back.then_some(kept.as_path()), &hook);
            done.map_err(|error| failed(&hook, &error))?;
            let remark = back.then(|| format!("{} is back", file_name(&hook)));
            row(Standing::TakenOut, remark.into_iter().collect())
        }
    }
}

/// Puts `kept` in the place of the shim at `hook`, or nothing.
fn put_back(kept: Option<&Path>, hook: &Path) -> std::io::Result<()> {
    match kept {
        // Moving over the shim leaves no moment without the hook that was there before.
        Some(kept) if !kept.is_dir() || kept.is_symlink() => std::fs::rename(kept, hook),
        // No hook, and nothing that could be moved over a file.
        Some(folder) => std::fs::remove_file(hook).and_then(|()| std::fs::rename(folder, hook)),
        None => std::fs::remove_file(hook),
    }
}

fn failed(hook: &Path, error: &std::io::Error) -> Failure {
    Failure::new(format!("{} could not be taken out: {error}", hook.display()))
}
