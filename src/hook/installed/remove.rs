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
            // Moving over the shim leaves no moment without the hook that was there before.
            let done =
                if back { std::fs::rename(&kept, &hook) } else { std::fs::remove_file(&hook) };
            done.map_err(|error| failed(&hook, &error))?;
            let remark = back.then(|| format!("{} is back", file_name(&hook)));
            row(Standing::TakenOut, remark.into_iter().collect())
        }
    }
}

fn failed(hook: &Path, error: &std::io::Error) -> Failure {
    Failure::new(format!("{} could not be taken out: {error}", hook.display()))
}
