//! What a repository holds at one of its states: paths, keys, and bytes on request.

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::io::Read as _;
use std::sync::Arc;

use gix::OdbHandle;
use gix::prelude::Header;

use super::error::Error;
use super::normalise::{Normaliser, Stored, unreadable_file};
use super::repository::Repository;
use super::tree::{damaged, missing};
use crate::fileset::{ContentKey, Entry, Mode, RepoPath, entries_at};
use crate::threads::side_by_side;

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

/// A content that was read, and what was made of it.
pub struct Read<T> {
    /// Its key.
    pub key: ContentKey,
    /// Itself.
    pub content: Content,
    /// What was made of it.
    pub made: T,
}

/// Fewer objects than these are read sooner than a thread begins.
const WORTH_A_THREAD: usize = 64;

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
            _ => read_object(&self.repository.objects, entry.key, limit_bytes, &mut self.buffer)
                .map_err(|unread| unread.in_repository(self.repository)),
        }
        .map(Some)
    }

    /// The contents of the files at `paths` for whose keys `wanted` holds, each key once, and what
    /// `make` makes of them. Many files are read on two threads, where `make` is called too. A path
    /// that isn't a regular file of the snapshot is passed over.
    ///
    /// # Errors
    /// As [`Snapshot::read`].
    pub fn load<T: Send>(
        &mut self,
        paths: &[RepoPath],
        wanted: impl Fn(&ContentKey) -> bool,
        limit_bytes: u64,
        make: impl Fn(&Content) -> T + Sync,
    ) -> Result<Vec<Read<T>>, Error> {
        let mut seen = HashSet::new();
        let (mut loaded, mut stored) = (Vec::with_capacity(paths.len()), Vec::new());
        let entries = self.shared_entries();
        let files = entries_at(&entries, paths).filter(|(_, entry)| entry.mode == Mode::File);
        for (path, Entry { key, .. }) in files {
            let key = *key;
            if !wanted(&key) || !seen.insert(key) {
                continue;
            }
            if self.unstored.as_ref().is_none_or(|unstored| !unstored.paths.contains(path)) {
                stored.push(key);
            } else if let Some(content) = self.read(path, limit_bytes)? {
                loaded.push(Read { key, made: make(&content), content });
            }
        }
        let read = |objects: &OdbHandle, keys: &[ContentKey]| {
            let mut buffer = Vec::new();
            let mut one = |key: &ContentKey| {
                let content = read_object(objects, *key, limit_bytes, &mut buffer)?;
                Ok(Read { key: *key, made: make(&content), content })
            };
            keys.iter().map(&mut one).collect::<Result<Vec<_>, Unread>>()
        };
        let mine = &self.repository.objects;
        let (one, other) = match stored.len() {
            ..WORTH_A_THREAD => (read(mine, &stored), Ok(Vec::new())),
            many => {
                let (one, other) = stored.split_at(many / 2);
                let theirs = mine.clone();
                let (other, one) = side_by_side(move || read(&theirs, other), || read(mine, one));
                (one, other)
            }
        };
        for read in [one, other] {
            loaded.append(&mut read.map_err(|unread| unread.in_repository(self.repository))?);
        }
        Ok(loaded)
    }
}

/// Why an object cannot be read; what that means, the repository's configuration tells.
enum Unread {
    Missing(gix::ObjectId),
    Otherwise(Error),
}

impl Unread {
    fn in_repository(self, repository: &gix::Repository) -> Error {
        match self {
            Self::Missing(id) => missing(repository, &id),
            Self::Otherwise(error) => error,
        }
    }
}

impl Repository {
    /// The content with the given key, from the object store.
    ///
    /// # Errors
    /// [`Error::MissingObject`], [`Error::DamagedObject`].
    pub fn content(&self, key: ContentKey, limit_bytes: u64) -> Result<Content, Error> {
        read_object(&self.inner.objects, key, limit_bytes, &mut Vec::new())
            .map_err(|unread| unread.in_repository(&self.inner))
    }
}

fn read_object(
    objects: &OdbHandle,
    key: ContentKey,
    limit_bytes: u64,
    buffer: &mut Vec<u8>,
) -> Result<Content, Unread> {
    let id = gix::oid::try_from_bytes(key.as_bytes()).map_err(|error| {
        let (what, detail) = (format!("the key {key}"), error.to_string());
        Unread::Otherwise(Error::Unreadable { what, detail })
    })?;
    match gix::objs::Find::try_find(objects, id, buffer) {
        Ok(Some(blob)) => Ok(match blob.data.len() as u64 {
            bytes if bytes > limit_bytes => Content::TooLarge { bytes },
            _ => Content::Bytes(blob.data.into()),
        }),
        Ok(None) => Err(Unread::Missing(id.to_owned())),
        Err(error) if error.is_resource_exhausted() => {
            too_large(objects, id, limit_bytes, &error).map_err(Unread::Otherwise)
        }
        Err(error) => Err(Unread::Otherwise(damaged(id.to_owned(), &error))),
    }
}

/// The size of an object beyond the store's own bound. Asked only now: for an object that isn't
/// packed, asking costs as much as reading.
fn too_large(
    objects: &OdbHandle,
    id: &gix::oid,
    limit_bytes: u64,
    error: &gix::Error,
) -> Result<Content, Error> {
    match objects.try_header(id) {
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
