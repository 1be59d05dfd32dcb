//! What a repository holds at one of its states: paths, keys, and bytes on request.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Read;
use std::sync::Arc;

use gix::prelude::Header;

use super::error::Error;
use super::normalise::{Normaliser, Stored, unreadable_file};
use super::tree::{damaged, missing};
use crate::fileset::{ContentKey, Entry, FileSet, Mode, RepoPath};

/// Every path at one state of a repository. Contents are read when asked for.
pub struct Snapshot<'r> {
    repository: &'r gix::Repository,
    entries: Arc<BTreeMap<RepoPath, Entry>>,
    /// Files that aren't in the object store: new, or changed since they were staged.
    unstored: Option<Unstored<'r>>,
    buffer: Vec<u8>,
}

/// The files of a working tree whose content only lies on disk.
pub(super) struct Unstored<'r> {
    pub paths: BTreeSet<RepoPath>,
    pub normaliser: Normaliser<'r>,
}

/// What is in a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Content {
    /// Its bytes as git stores them.
    Bytes(Arc<[u8]>),
    /// It is larger than the limit, and wasn't read.
    TooLarge {
        /// Its size in bytes.
        bytes: u64,
    },
}

impl<'r> Snapshot<'r> {
    pub(super) fn stored(
        repository: &'r gix::Repository,
        entries: BTreeMap<RepoPath, Entry>,
    ) -> Self {
        Self::shared(repository, Arc::new(entries))
    }

    /// The same of paths that somebody else keeps too.
    pub(super) fn shared(
        repository: &'r gix::Repository,
        entries: Arc<BTreeMap<RepoPath, Entry>>,
    ) -> Self {
        Self { repository, entries, unstored: None, buffer: Vec::new() }
    }

    pub(super) fn on_disk(
        repository: &'r gix::Repository,
        entries: BTreeMap<RepoPath, Entry>,
        unstored: Unstored<'r>,
    ) -> Self {
        Self {
            repository,
            entries: Arc::new(entries),
            unstored: Some(unstored),
            buffer: Vec::new(),
        }
    }

    /// Every path, in git's order of bytes, with what it is and the key of its content.
    #[must_use]
    pub fn entries(&self) -> &BTreeMap<RepoPath, Entry> {
        &self.entries
    }

    /// The same, to be kept.
    #[must_use]
    pub fn shared_entries(&self) -> Arc<BTreeMap<RepoPath, Entry>> {
        Arc::clone(&self.entries)
    }

    /// The content of the file at `path`, if it is at most `limit_bytes` long; `None` where there is
    /// no regular file at `path`.
    ///
    /// # Errors
    /// [`Error::MissingObject`], [`Error::DamagedObject`], [`Error::File`], and
    /// [`Error::ChangedMeanwhile`] where a file on disk no longer has the content of its key.
    pub fn read(&mut self, path: &RepoPath, limit_bytes: u64) -> Result<Option<Content>, Error> {
        let Some(entry) = self.entries.get(path).filter(|entry| entry.mode == Mode::File) else {
            return Ok(None);
        };
        match &mut self.unstored {
            Some(unstored) if unstored.paths.contains(path) => {
                read_file(&mut unstored.normaliser, path, entry.key, limit_bytes)
            }
            _ => read_object(self.repository, entry.key, limit_bytes, &mut self.buffer),
        }
        .map(Some)
    }

    /// The paths of the snapshot with the contents of those in `wanted`. A path that isn't a regular
    /// file of the snapshot is passed over.
    ///
    /// # Errors
    /// As [`Snapshot::read`].
    pub fn load<'p>(
        &mut self,
        wanted: impl IntoIterator<Item = &'p RepoPath>,
        limit_bytes: u64,
    ) -> Result<FileSet, Error> {
        let mut files = FileSet { entries: Arc::clone(&self.entries), ..FileSet::default() };
        for path in wanted {
            let Some(key) = self.entries.get(path).map(|entry| entry.key) else { continue };
            if files.contents.contains_key(&key) {
                continue;
            }
            match self.read(path, limit_bytes)? {
                Some(Content::Bytes(bytes)) => {
                    files.contents.insert(key, bytes);
                }
                Some(Content::TooLarge { bytes }) => {
                    files.too_large.insert(key, bytes);
                }
                None => {}
            }
        }
        Ok(files)
    }
}

fn read_object(
    repository: &gix::Repository,
    key: ContentKey,
    limit_bytes: u64,
    buffer: &mut Vec<u8>,
) -> Result<Content, Error> {
    let id = gix::oid::try_from_bytes(key.as_bytes()).map_err(|error| Error::Unreadable {
        what: format!("the key {key}"),
        detail: error.to_string(),
    })?;
    match gix::objs::Find::try_find(&repository.objects, id, buffer) {
        Ok(Some(blob)) => Ok(match blob.data.len() as u64 {
            bytes if bytes > limit_bytes => Content::TooLarge { bytes },
            _ => Content::Bytes(blob.data.into()),
        }),
        Ok(None) => Err(missing(repository, id)),
        Err(error) if error.is_resource_exhausted() => {
            too_large(repository, id, limit_bytes, &error)
        }
        Err(error) => Err(damaged(id.to_owned(), &error)),
    }
}

/// The size of an object beyond the store's own bound. Asked only now: for an object that isn't
/// packed, asking costs as much as reading.
fn too_large(
    repository: &gix::Repository,
    id: &gix::oid,
    limit_bytes: u64,
    error: &gix::Error,
) -> Result<Content, Error> {
    match repository.objects.try_header(id) {
        Ok(Some(header)) if header.size() > limit_bytes => {
            Ok(Content::TooLarge { bytes: header.size() })
        }
        _ => Err(damaged(id.to_owned(), error)),
    }
}

fn read_file(
    normaliser: &mut Normaliser<'_>,
    path: &RepoPath,
    key: ContentKey,
    limit_bytes: u64,
) -> Result<Content, Error> {
    let mut content = Vec::new();
    let bytes = match normaliser.stored(path)? {
        Stored::File { file, bytes } => {
            let read = file.take(limit_bytes).read_to_end(&mut content);
            read.map_err(|error| unreadable_file(path, error))?;
            bytes
        }
        Stored::Bytes(stored) => {
            content.extend_from_slice(stored);
            stored.len() as u64
        }
        Stored::Pointer(stored) => {
            content = stored;
            content.len() as u64
        }
    };
    if bytes > limit_bytes {
        return Ok(Content::TooLarge { bytes });
    }
    match normaliser.content_key(&content)? == key {
        true => Ok(Content::Bytes(content.into())),
        false => Err(Error::ChangedMeanwhile { path: path.clone() }),
    }
}
