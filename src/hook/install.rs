//! `hooks install`: the shim in the folder where git looks for hooks. A hook that is there already
//! is kept beside it and runs first.

use std::path::{Path, PathBuf};

use crate::git::{Reach, Repository};
use crate::outside::{Failure, Outcome, World, write_program};

/// The shim, as it lies in `hooks/` for those who install by hand.
const PRE_COMMIT: &str = include_str!("../../hooks/pre-commit");

/// The line of the shim that names the program.
const PROGRAM: &str = "program='tagworthy'";

/// The second line of every version of the shim: how it is told from a hook of someone else's.
const MARK: &str = "# tagworthy pre-commit:";

/// Puts the pre-commit hook in place.
///
/// # Errors
/// [`Failure`] where git's hooks folder cannot be told, serves other repositories too and that was
/// not asked for, or cannot be written.
pub fn run(shared: bool, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let folder = repository.hooks_folder()?;
    if folder.reach == Reach::Shared && !shared {
        return Err(Failure::new(format!(
            "the hooks folder {} serves other repositories too\n--shared installs there all the same",
            folder.path.display()
        )));
    }
    std::fs::create_dir_all(&folder.path).map_err(|error| {
        Failure::new(format!("{} could not be made: {error}", folder.path.display()))
    })?;
    let done = install(&folder.path.join("pre-commit"), &shim(&world.program))?;
    Ok(Outcome::of(done))
}

/// The shim for the program at `program`.
fn shim(program: &Path) -> String {
    let quoted = program.to_string_lossy().replace('\'', r"'\''");
    PRE_COMMIT.replacen(PROGRAM, &format!("program='{quoted}'"), 1)
}

/// Installs `shim` at `hook`, and says what was done.
fn install(hook: &Path, shim: &str) -> Result<String, Failure> {
    let there = std::fs::symlink_metadata(hook).is_ok();
    let ours = std::fs::read(hook).is_ok_and(|bytes| is_ours(&bytes));
    if ours && std::fs::read(hook).is_ok_and(|bytes| bytes == shim.as_bytes()) {
        return Ok(format!("{} is in place already\n", hook.display()));
    }
    let mut done = format!("{} is in place: commits are judged from now on\n", hook.display());
    if there && !ours {
        let kept = keep(hook)?;
        done += &format!("the hook that was there is {} now, and runs first\n", kept.display());
    }
    write_program(hook, shim.as_bytes())?;
    Ok(done)
}

fn is_ours(hook: &[u8]) -> bool {
    let second = hook.split(|byte| *byte == b'\n').nth(1);
    second.is_some_and(|line| line.starts_with(MARK.as_bytes()))
}

/// Moves a hook of someone else's aside, to where the shim looks for it.
fn keep(hook: &Path) -> Result<PathBuf, Failure> {
    let kept = hook.with_file_name("pre-commit.kept");
    if std::fs::symlink_metadata(&kept).is_ok() {
        return Err(Failure::new(format!(
            "{} and {} are both there, and neither is tagworthy's\nkeep one of them and install again",
            hook.display(),
            kept.display()
        )));
    }
    std::fs::rename(hook, &kept)
        .map_err(|error| Failure::new(format!("{} could not be kept: {error}", hook.display())))?;
    Ok(kept)
}
