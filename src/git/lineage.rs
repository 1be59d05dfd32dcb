//! Which commit last changed a path.

use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use gix::ObjectId;
use gix::bstr::{BStr, BString, ByteSlice};

use super::error::Error;
use super::repository::Repository;
use super::tree::{damaged, find_tree};
use crate::fileset::RepoPath;

/// The commits that last changed some paths, by path; a path whose past was cut off isn't there.
pub type LastChanges = BTreeMap<RepoPath, String>;

/// Wanted names of a folder: files, and folders with what is wanted in them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Wanted {
    files: BTreeSet<BString>,
    folders: BTreeMap<BString, Wanted>,
}

impl Repository {
    /// The commits in whose history `paths` became what they are at `revision`: from there back, as
    /// long as any parent has the same content. What lies in no changed folder costs nothing.
    ///
    /// # Errors
    /// As [`Repository::describe`]; [`Error::DamagedObject`].
    pub fn last_changes(
        &self,
        revision: &str,
        paths: impl IntoIterator<Item = RepoPath>,
    ) -> Result<LastChanges, Error> {
        let tip = self.commit(revision)?;
        let mut found = LastChanges::new();
        let mut waiting = Waiting::default();
        waiting.add(self.walked(tip)?, paths.into_iter().collect());
        while let Some((commit, mut paths)) = waiting.newest() {
            for parent in &commit.parents {
                // Beyond the end of a shallow clone nobody can tell.
                let Ok(parent) = self.walked(*parent) else {
                    paths.clear();
                    break;
                };
                let changed = self.differing(commit.tree, parent.tree, &paths)?;
                let (changed, same) = paths.into_iter().partition(|path| changed.contains(path));
                paths = changed;
                waiting.add(parent, same);
            }
            found.extend(paths.into_iter().map(|path| (path, commit.id.to_string())));
        }
        Ok(found)
    }

    fn walked(&self, id: ObjectId) -> Result<Walked, Error> {
        let commit = self.object(id)?.try_into_commit();
        let commit = commit.map_err(|error| damaged(id, &error))?;
        let failed = |error: gix::Error| damaged(id, &error);
        Ok(Walked {
            seconds: commit.time().map_err(failed)?.seconds,
            id,
            tree: commit.tree_id().map_err(failed)?.detach(),
            parents: commit.parent_ids().map(gix::Id::detach).collect(),
        })
    }

    /// Those of `paths` that aren't the same below two trees.
    fn differing(
        &self,
        one: ObjectId,
        other: ObjectId,
        paths: &BTreeSet<RepoPath>,
    ) -> Result<BTreeSet<RepoPath>, Error> {
        let mut differing = BTreeSet::new();
        if one == other {
            return Ok(differing);
        }
        let mut wanted = Wanted::default();
        paths.iter().for_each(|path| wanted.add(path.as_bstr()));
        let mut folders = vec![(BString::default(), Some(one), Some(other), &wanted)];
        while let Some((prefix, one, other, wanted)) = folders.pop() {
            let (ones, others) = (self.names(one, wanted)?, self.names(other, wanted)?);
            for name in &wanted.files {
                if ones.get(name) != others.get(name) {
                    differing.insert(RepoPath::new(below(&prefix, name)));
                }
            }
            for (name, inner) in &wanted.folders {
                let (one, other) = (ones.get(name).copied(), others.get(name).copied());
                if one != other {
                    folders.push((below(&prefix, name), one, other, inner));
                }
            }
        }
        Ok(differing)
    }

    /// The objects of the wanted names in a tree; none where there is no tree.
    fn names(
        &self,
        tree: Option<ObjectId>,
        wanted: &Wanted,
    ) -> Result<BTreeMap<BString, ObjectId>, Error> {
        let mut names = BTreeMap::new();
        let Some(tree) = tree else { return Ok(names) };
        if self.object(tree)?.kind != gix::objs::Kind::Tree {
            return Ok(names);
        }
        let mut buffer = Vec::new();
        for entry in find_tree(&self.inner, tree, &mut buffer)? {
            let entry = entry.map_err(|error| damaged(tree, &error))?;
            if wanted.names(entry.filename) {
                names.insert(entry.filename.to_owned(), entry.oid.to_owned());
            }
        }
        Ok(names)
    }
}

impl Wanted {
    fn add(&mut self, path: &BStr) {
        match path.split_once_str("/") {
            Some((folder, rest)) => {
                self.folders.entry(folder.into()).or_default().add(rest.as_bstr());
            }
            None => drop(self.files.insert(path.to_owned())),
        }
    }

    fn names(&self, name: &BStr) -> bool {
        self.files.contains(name) || self.folders.contains_key(name)
    }
}

fn below(prefix: &BString, name: &BString) -> BString {
    let slash: &[u8] = if prefix.is_empty() { b"" } else { b"/" };
    [prefix.as_slice(), slash, name.as_slice()].concat().into()
}

/// A commit on the way back.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Walked {
    seconds: i64,
    id: ObjectId,
    tree: ObjectId,
    parents: Vec<ObjectId>,
}

/// Commits that still have to be looked at with the paths that lead to them, newest first, so that
/// what leads to one commit from several sides is mostly looked at together.
#[derive(Default)]
struct Waiting {
    commits: BinaryHeap<Walked>,
    paths: BTreeMap<ObjectId, BTreeSet<RepoPath>>,
}

impl Waiting {
    fn add(&mut self, commit: Walked, paths: BTreeSet<RepoPath>) {
        if paths.is_empty() {
            return;
        }
        match self.paths.get_mut(&commit.id) {
            Some(known) => known.extend(paths),
            None => {
                self.paths.insert(commit.id, paths);
                self.commits.push(commit);
            }
        }
    }

    fn newest(&mut self) -> Option<(Walked, BTreeSet<RepoPath>)> {
        let commit = self.commits.pop()?;
        let paths = self.paths.remove(&commit.id).unwrap_or_default();
        Some((commit, paths))
    }
}
