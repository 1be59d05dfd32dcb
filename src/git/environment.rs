//! What a git that started this program says about the repository, by its environment.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// The variables of the environment that choose a repository (git(1), "The Git Repository").
/// `GIT_WORK_TREE` and `GIT_INDEX_FILE` are read again by the git library when it opens one.
#[derive(Debug, Default)]
pub(super) struct Environment {
    /// `GIT_DIR`: the git directory, instead of searching for one.
    pub git_dir: Option<PathBuf>,
    /// `GIT_COMMON_DIR`: where what all working trees share lies.
    pub common_dir: Option<PathBuf>,
    /// Whether `GIT_WORK_TREE` names the working tree.
    pub names_work_tree: bool,
    /// `GIT_OBJECT_DIRECTORY`: where objects lie, those of a push that is not let in yet.
    pub objects: Option<PathBuf>,
    /// `GIT_ALTERNATE_OBJECT_DIRECTORIES`: where else objects lie.
    pub alternates: Vec<PathBuf>,
}

impl Environment {
    /// The variables as they are set now, with paths relative to `cwd` made absolute.
    pub fn read(cwd: &Path) -> Self {
        let path = |name| set(name).map(|value| cwd.join(value));
        Self {
            git_dir: path("GIT_DIR"),
            common_dir: path("GIT_COMMON_DIR"),
            names_work_tree: set("GIT_WORK_TREE").is_some(),
            objects: path("GIT_OBJECT_DIRECTORY"),
            alternates: set("GIT_ALTERNATE_OBJECT_DIRECTORIES")
                .map(|folders| std::env::split_paths(&folders).map(|path| cwd.join(path)).collect())
                .unwrap_or_default(),
        }
    }
}

fn set(name: &str) -> Option<OsString> {
    std::env::var_os(name).filter(|value| !value.is_empty())
}
