//! The files of a working tree in the form in which git would store them.
//!
//! Line endings (`text`, `eol`, `crlf`, core.autocrlf, core.eol), `ident` and
//! `working-tree-encoding` are undone as `git add` does. A filter program of the user never runs:
//! what it would have made of the content can't be known here, so the content counts as it lies
//! there. The one exception is `filter=lfs`, whose result is public: a pointer to the content.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use gix::attrs::search::{MetadataCollection, Outcome};
use gix::bstr::ByteSlice;
use gix::filter::plumbing::Pipeline;
use gix::filter::plumbing::pipeline::CrlfRoundTripCheck;
use gix::filter::plumbing::pipeline::convert::ToGitOutcome;
use gix::worktree::stack::state::attributes::Source;

use super::error::{Error, unreadable};
use super::pointer;
use crate::fileset::{ContentKey, RepoPath};

/// Turns files of a working tree into what git would store.
pub(super) struct Normaliser<'r> {
    repository: &'r gix::Repository,
    index: gix::worktree::Index,
    root: PathBuf,
    attributes: gix::AttributeStack<'r>,
    filter: Outcome,
    pipeline: Pipeline,
}

/// A file as git would store it.
pub(super) enum Stored<'n> {
    /// As it lies on disk: nothing has to be undone.
    File {
        /// Opened, at its beginning.
        file: File,
        /// Its length.
        bytes: u64,
    },
    /// Changed on the way into git, or looked at to find out that it isn't.
    Bytes(&'n [u8]),
    /// The pointer that stands for it.
    Pointer(Vec<u8>),
}

impl<'r> Normaliser<'r> {
    /// For the files below `root`. Attributes are those of the working tree, of the index where a
    /// sparse checkout leaves them out.
    pub fn new(
        repository: &'r gix::Repository,
        index: gix::worktree::Index,
        root: PathBuf,
    ) -> Result<Self, Error> {
        let attributes = repository
            .attributes_only(&index, Source::WorktreeThenIdMapping)
            .map_err(|error| unreadable("the attributes", &error))?;
        let mut filter = Outcome::default();
        filter.initialize_with_selection(&MetadataCollection::default(), ["filter"]);
        let pipeline = pipeline(repository)?;
        Ok(Self { repository, index, root, attributes, filter, pipeline })
    }

    /// The key of the regular file at `path`.
    pub fn file_key(&mut self, path: &RepoPath) -> Result<ContentKey, Error> {
        let hash = self.repository.object_hash();
        let id = match self.stored(path)? {
            Stored::Bytes(content) => hash_blob(hash, content),
            Stored::Pointer(content) => hash_blob(hash, &content),
            Stored::File { mut file, bytes } => gix::objs::compute_stream_hash(
                hash,
                gix::objs::Kind::Blob,
                &mut file,
                bytes,
                &mut gix::progress::Discard,
                &AtomicBool::default(),
            ),
        };
        // A file that shrinks while it is read makes the stream end early.
        let id = id.map_err(|_| Error::ChangedMeanwhile { path: path.clone() })?;
        Ok(ContentKey::new(id.as_bytes()))
    }

    /// The key of the symbolic link at `path`: that of the path it holds, which isn't followed.
    pub fn link_key(&self, path: &RepoPath) -> Result<ContentKey, Error> {
        let target =
            fs::read_link(self.disk_path(path)?).map_err(|error| unreadable_file(path, error))?;
        let target =
            gix::path::into_bstr(target).map_err(|error| unreadable("a link's target", &error))?;
        self.content_key(&target)
    }

    /// The key of content that is stored as it is.
    pub fn content_key(&self, content: &[u8]) -> Result<ContentKey, Error> {
        let id = hash_blob(self.repository.object_hash(), content);
        let id = id.map_err(|error| unreadable("a content's digest", &error))?;
        Ok(ContentKey::new(id.as_bytes()))
    }

    /// The content of the regular file at `path` as git would store it.
    pub fn stored(&mut self, path: &RepoPath) -> Result<Stored<'_>, Error> {
        let disk_path = self.disk_path(path)?;
        let (file, bytes) = open(&disk_path).map_err(|error| unreadable_file(path, error))?;
        let attributes = self
            .attributes
            .at_entry(path.as_bstr(), None)
            .map_err(|error| unreadable("the attributes", &error))?;
        attributes.matching_attributes(&mut self.filter);
        if is_lfs(&self.filter) {
            let text = pointer::stored(file).map_err(|error| unreadable_file(path, error))?;
            return Ok(Stored::Pointer(text));
        }
        let (repository, index) = (self.repository, &self.index);
        let relative =
            gix::path::from_bstr(path.as_bstr()).map_err(|error| unreadable("a path", &error))?;
        let converted = self.pipeline.convert_to_git(
            file,
            &relative,
            &mut |_, outcome| {
                attributes.matching_attributes(outcome);
            },
            &mut |buffer| staged(repository, index, path, buffer),
        );
        match converted {
            Ok(ToGitOutcome::Unchanged(file)) => Ok(Stored::File { file, bytes }),
            Ok(ToGitOutcome::Buffer(content)) => Ok(Stored::Bytes(content)),
            Ok(ToGitOutcome::Process(_)) | Err(_) => {
                as_it_lies(&disk_path).map_err(|error| unreadable_file(path, error))
            }
        }
    }

    fn disk_path(&self, path: &RepoPath) -> Result<PathBuf, Error> {
        disk_path(&self.root, path)
    }
}

/// Where `path` lies below `root`.
pub(super) fn disk_path(root: &Path, path: &RepoPath) -> Result<PathBuf, Error> {
    let relative =
        gix::path::from_bstr(path.as_bstr()).map_err(|error| unreadable("a path", &error))?;
    Ok(root.join(relative))
}

/// The conversions that git is configured to do, without the programs of the user, and without
/// refusing what doesn't survive the way back (core.safecrlf): nothing is added here.
fn pipeline(repository: &gix::Repository) -> Result<Pipeline, Error> {
    let mut options = gix::filter::Pipeline::options(repository)
        .map_err(|error| unreadable("the configuration of line endings", &error))?;
    options.drivers.clear();
    options.crlf_roundtrip_check = CrlfRoundTripCheck::Skip;
    Ok(Pipeline::new(gix::command::Context::default(), repository.object_hash(), options))
}

/// A file with a `working-tree-encoding` that isn't known here, or that it isn't in, is taken as it
/// lies there, as git takes it: no record file can be one, and a figure beside it stays readable.
fn as_it_lies<'n>(disk_path: &Path) -> io::Result<Stored<'n>> {
    let (file, bytes) = open(disk_path)?;
    Ok(Stored::File { file, bytes })
}

/// Reads what the index holds at `path`: line endings that were stored once as they are stay so.
fn staged(
    repository: &gix::Repository,
    index: &gix::index::State,
    path: &RepoPath,
    buffer: &mut Vec<u8>,
) -> gix::Result<Option<()>> {
    let Some(entry) = index.entry_by_path(path.as_bstr()) else { return Ok(None) };
    let found = gix::objs::Find::try_find(&repository.objects, &entry.id, buffer)?;
    Ok(found.filter(|object| object.kind == gix::objs::Kind::Blob).map(|_| ()))
}

fn is_lfs(filter: &Outcome) -> bool {
    let found = filter.iter_selected().next();
    found.is_some_and(|found| found.assignment.state.as_bstr() == Some(b"lfs".as_bstr()))
}

fn open(path: &Path) -> io::Result<(File, u64)> {
    // Asked before opening: opening a named pipe would wait for a writer.
    if !fs::symlink_metadata(path)?.is_file() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "not a regular file"));
    }
    let file = File::open(path)?;
    let bytes = file.metadata()?.len();
    Ok((file, bytes))
}

fn hash_blob(hash: gix::hash::Kind, content: &[u8]) -> gix::Result<gix::ObjectId> {
    gix::objs::compute_hash(hash, gix::objs::Kind::Blob, content)
}

/// The error for a file that can't be read, or that isn't there any more.
pub(super) fn unreadable_file(path: &RepoPath, source: io::Error) -> Error {
    match source.kind() {
        io::ErrorKind::NotFound => Error::ChangedMeanwhile { path: path.clone() },
        _ => Error::File { path: path.clone(), source },
    }
}
