//! `hooks`: the shims in the folder where git looks for hooks. A hook that is there already is kept
//! beside its shim, and runs first.

mod git_version;
mod install;
mod remove;
mod shim;
mod status;

use std::path::{Path, PathBuf};

use crate::cli::hooks::HooksAction;
use crate::git::{HooksFolder, Reach, Repository};
use crate::outside::{Failure, Manner, Outcome, World, shown};
use crate::render::layout;
use crate::report::HooksReport;

/// The hooks of a working tree, in the order in which a commit meets them.
const CLIENT: [&str; 8] = [
    "pre-commit",
    "pre-merge-commit",
    "prepare-commit-msg",
    "post-commit",
    "post-merge",
    "post-checkout",
    "post-rewrite",
    "pre-push",
];

/// The hook of a shared repository.
const SERVER: [&str; 1] = ["pre-receive"];

/// The hook that judges release tags where they are made: only on request, since git calls it for
/// every change of references.
const TAG_GUARD: &str = "reference-transaction";

/// Does what was asked for with the hooks.
///
/// # Errors
/// [`Failure`] where git's hooks folder cannot be told, serves other repositories too and that was
/// not asked for, or cannot be written.
pub fn run(action: HooksAction, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let place = Place::of(&repository)?;
    let report = match action {
        HooksAction::Install { shared, tag_guard } => {
            place.must_be_own(shared, "installs there")?;
            git_version::must_do(world)?;
            install::run(&place, tag_guard, world)?
        }
        HooksAction::Remove { shared } => {
            place.must_be_own(shared, "takes them out there")?;
            remove::run(&place)?
        }
        HooksAction::Status => status::run(&place, world),
    };
    Ok(Outcome::of(told(&report, manner)))
}

fn told(report: &HooksReport, manner: &Manner) -> String {
    shown("hooks", report, &layout::hooks(report), manner)
}

/// Where the hooks of a repository lie.
struct Place {
    folder: HooksFolder,
    /// Where git looks for hooks unless it is told otherwise.
    usual: PathBuf,
    is_bare: bool,
}

impl Place {
    fn of(repository: &Repository) -> Result<Self, Failure> {
        Ok(Self {
            folder: repository.hooks_folder()?,
            usual: repository.common_dir().join("hooks"),
            is_bare: repository.work_dir().is_none(),
        })
    }

    /// The hooks that this repository needs.
    fn hooks(&self) -> &'static [&'static str] {
        if self.is_bare { &SERVER } else { &CLIENT }
    }

    /// Every hook that may be ours, needed or not.
    fn all() -> impl Iterator<Item = &'static str> {
        CLIENT.into_iter().chain(SERVER).chain([TAG_GUARD])
    }

    fn hook(&self, name: &str) -> PathBuf {
        self.folder.path.join(name)
    }

    /// Refuses a folder that serves other repositories too, unless that is wanted.
    fn must_be_own(&self, shared: bool, does: &str) -> Result<(), Failure> {
        if self.folder.reach != Reach::Shared || shared {
            return Ok(());
        }
        let folder = self.folder.path.display();
        Err(Failure::new(format!(
            "the hooks folder {folder} serves other repositories too\n--shared {does} all the same"
        )))
    }
}

/// Where a hook of someone else's is kept, which runs before the shim at `hook`.
fn kept(hook: &Path) -> PathBuf {
    let mut name = hook.as_os_str().to_owned();
    name.push(".kept");
    PathBuf::from(name)
}

fn is_there(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok()
}

fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}
