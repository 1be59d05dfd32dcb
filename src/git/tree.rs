//! The paths of a tree, and objects read from the store.

use std::collections::BTreeMap;

use gix::ObjectId;
use gix::bstr::BString;
use gix::objs::TreeRefIter;
use gix::objs::tree::EntryKind;

use super::error::{Error, detail};
use crate::fileset::{ContentKey, Entry, Mode, RepoPath};

/// The bound on the paths of one state: a tree that names itself over and over doubles with every
/// level, so that a handful of objects can stand for more paths than any disk holds.
pub(super) const MAX_PATHS: usize = 1_000_000;

/// The bound on nested folders, that of git (`core.maxTreeDepth`).
const MAX_DEPTH: usize = 2048;

/// Every path below `root`, each of its trees read once per place where it stands.
pub(super) fn entries(
    repository: &gix::Repository,
    root: ObjectId,
) -> Result<BTreeMap<RepoPath, Entry>, Error> {
    let mut found = Vec::new();
    walk(repository, BString::default(), root, &mut found)?;
    // In git's order of trees already but for folders read late: sorting costs next to nothing.
    Ok(found.into_iter().collect())
}

/// Adds every path below the tree `root`, which stands at `prefix` (empty, or ending in a slash).
pub(super) fn walk(
    repository: &gix::Repository,
    prefix: BString,
    root: ObjectId,
    found: &mut Vec<(RepoPath, Entry)>,
) -> Result<(), Error> {
    let mut buffer = Vec::new();
    let mut waiting = vec![Folder { prefix, tree: root, depth: 0 }];
    while let Some(folder) = waiting.pop() {
        let mut path = folder.prefix.clone();
        for entry in find_tree(repository, folder.tree, &mut buffer)? {
            let entry = entry.map_err(|error| damaged(folder.tree, &error))?;
            path.truncate(folder.prefix.len());
            path.extend_from_slice(entry.filename);
            match mode(entry.mode.kind()) {
                Some(mode) => {
                    let key = ContentKey::new(entry.oid.as_bytes());
                    found.push((RepoPath::new(&path), Entry { key, mode }));
                }
                None => waiting.push(folder.child(path.clone(), entry.oid.to_owned())?),
            }
        }
        check_count(found.len().saturating_add(waiting.len()))?;
    }
    Ok(())
}

/// Refuses more paths than [`MAX_PATHS`].
pub(super) fn check_count(paths: usize) -> Result<(), Error> {
    match paths > MAX_PATHS {
        true => Err(Error::TooLarge { what: format!("more than {MAX_PATHS} paths") }),
        false => Ok(()),
    }
}

/// Refuses folders deeper than [`MAX_DEPTH`].
pub(super) fn check_depth(depth: usize) -> Result<(), Error> {
    match depth > MAX_DEPTH {
        true => Err(Error::TooLarge { what: format!("folders nested deeper than {MAX_DEPTH}") }),
        false => Ok(()),
    }
}

/// The error for an object that can't be found.
pub(super) fn missing(repository: &gix::Repository, id: &gix::oid) -> Error {
    let config = repository.config_snapshot();
    let partial = config.string("extensions.partialClone").is_some()
        || config.plumbing().sections_by_name("remote").into_iter().flatten().any(|remote| {
            remote.value("promisor").is_some() || remote.value("partialclonefilter").is_some()
        });
    Error::MissingObject { id: id.to_string(), partial }
}

/// The error for an object that can't be decoded.
pub(super) fn damaged(id: ObjectId, error: &(dyn std::error::Error + 'static)) -> Error {
    Error::DamagedObject { id: id.to_string(), detail: detail(error) }
}

struct Folder {
    prefix: BString,
    tree: ObjectId,
    depth: usize,
}

impl Folder {
    fn child(&self, mut path: BString, tree: ObjectId) -> Result<Self, Error> {
        check_depth(self.depth + 1)?;
        path.push(b'/');
        Ok(Self { prefix: path, tree, depth: self.depth + 1 })
    }
}

/// The entries of a tree.
pub(super) fn find_tree<'b>(
    repository: &gix::Repository,
    id: ObjectId,
    buffer: &'b mut Vec<u8>,
) -> Result<TreeRefIter<'b>, Error> {
    find_bytes(repository, id, buffer)?;
    Ok(TreeRefIter::from_bytes(buffer, repository.object_hash()))
}

/// Reads the tree `id` into `buffer`.
pub(super) fn find_bytes(
    repository: &gix::Repository,
    id: ObjectId,
    buffer: &mut Vec<u8>,
) -> Result<(), Error> {
    // The store itself doesn't hold the empty tree, which git takes for granted.
    if id == ObjectId::empty_tree(repository.object_hash()) {
        buffer.clear();
        return Ok(());
    }
    match gix::objs::Find::try_find(&repository.objects, &id, buffer) {
        Ok(Some(data)) if data.kind == gix::objs::Kind::Tree => Ok(()),
        Ok(Some(data)) => {
            let detail = format!("a {} where a tree belongs", data.kind);
            Err(Error::DamagedObject { id: id.to_string(), detail })
        }
        Ok(None) => Err(missing(repository, &id)),
        Err(error) => Err(damaged(id, &error)),
    }
}

pub(super) fn mode(kind: EntryKind) -> Option<Mode> {
    match kind {
        EntryKind::Tree => None,
        EntryKind::Blob | EntryKind::BlobExecutable => Some(Mode::File),
        EntryKind::Link => Some(Mode::Link),
        EntryKind::Commit => Some(Mode::Submodule),
    }
}
