//! Finding and opening a repository, and where its parts lie.

use std::path::{Path, PathBuf};

use gix::bstr::ByteSlice;
use gix::odb::pack::cache::lru::MemoryCappedHashmap;
use gix::open::Options;
use gix::sec::Trust;
use gix::sec::trust::Mapping;
use tempfile::TempDir;

use super::environment::Environment;
use super::error::{Error, detail};
use super::snapshot::Snapshot;
use super::{At, index, quarantine, tree, worktree};
use crate::fileset::RepoPath;

/// Memory for the bases of packed objects. Without it, each object of a delta chain unpacks the
/// whole chain again; more than a few of them bring nothing for files of a few kilobytes.
const PACK_CACHE_BYTES: usize = 1 << 20;

/// The bound on one object in memory, on its base and on the index, whatever size they claim.
const ALLOCATION_BOUND: &str = "gitoxide.objects.allocLimit=268435456"; // 256 MiB

/// The sum over the whole index is not taken, as git does not take it either where it only reads.
const INDEX_SUM: &str = "index.skipHash=true";

/// An opened repository.
pub struct Repository {
    pub(super) inner: gix::Repository,
    prefix: RepoPath,
    /// Kept as long as objects are read through it.
    _quarantine: Option<TempDir>,
}

impl Repository {
    /// Opens the repository that `cwd` lies in, searching upwards, or the one that a surrounding
    /// git names in the environment (`GIT_DIR`, `GIT_WORK_TREE`, `GIT_INDEX_FILE`,
    /// `GIT_OBJECT_DIRECTORY`), with the settings that it was given (`git -c`).
    ///
    /// # Errors
    /// [`Error::NoRepository`]; [`Error::OtherOwner`] where git would refuse as well
    /// (`safe.directory`); [`Error::Unsupported`]; [`Error::Open`].
    pub fn open(cwd: &Path) -> Result<Self, Error> {
        let environment = Environment::read(cwd);
        let mut inner = match &environment.git_dir {
            Some(git_dir) => open_named(git_dir, cwd, &environment)?,
            None => discover(cwd, &environment)?,
        };
        refuse_reftable(&inner)?;
        refuse_other_common_dir(&inner, &environment)?;
        let quarantine = quarantine::enter(&mut inner, &environment)?;
        inner.objects.set_pack_cache(|| Box::new(MemoryCappedHashmap::new(PACK_CACHE_BYTES)));
        let prefix = inner.workdir().map(|root| path_below(root, cwd)).unwrap_or_default();
        Ok(Self { inner, prefix, _quarantine: quarantine })
    }

    /// The same repository for another thread, as long as this one is open.
    #[must_use]
    pub fn beside(&self) -> Self {
        Self { inner: self.inner.clone(), prefix: self.prefix.clone(), _quarantine: None }
    }

    /// The folder in which the repository was opened, seen from the working tree's root; empty for
    /// the root, outside the working tree and in a bare repository.
    #[must_use]
    pub fn prefix(&self) -> &RepoPath {
        &self.prefix
    }

    /// The root of the working tree; `None` in a bare repository.
    #[must_use]
    pub fn work_dir(&self) -> Option<&Path> {
        self.inner.workdir()
    }

    /// The git directory: that of this working tree, where there are several.
    #[must_use]
    pub fn git_dir(&self) -> &Path {
        self.inner.git_dir()
    }

    /// The git directory that all working trees share.
    #[must_use]
    pub fn common_dir(&self) -> &Path {
        self.inner.common_dir()
    }

    /// The user's name in git's configuration, where it has one.
    #[must_use]
    pub fn user_name(&self) -> Option<String> {
        let name = self.inner.config_snapshot().string("user.name")?;
        let name = name.to_str_lossy().trim().to_owned();
        (!name.is_empty()).then_some(name)
    }

    /// What git's configuration says of `key` (`commit.cleanup`), where it says something.
    #[must_use]
    pub fn setting(&self, key: &str) -> Option<String> {
        Some(self.inner.config_snapshot().string(key)?.to_str_lossy().into_owned())
    }

    /// The folder for fetched contents of large files, where one is set (`lfs.storage`); a relative one
    /// counts from git's common folder (git-lfs-config(5)).
    #[must_use]
    pub fn large_files_folder(&self) -> Option<PathBuf> {
        let set = self.inner.config_snapshot().trusted_path("lfs.storage").ok().flatten()?;
        (!set.as_os_str().is_empty()).then(|| self.common_dir().join(set))
    }

    /// Every path at the given state, with the key of its content.
    ///
    /// # Errors
    /// [`Error::NoWorkTree`] for the index and the working tree of a bare repository,
    /// [`Error::Conflicts`] for an index in the middle of a merge, and whatever can't be read.
    pub fn snapshot(&self, at: &At) -> Result<Snapshot<'_>, Error> {
        match at {
            At::Revision(revision) => {
                let entries = tree::entries(&self.inner, self.tree_of(revision)?)?;
                Ok(Snapshot::stored(&self.inner, entries))
            }
            At::Index => {
                self.require_work_tree()?;
                let entries = index::entries(&self.inner, &*index::read(&self.inner)?)?;
                Ok(Snapshot::stored(&self.inner, entries))
            }
            At::WorkTree => worktree::snapshot(&self.inner, self.require_work_tree()?),
        }
    }

    fn require_work_tree(&self) -> Result<&Path, Error> {
        self.work_dir().ok_or_else(|| Error::NoWorkTree { git_dir: self.git_dir().to_owned() })
    }
}

/// Searches for a repository from `cwd` upwards, as git does without `GIT_DIR`.
fn discover(cwd: &Path, environment: &Environment) -> Result<gix::Repository, Error> {
    // git ignores ceilings that don't lie above the folder; the library's default is to fail.
    let search =
        gix::discover::upwards::Options { match_ceiling_dir_or_error: false, ..Default::default() };
    let options = Mapping { full: options(environment), reduced: options(environment) };
    let found =
        gix::ThreadSafeRepository::discover_with_environment_overrides_opts(cwd, search, options)
            .map_err(|error| not_opened(cwd, &error))?
            .to_thread_local();
    if found.git_dir_trust() != Trust::Full {
        let folder = found.workdir().unwrap_or(found.git_dir()).to_owned();
        return Err(Error::OtherOwner { folder });
    }
    Ok(found)
}

/// Opens the repository that `GIT_DIR` names. Like git, which asks for the owner only where it had
/// to search, this trusts whoever set the variable.
fn open_named(
    git_dir: &Path,
    cwd: &Path,
    environment: &Environment,
) -> Result<gix::Repository, Error> {
    let failed = |detail| Error::Open { folder: git_dir.to_owned(), detail };
    // `.git` as such isn't accepted by the library, nor is a relative one from another folder.
    let real = git_dir.canonicalize().map_err(|error| failed(error.to_string()))?;
    let options = options(environment).open_path_as_is(true);
    let options = options.with(Trust::Full).filter_config_section(|_| true);
    let mut opened = gix::ThreadSafeRepository::open_opts(real, options)
        .map_err(|error| failed(detail(&error)))?
        .to_thread_local();
    let configured = opened.config_snapshot().string("core.worktree").is_some();
    let linked = opened.git_dir() != opened.common_dir();
    if !(environment.names_work_tree || configured || linked || opened.is_bare()) {
        // GIT_DIR without GIT_WORK_TREE: the current folder is the working tree's root (git(1)).
        opened.set_workdir(cwd.to_owned()).map_err(|error| failed(detail(&error)))?;
    }
    Ok(opened)
}

fn options(environment: &Environment) -> Options {
    Options::default()
        .cli_overrides(environment.settings.iter().cloned())
        .config_overrides([ALLOCATION_BOUND, INDEX_SUM])
}

fn not_opened(cwd: &Path, error: &gix::Error) -> Error {
    let above = cwd.ancestors().any(|folder| folder.join(".git").exists());
    match above {
        true => Error::Open { folder: cwd.to_owned(), detail: detail(error) },
        false => Error::NoRepository { folder: cwd.to_owned() },
    }
}

/// The git library doesn't know references in tables: it would see a repository without any.
fn refuse_reftable(repository: &gix::Repository) -> Result<(), Error> {
    match repository.config_snapshot().string("extensions.refStorage") {
        Some(storage) if !storage.eq_ignore_ascii_case(b"files") => Err(Error::Unsupported {
            git_dir: repository.git_dir().to_owned(),
            feature: format!("the reference storage `{}`", storage.to_str_lossy()),
        }),
        _ => Ok(()),
    }
}

/// The git library doesn't read `GIT_COMMON_DIR`; where it says what the files say, nothing is lost.
fn refuse_other_common_dir(
    repository: &gix::Repository,
    environment: &Environment,
) -> Result<(), Error> {
    let Some(named) = &environment.common_dir else { return Ok(()) };
    let same = match (named.canonicalize(), repository.common_dir().canonicalize()) {
        (Ok(named), Ok(own)) => named == own,
        _ => false,
    };
    if same {
        return Ok(());
    }
    let feature = format!("another common directory by GIT_COMMON_DIR ({})", named.display());
    Err(Error::Unsupported { git_dir: repository.git_dir().to_owned(), feature })
}

/// `folder` seen from `root`, both with links resolved; the root itself where it lies elsewhere.
fn path_below(root: &Path, folder: &Path) -> RepoPath {
    let resolved = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let relative: PathBuf = match resolved(folder).strip_prefix(resolved(root)) {
        Ok(relative) => relative.to_owned(),
        Err(_) => return RepoPath::default(),
    };
    match gix::path::into_bstr(relative) {
        Ok(bytes) => RepoPath::new(gix::path::to_unix_separators_on_windows(bytes).into_owned()),
        Err(_) => RepoPath::default(),
    }
}
