//! `hooks status`: what is in place, from where git calls it, and whether its program is there.

use std::path::Path;

use super::shim::{self, Found};
use super::{Place, TAG_GUARD, file_name, git_version, is_there, kept};
use crate::git::Reach;
use crate::outside::World;
use crate::report::{HookRow, HooksReport, Standing};

/// How every hook stands.
pub(super) fn run(place: &Place, world: &World) -> HooksReport {
    let needed = place.hooks();
    let rows: Vec<HookRow> = Place::all()
        .map(|hook| row(place, hook, world))
        .filter(|row| row.standing.is_ours() || needed.contains(&row.hook) || row.hook == TAG_GUARD)
        .filter(|row| !(place.is_bare && row.hook == TAG_GUARD && row.standing == Standing::Absent))
        .collect();
    let folder = place.folder.path.display().to_string();
    let ours = |name: &&&str| rows.iter().any(|row| row.hook == **name && row.standing.is_ours());
    let number = needed.iter().filter(ours).count();
    let of = needed.len();
    let headline = match number {
        0 => format!("no hook is in place, in {folder}"),
        _ if number == of => format!("all hooks are in place, in {folder}"),
        _ => format!("{number} of {of} hooks are in place, in {folder}"),
    };
    let install = number < of || rows.iter().any(|row| row.standing == Standing::OfAnotherVersion);
    let install = install.then(|| "tagworthy hooks install puts them in place".to_owned());
    HooksReport {
        headline,
        folder,
        hooks: rows,
        remarks: remarks(place, world),
        next: install.into_iter().collect(),
    }
}

fn row(place: &Place, name: &'static str, world: &World) -> HookRow {
    let hook = place.hook(name);
    let standing = match Found::at(&hook) {
        Found::Nothing => Standing::Absent,
        Found::Other => Standing::SomeoneElses,
        Found::ByHand => Standing::ChangedByHand,
        Found::Ours { text } if text == shim::text(&world.program) => Standing::InPlace,
        Found::Ours { .. } => Standing::OfAnotherVersion,
    };
    let mut remarks = Vec::new();
    if standing.is_ours() {
        remarks.extend(program(&hook, world));
        let kept = kept(&hook);
        remarks.extend(kept.is_file().then(|| format!("{} runs first", file_name(&kept))));
        remarks
            .extend((!is_executable(&hook)).then(|| "git passes it over: it cannot be run".into()));
    }
    if standing == Standing::Absent && name == TAG_GUARD {
        remarks.push("on request: tagworthy hooks install --tag-guard".to_owned());
    }
    HookRow { hook: name, standing, remarks }
}

/// What should be known of the program that a shim names.
fn program(hook: &Path, world: &World) -> Option<String> {
    let program = shim::program_of(hook)?;
    let told = program.display();
    match program.is_absolute() {
        true if program == world.program => None,
        true if is_executable(&program) => Some(format!("calls {told}")),
        true => Some(format!("{told} is not there: looks for tagworthy on the search path")),
        false => Some("looks for tagworthy on the search path".to_owned()),
    }
}

fn remarks(place: &Place, world: &World) -> Vec<String> {
    let called = match place.folder.reach {
        Reach::Repository => "git calls them for this repository and all of its working trees",
        Reach::WorkTree => {
            "git calls them for everyone who checks out this folder and sets core.hooksPath"
        }
        Reach::Shared => "git calls them for every repository that looks for hooks there",
    };
    let folder = &place.folder.path;
    let no_folder = is_there(folder) && !folder.is_dir();
    let no_folder = no_folder.then(|| format!("{} is no folder", folder.display()));
    let elsewhere = place.folder.path != place.usual;
    let forgotten = elsewhere
        && Place::all()
            .any(|hook| matches!(Found::at(&place.usual.join(hook)), Found::Ours { .. }));
    let forgotten = forgotten.then(|| {
        format!(
            "hooks lie in {} too, where git does not look: core.hooksPath",
            place.usual.display()
        )
    });
    let remarks = [Some(called.to_owned()), no_folder, forgotten, git_version::remark(world)];
    remarks.into_iter().flatten().collect()
}

/// Whether git would run it; where files carry no such mode it runs what is there.
#[cfg(unix)]
fn is_executable(path: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    std::fs::metadata(path).is_ok_and(|found| found.permissions().mode() & 0o111 != 0)
}

#[cfg(not(unix))]
fn is_executable(path: &Path) -> bool {
    path.is_file()
}
