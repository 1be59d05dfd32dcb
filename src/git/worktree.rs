//! The paths of the working tree: tracked ones that are there, and untracked ones that git doesn't
//! ignore.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use gix::bstr::{BStr, BString, ByteSlice};
use gix::dir::entry::{Kind, Status};
use gix::dir::{EntryRef, walk};
use gix::index::State;
use gix::index::entry::{Flags, Mode as IndexMode, Stat, stat};
use gix::index::fs::Metadata;

use super::error::{Error, unreadable};
use super::normalise::{Normaliser, disk_path, unreadable_file};
use super::snapshot::{Snapshot, Unstored};
use super::{index, tree};
use crate::fileset::{ContentKey, Entry, Mode, RepoPath};

/// What lies in the working tree at `root`.
///
/// A path in conflict is what lies on disk under its name, and so is one that was only announced to
/// the index: what is judged here is the disk.
pub(super) fn snapshot<'r>(
    repository: &'r gix::Repository,
    root: &Path,
) -> Result<Snapshot<'r>, Error> {
    let index = index::read(repository)?;
    let mut tracked = (***index).clone();
    let normaliser = Normaliser::new(repository, index.clone(), root.to_owned())?;
    let mut survey = Survey::new(repository, root, &index, normaliser)?;
    for (entry, path) in tracked.entries_mut_with_paths() {
        if survey.add_tracked(entry, path)? {
            entry.flags.insert(Flags::UPTODATE);
        }
    }
    for (path, kind) in untracked(repository, &tracked)? {
        survey.add_untracked(path, kind)?;
    }
    Ok(survey.finish())
}

/// The working tree as far as it was looked at.
struct Survey<'r> {
    repository: &'r gix::Repository,
    index: gix::worktree::Index,
    root: PathBuf,
    sparse: bool,
    symlinks: bool,
    stat_options: stat::Options,
    folders: HashMap<BString, bool>,
    entries: BTreeMap<RepoPath, Entry>,
    unstored: BTreeSet<RepoPath>,
    normaliser: Normaliser<'r>,
}

impl<'r> Survey<'r> {
    fn new(
        repository: &'r gix::Repository,
        root: &Path,
        index: &gix::worktree::Index,
        normaliser: Normaliser<'r>,
    ) -> Result<Self, Error> {
        let config = repository.config_snapshot();
        let stat_options = repository.stat_options();
        Ok(Self {
            repository,
            root: root.to_owned(),
            sparse: config.boolean("core.sparseCheckout").unwrap_or(false),
            symlinks: config.boolean("core.symlinks").unwrap_or(true),
            stat_options: stat_options
                .map_err(|error| unreadable("the settings of the file system", &error))?,
            index: index.clone(),
            folders: HashMap::new(),
            entries: BTreeMap::new(),
            unstored: BTreeSet::new(),
            normaliser,
        })
    }

    fn finish(self) -> Snapshot<'r> {
        let unstored = Unstored { paths: self.unstored, normaliser: self.normaliser };
        Snapshot::on_disk(self.repository, self.entries, unstored)
    }

    /// Adds what lies where the index has `entry`. Returns whether that is what the index means, so
    /// that the search for untracked paths can pass it over.
    fn add_tracked(&mut self, entry: &gix::index::Entry, path: &BStr) -> Result<bool, Error> {
        if entry.mode == IndexMode::DIR {
            self.add_folded(entry, path)?;
            return Ok(false);
        }
        let path = RepoPath::new(path);
        if self.trusts_index(entry) {
            self.add_staged(path, entry);
            return Ok(true);
        }
        let Some(metadata) = self.look(&path)? else {
            if entry.flags.contains(Flags::SKIP_WORKTREE) {
                self.add_staged(path, entry);
            }
            return Ok(false);
        };
        match index::mode(entry.mode) {
            Some(Mode::Submodule) if metadata.is_dir() => self.add_submodule(path, entry)?,
            Some(mode) if self.is_unchanged(entry, mode, &metadata) => self.add_staged(path, entry),
            mode => return self.add_changed(path, mode, &metadata),
        }
        Ok(true)
    }

    /// Whether the disk isn't asked: the entry was declared unchanged, or lies outside of what is
    /// checked out. A sparse checkout lets a file count that is there nonetheless.
    fn trusts_index(&self, entry: &gix::index::Entry) -> bool {
        entry.flags.contains(Flags::ASSUME_VALID)
            || (entry.flags.contains(Flags::SKIP_WORKTREE) && !self.sparse)
    }

    fn add_folded(&mut self, entry: &gix::index::Entry, path: &BStr) -> Result<(), Error> {
        let mut found = Vec::new();
        tree::walk(self.repository, index::folded(path.to_owned()), entry.id, &mut found)?;
        self.entries.extend(found);
        Ok(())
    }

    fn add_staged(&mut self, path: RepoPath, entry: &gix::index::Entry) {
        if let Some(mode) = index::mode(entry.mode) {
            self.entries.insert(path, Entry { key: ContentKey::new(entry.id.as_bytes()), mode });
        }
    }

    /// A submodule is the commit that is checked out in it; the index' where none is.
    fn add_submodule(&mut self, path: RepoPath, entry: &gix::index::Entry) -> Result<(), Error> {
        let folder = disk_path(&self.root, &path)?;
        let checked_out = folder.join(".git").exists().then(|| {
            let opened = gix::open_opts(&folder, gix::open::Options::isolated()).ok()?;
            Some(opened.head_id().ok()?.detach())
        });
        let commit = checked_out.flatten().unwrap_or(entry.id);
        let entry = Entry { key: ContentKey::new(commit.as_bytes()), mode: Mode::Submodule };
        self.entries.insert(path, entry);
        Ok(())
    }

    /// Whether the stat data say that the file is what was staged (gitformat-index(5)). An entry
    /// that changed in the second in which the index was written may have changed again after, and
    /// has to be read ("racy git"). Entries in conflict and announced ones have no stat data.
    fn is_unchanged(&self, entry: &gix::index::Entry, mode: Mode, metadata: &Metadata) -> bool {
        let same_kind = match mode {
            Mode::File => metadata.is_file(),
            Mode::Link => metadata.is_symlink() || (!self.symlinks && metadata.is_file()),
            Mode::Submodule => false,
        };
        let Ok(now) = Stat::from_fs(metadata) else { return false };
        same_kind
            && entry.stat.matches(&now, self.stat_options)
            && !entry.stat.is_racy(self.index.timestamp(), self.stat_options)
    }

    fn add_changed(
        &mut self,
        path: RepoPath,
        staged: Option<Mode>,
        metadata: &Metadata,
    ) -> Result<bool, Error> {
        if metadata.is_symlink() {
            self.add_link(path)?;
        } else if metadata.is_file() && staged == Some(Mode::Link) && !self.symlinks {
            self.add_written_link(path)?;
        } else if metadata.is_file() {
            self.add_file(path)?;
        } else {
            return Ok(false);
        }
        Ok(true)
    }

    fn add_untracked(&mut self, path: BString, kind: Kind) -> Result<(), Error> {
        let path = RepoPath::new(path);
        match kind {
            Kind::File => self.add_file(path),
            Kind::Symlink => self.add_link(path),
            Kind::Directory | Kind::Repository | Kind::Untrackable => Ok(()),
        }
    }

    fn add_file(&mut self, path: RepoPath) -> Result<(), Error> {
        let key = self.normaliser.file_key(&path)?;
        self.unstored.insert(path.clone());
        self.add(path, Entry { key, mode: Mode::File })
    }

    fn add_link(&mut self, path: RepoPath) -> Result<(), Error> {
        let key = self.normaliser.link_key(&path)?;
        self.add(path, Entry { key, mode: Mode::Link })
    }

    /// A file system without links has a file that holds the path (core.symlinks).
    fn add_written_link(&mut self, path: RepoPath) -> Result<(), Error> {
        let written = std::fs::read(disk_path(&self.root, &path)?);
        let key = self
            .normaliser
            .content_key(&written.map_err(|error| unreadable_file(&path, error))?)?;
        self.add(path, Entry { key, mode: Mode::Link })
    }

    fn add(&mut self, path: RepoPath, entry: Entry) -> Result<(), Error> {
        self.entries.insert(path, entry);
        tree::check_count(self.entries.len())
    }

    /// What lies at `path`; `None` where nothing does, and where a folder above it is a link, which
    /// may lead anywhere.
    fn look(&mut self, path: &RepoPath) -> Result<Option<Metadata>, Error> {
        if !self.is_real_folder(path.folder().as_bstr()) {
            return Ok(None);
        }
        match Metadata::from_path_no_follow(&disk_path(&self.root, path)?) {
            Ok(metadata) => Ok(Some(metadata)),
            Err(error) if gix::fs::io_err::is_not_found(error.kind(), error.raw_os_error()) => {
                Ok(None)
            }
            Err(source) => Err(Error::File { path: path.clone(), source }),
        }
    }

    /// Whether `folder` and all the folders above it are folders themselves. Each is asked once.
    fn is_real_folder(&mut self, folder: &BStr) -> bool {
        let ends = folder.find_iter("/").chain([folder.len()]);
        ends.into_iter().all(|end| {
            let step = folder[..end].as_bstr();
            if let Some(&known) = self.folders.get(step) {
                return known;
            }
            let path = disk_path(&self.root, &RepoPath::new(step));
            let real = path.is_ok_and(|path| is_folder(&path));
            self.folders.insert(step.to_owned(), real);
            real
        })
    }
}

fn is_folder(path: &Path) -> bool {
    path.symlink_metadata().is_ok_and(|metadata| metadata.is_dir())
}

/// The paths that git doesn't track and doesn't ignore.
fn untracked(repository: &gix::Repository, tracked: &State) -> Result<Vec<(BString, Kind)>, Error> {
    let unreadable = |error: gix::Error| unreadable("the working tree", &error);
    let options = repository.dirwalk_options().map_err(unreadable)?;
    let mut found = Untracked::default();
    repository
        .dirwalk(tracked, None::<&str>, &AtomicBool::default(), options, &mut found)
        .map_err(unreadable)?;
    tree::check_count(found.paths.len())?;
    Ok(found.paths)
}

#[derive(Default)]
struct Untracked {
    paths: Vec<(BString, Kind)>,
}

impl walk::Delegate for Untracked {
    fn emit(&mut self, entry: EntryRef<'_>, _folder: Option<Status>) -> walk::Action {
        if let (Status::Untracked, Some(kind)) = (entry.status, entry.disk_kind) {
            self.paths.push((entry.rela_path.into_owned(), kind));
        }
        match self.paths.len() > tree::MAX_PATHS {
            true => ControlFlow::Break(()),
            false => ControlFlow::Continue(()),
        }
    }
}
