//! The commits that lead to a revision, those that came first in front.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use gix::ObjectId;
use gix::objs::CommitRefIter;

use super::error::{Error, unreadable};
use super::repository::Repository;
use super::tree::{damaged, missing};
use crate::fileset::ContentKey;

/// Which commits are meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Range {
    /// A revision whose history is left out; nothing is where there is none.
    pub after: Option<String>,
    /// The revision that the others lead to.
    pub upto: String,
    /// Every commit, not only those on the line of first parents.
    pub every: bool,
}

/// A commit by ids alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Passed {
    /// The commit.
    pub id: ContentKey,
    /// What it holds.
    pub tree: ContentKey,
    /// The commit that it was made on, which is compared with: the first of several.
    pub parent: Option<ContentKey>,
    /// What that one holds.
    pub parent_tree: Option<ContentKey>,
    /// How many parents it has.
    pub parents: usize,
}

/// A way through the history.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Way {
    /// The commits, parents before children.
    pub commits: Vec<Passed>,
    /// Whether the clone was cut off before its history begins.
    pub is_cut_off: bool,
}

impl Way {
    /// Leaves out all but the last `most` commits. The first of them still knows its parent.
    pub fn keep_last(&mut self, most: usize) {
        let more = self.commits.len().saturating_sub(most);
        self.commits.drain(..more);
    }
}

/// A commit as it is read from the store.
struct Node {
    tree: ObjectId,
    parents: Vec<ObjectId>,
    seconds: i64,
}

impl Repository {
    /// The commits of a range.
    ///
    /// # Errors
    /// [`Error::Revision`], [`Error::Unborn`], and [`Error::MissingObject`] for a commit that is named
    /// and not there.
    pub fn way(&self, range: &Range) -> Result<Way, Error> {
        let tip = self.commit(&range.upto)?;
        let mut reader = Reader::of(self)?;
        let after = range.after.as_ref().map(|after| self.commit(after)).transpose()?;
        let ids = match range.every {
            true => {
                let known = after.map(|after| reader.reachable(after, &BTreeMap::new()));
                let found = reader.reachable(tip, &known.transpose()?.unwrap_or_default())?;
                reader.sorted(&found)
            }
            false => reader.line(tip, after)?,
        };
        let commits = ids.into_iter().map(|id| reader.passed(id)).collect::<Result<_, _>>()?;
        Ok(Way { commits, is_cut_off: reader.is_cut_off })
    }

    /// The one step to a commit from its first parent.
    ///
    /// # Errors
    /// As [`Repository::way`].
    pub fn step_to(&self, revision: &str) -> Result<Way, Error> {
        let commit = self.commit(revision)?;
        let mut reader = Reader::of(self)?;
        Ok(Way { commits: vec![reader.passed(commit)?], is_cut_off: reader.is_cut_off })
    }
}

/// Reads commits, each once as a rule.
struct Reader<'r> {
    repository: &'r gix::Repository,
    graph: Option<gix::commitgraph::Graph>,
    /// Commits whose parents were not cloned.
    ends: BTreeSet<ObjectId>,
    read: BTreeMap<ObjectId, Node>,
    is_cut_off: bool,
    buffer: Vec<u8>,
}

impl<'r> Reader<'r> {
    fn of(repository: &'r Repository) -> Result<Self, Error> {
        let inner = &repository.inner;
        let shallow = inner.shallow_commits();
        let shallow = shallow.map_err(|error| unreadable("the end of a shallow clone", &error))?;
        let ends: BTreeSet<ObjectId> = shallow.iter().flat_map(|ids| ids.iter().copied()).collect();
        // git leaves the graph aside as well where commits have other parents than they say.
        let graph = match ends.is_empty() {
            true => inner.commit_graph_if_enabled().ok().flatten(),
            false => None,
        };
        Ok(Self {
            repository: inner,
            graph,
            ends,
            read: BTreeMap::new(),
            is_cut_off: false,
            buffer: Vec::new(),
        })
    }

    /// The line of first parents down from `tip`, without what `after` holds; first things first.
    fn line(&mut self, tip: ObjectId, after: Option<ObjectId>) -> Result<Vec<ObjectId>, Error> {
        let (mut line, mut next) = (Vec::new(), Some(tip));
        while let Some(id) = next.filter(|id| Some(*id) != after) {
            line.push(id);
            next = self.node(id)?.parents.first().copied();
        }
        // What stands above `after` on its own line is nothing that it holds. Beside the line it may
        // hold any of it.
        if let (Some(after), None) = (after, next) {
            let known = self.reachable(after, &BTreeMap::new())?;
            let new = line.iter().take_while(|id| !known.contains_key(*id)).count();
            line.truncate(new);
        }
        line.reverse();
        Ok(line)
    }

    /// Every commit that `tip` holds and that is not `known`, with its parents.
    fn reachable(
        &mut self,
        tip: ObjectId,
        known: &BTreeMap<ObjectId, Vec<ObjectId>>,
    ) -> Result<BTreeMap<ObjectId, Vec<ObjectId>>, Error> {
        let mut found = BTreeMap::new();
        let mut waiting = vec![tip];
        while let Some(id) = waiting.pop() {
            if found.contains_key(&id) || known.contains_key(&id) {
                continue;
            }
            let parents = self.node(id)?.parents.clone();
            waiting.extend(&parents);
            found.insert(id, parents);
        }
        Ok(found)
    }

    /// Parents before children, else those that were committed first in front.
    fn sorted(&self, found: &BTreeMap<ObjectId, Vec<ObjectId>>) -> Vec<ObjectId> {
        let mut waits: BTreeMap<ObjectId, usize> = BTreeMap::new();
        let mut children: BTreeMap<ObjectId, Vec<ObjectId>> = BTreeMap::new();
        for (id, parents) in found {
            let mut within: Vec<&ObjectId> =
                parents.iter().filter(|parent| found.contains_key(*parent)).collect();
            within.sort();
            within.dedup();
            waits.insert(*id, within.len());
            for parent in within {
                children.entry(*parent).or_default().push(*id);
            }
        }
        let key = |id: ObjectId| Reverse((self.read.get(&id).map_or(0, |node| node.seconds), id));
        let begin = waits.iter().filter(|(_, count)| **count == 0).map(|(id, _)| key(*id));
        let mut ready: BinaryHeap<Reverse<(i64, ObjectId)>> = begin.collect();
        let mut order = Vec::with_capacity(found.len());
        while let Some(Reverse((_, id))) = ready.pop() {
            order.push(id);
            for child in children.remove(&id).unwrap_or_default() {
                let count = waits.entry(child).or_default();
                *count = count.saturating_sub(1);
                if *count == 0 {
                    ready.push(key(child));
                }
            }
        }
        order
    }

    fn passed(&mut self, id: ObjectId) -> Result<Passed, Error> {
        let node = self.node(id)?;
        let (tree, parents, parent) =
            (node.tree, node.parents.len(), node.parents.first().copied());
        let parent_tree = parent.map(|parent| Ok(self.node(parent)?.tree)).transpose()?;
        let key = |id: ObjectId| ContentKey::new(id.as_bytes());
        Ok(Passed {
            id: key(id),
            tree: key(tree),
            parent: parent.map(key),
            parent_tree: parent_tree.map(key),
            parents,
        })
    }

    fn node(&mut self, id: ObjectId) -> Result<&Node, Error> {
        if !self.read.contains_key(&id) {
            let mut node = match self.graph.as_ref().and_then(|graph| from_graph(graph, id)) {
                Some(node) => node,
                None => self.stored(id)?,
            };
            if self.ends.contains(&id) {
                self.is_cut_off |= !node.parents.is_empty();
                node.parents.clear();
            }
            self.read.insert(id, node);
        }
        Ok(&self.read[&id])
    }

    fn stored(&mut self, id: ObjectId) -> Result<Node, Error> {
        let found = gix::objs::Find::try_find(&self.repository.objects, &id, &mut self.buffer);
        let object = match found {
            Ok(Some(object)) => object,
            Ok(None) => return Err(missing(self.repository, &id)),
            Err(error) => return Err(damaged(id, &error)),
        };
        let mut commit = CommitRefIter::from_bytes(object.data, self.repository.object_hash());
        let committed = commit.committer();
        let committed = committed.map_err(|error| damaged(id, &error))?;
        Ok(Node {
            tree: commit.tree_id().map_err(|error| damaged(id, &error))?,
            parents: commit.parent_ids().collect(),
            seconds: committed.seconds(),
        })
    }
}

fn from_graph(graph: &gix::commitgraph::Graph, id: ObjectId) -> Option<Node> {
    let commit = graph.commit_by_id(id)?;
    let parents: Option<Vec<ObjectId>> =
        commit.iter_parents().map(|at| Some(graph.id_at(at.ok()?).to_owned())).collect();
    Some(Node {
        tree: commit.root_tree_id().to_owned(),
        parents: parents?,
        seconds: i64::try_from(commit.committer_timestamp()).unwrap_or(i64::MAX),
    })
}

/// The object id that a key is.
pub(super) fn object_id(key: ContentKey) -> Result<ObjectId, Error> {
    let id = gix::oid::try_from_bytes(key.as_bytes()).map_err(|error| Error::Unreadable {
        what: format!("the key {key}"),
        detail: error.to_string(),
    })?;
    Ok(id.to_owned())
}
