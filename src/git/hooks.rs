//! Where git looks for hooks.

use std::path::{Path, PathBuf};

use super::error::{Error, unreadable};
use super::repository::Repository;

/// The folder in which git looks for hooks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HooksFolder {
    /// The folder, which may not exist yet.
    pub path: PathBuf,
    /// Whom a hook in it concerns.
    pub reach: Reach,
}

/// Whom a hook concerns, by where its folder lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// This repository, with all of its working trees: the folder lies in its git directory.
    Repository,
    /// Everyone who has a working tree of it: the folder lies among the files.
    WorkTree,
    /// Any number of repositories: the folder lies somewhere else.
    Shared,
}

impl Repository {
    /// The folder in which git looks for hooks: `core.hooksPath`, else `hooks` in the git directory.
    /// A relative one counts from where git runs hooks: the root of the working tree, or the git
    /// directory where there is none (git-config(1)).
    ///
    /// # Errors
    /// [`Error::Unreadable`] for a path that can't be expanded, such as that of an unknown user.
    pub fn hooks_folder(&self) -> Result<HooksFolder, Error> {
        let configured = self.inner.config_snapshot().trusted_path("core.hooksPath");
        let configured =
            configured.map_err(|error| unreadable("the setting core.hooksPath", &error))?;
        let path = match configured.filter(|path| !path.as_os_str().is_empty()) {
            Some(path) => self.work_dir().unwrap_or(self.git_dir()).join(path),
            None => self.common_dir().join("hooks"),
        };
        let reach = self.reach(&path);
        Ok(HooksFolder { path, reach })
    }

    fn reach(&self, folder: &Path) -> Reach {
        let folder = resolved(folder);
        let lies_in = |root: &Path| folder.starts_with(resolved(root));
        if lies_in(self.common_dir()) || lies_in(self.git_dir()) {
            Reach::Repository
        } else if self.work_dir().is_some_and(lies_in) {
            Reach::WorkTree
        } else {
            Reach::Shared
        }
    }
}

/// The path with the links of its existing part resolved.
fn resolved(path: &Path) -> PathBuf {
    for existing in path.ancestors() {
        if let (Ok(real), Ok(rest)) = (existing.canonicalize(), path.strip_prefix(existing)) {
            return real.join(rest);
        }
    }
    path.to_owned()
}
