//! Commits, tags and their order.

use gix::ObjectId;
use gix::bstr::ByteSlice;

use super::commits::{Passed, object_id};
use super::error::{Error, last_cause, unreadable};
use super::repository::Repository;
use super::tree::missing;
use crate::diagnostic::did_you_mean;
use crate::fileset::ContentKey;

/// A commit, as a screen names it. Texts come from the repository: whoever wrote them isn't trusted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Commit {
    /// Its id, in hexadecimal.
    pub id: String,
    /// The beginning of its id, as long as it has to be to name nothing else.
    pub short_id: String,
    /// When it was committed, in seconds since 1970-01-01T00:00:00Z; when it was tagged, where an
    /// annotated tag was asked for.
    pub seconds: i64,
    /// The offset from UTC of the place where that was, in seconds.
    pub offset_seconds: i32,
    /// The author's name.
    pub author: String,
    /// The first line of its message.
    pub subject: String,
}

/// A tag of a commit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tag {
    /// Its name, without `refs/tags/`.
    pub name: String,
    /// The id of the commit, in hexadecimal.
    pub commit: String,
}

impl Repository {
    /// The id of the commit that is checked out; `None` before the first commit.
    ///
    /// # Errors
    /// [`Error::Unreadable`] for a damaged `HEAD`.
    pub fn head(&self) -> Result<Option<String>, Error> {
        let head = self.inner.head().map_err(|error| unreadable("HEAD", &error))?;
        if head.is_unborn() {
            return Ok(None);
        }
        let id = self.inner.head_id().map_err(|error| unreadable("HEAD", &error))?;
        Ok(Some(id.to_string()))
    }

    /// The commit that `revision` names.
    ///
    /// # Errors
    /// [`Error::Revision`], [`Error::Unborn`], [`Error::MissingObject`].
    pub fn describe(&self, revision: &str) -> Result<Commit, Error> {
        let named = self.resolve(revision)?;
        let id = self.commit_of(revision, named)?;
        told(&self.inner, id, self.tagged_at(named))
    }

    /// The id of the commit that `revision` names.
    ///
    /// # Errors
    /// As [`Repository::describe`].
    pub fn commit_named(&self, revision: &str) -> Result<ContentKey, Error> {
        Ok(ContentKey::new(self.commit(revision)?.as_bytes()))
    }

    /// The tags of commits, in order of their names' bytes.
    ///
    /// # Errors
    /// [`Error::Unreadable`] for damaged references.
    pub fn tags(&self) -> Result<Vec<Tag>, Error> {
        let unreadable = |error: gix::Error| unreadable("the tags", &error);
        let references = self.inner.references().map_err(unreadable)?;
        let mut found = Vec::new();
        for reference in references.tags().map_err(unreadable)? {
            let mut reference = reference.map_err(unreadable)?;
            let name = reference.name().shorten().to_str_lossy().into_owned();
            // A tag of a tree or of a lone file, and one whose object is missing, releases nothing.
            let Ok(target) = reference.peel_to_id() else { continue };
            if target.header().is_ok_and(|header| header.kind() == gix::objs::Kind::Commit) {
                found.push(Tag { name, commit: target.to_string() });
            }
        }
        found.sort_by(|one, other| one.name.cmp(&other.name));
        Ok(found)
    }

    /// The id of the commit from which the histories of two revisions parted; `None` where they
    /// have nothing in common.
    ///
    /// # Errors
    /// As [`Repository::describe`].
    pub fn merge_base(&self, one: &str, other: &str) -> Result<Option<String>, Error> {
        let [one_id, other_id] = [self.commit(one)?, self.commit(other)?];
        let base = self.inner.merge_base(one_id, other_id);
        let base = base.map_err(|error| {
            unreadable(&format!("the history of `{one}` and `{other}`"), &error)
        })?;
        Ok(base.map(|id| id.to_string()))
    }

    /// Whether the history of `descendant` holds `ancestor`. A commit holds itself.
    ///
    /// # Errors
    /// As [`Repository::describe`].
    pub fn is_ancestor(&self, ancestor: &str, descendant: &str) -> Result<bool, Error> {
        let wanted = self.commit(ancestor)?.to_string();
        Ok(self.merge_base(ancestor, descendant)?.is_some_and(|base| base == wanted))
    }

    /// The tree that `revision` names, itself or by a commit or tag.
    pub(super) fn tree_of(&self, revision: &str) -> Result<ObjectId, Error> {
        let named = self.resolve(revision)?;
        if named == ObjectId::empty_tree(self.inner.object_hash()) {
            return Ok(named);
        }
        let object = self.object(named)?;
        if object.kind == gix::objs::Kind::Tree {
            return Ok(named);
        }
        let commit = object.peel_to_commit().map_err(|error| self.unresolved(revision, &error))?;
        // Only named, not read: whoever reads it tells which object is missing.
        commit.tree_id().map(gix::Id::detach).map_err(|error| self.unresolved(revision, &error))
    }

    pub(super) fn commit(&self, revision: &str) -> Result<ObjectId, Error> {
        self.commit_of(revision, self.resolve(revision)?)
    }

    fn commit_of(&self, revision: &str, named: ObjectId) -> Result<ObjectId, Error> {
        let commit = self.object(named)?.peel_to_commit();
        commit.map(|commit| commit.id).map_err(|error| self.unresolved(revision, &error))
    }

    pub(super) fn resolve(&self, revision: &str) -> Result<ObjectId, Error> {
        match self.inner.rev_parse_single(revision) {
            Ok(id) => Ok(id.detach()),
            Err(_) if revision == "HEAD" && self.head()?.is_none() => Err(Error::Unborn),
            Err(error) => Err(self.unresolved(revision, &error)),
        }
    }

    pub(super) fn object(&self, id: ObjectId) -> Result<gix::Object<'_>, Error> {
        match self.inner.try_find_object(id) {
            Ok(Some(object)) => Ok(object),
            Ok(None) => Err(missing(&self.inner, &id)),
            Err(error) => Err(super::tree::damaged(id, &error)),
        }
    }

    fn tagged_at(&self, named: ObjectId) -> Option<gix::date::Time> {
        let tag = self.inner.find_tag(named).ok()?;
        let tagger = tag.tagger().ok()??;
        tagger.time().ok()
    }

    fn unresolved(&self, revision: &str, error: &gix::Error) -> Error {
        let shallow = self.inner.is_shallow().unwrap_or(false);
        let said = last_cause(error);
        let detail = match said.contains("could not be found") {
            true => format!("no branch, tag or commit is called so; {}", self.near(revision)),
            false => said,
        };
        Error::Revision { revision: revision.to_owned(), detail, shallow }
    }

    /// Where to look for what `revision` was meant to be.
    fn near(&self, revision: &str) -> String {
        let names = |references: gix::reference::iter::Iter<'_, '_>| -> Vec<String> {
            let names = references.filter_map(|it| Some(it.ok()?.name().shorten().to_string()));
            names.collect()
        };
        let known = self.inner.references().ok().map(|all| {
            let branches = all.local_branches().map(names).unwrap_or_default();
            [branches, all.tags().map(names).unwrap_or_default()].concat()
        });
        let known = known.unwrap_or_default();
        let hint = did_you_mean(revision, known.iter().map(String::as_str));
        hint.unwrap_or_else(|| "`git branch --all` and `git tag` list what there is".to_owned())
    }
}

/// Tells of many commits, one after the other, by the packs that were there at first.
///
/// To shorten an id means to ask every pack, and the library looks on the disk for further packs each
/// time that it has asked the last.
pub struct Teller<'r> {
    repository: &'r gix::Repository,
    settled: gix::Repository,
}

impl Repository {
    /// Who tells of commits of this repository.
    #[must_use]
    pub fn teller(&self) -> Teller<'_> {
        let mut settled = self.inner.clone();
        settled.objects.refresh_never();
        Teller { repository: &self.inner, settled }
    }
}

impl Teller<'_> {
    /// The commit with the id of `passed`, as a screen names it.
    ///
    /// # Errors
    /// [`Error::MissingObject`], [`Error::Unreadable`].
    pub fn tell(&self, passed: &Passed) -> Result<Commit, Error> {
        let id = object_id(passed.id)?;
        // What is not found may have been packed anew since.
        told(&self.settled, id, None).or_else(|_| told(self.repository, id, None))
    }
}

/// The commit `id`; as if made at `tagged_at` where that is given.
fn told(
    repository: &gix::Repository,
    id: ObjectId,
    tagged_at: Option<gix::date::Time>,
) -> Result<Commit, Error> {
    let unreadable =
        |error: &(dyn std::error::Error + 'static)| unreadable(&format!("commit {id}"), error);
    let commit = repository.find_commit(id).map_err(|error| unreadable(&error))?;
    let held = commit.decode().map_err(|error| unreadable(&error))?;
    let time = match tagged_at {
        Some(time) => time,
        None => held.time().map_err(|error| unreadable(&error))?,
    };
    let author = held.author().map_err(|error| unreadable(&error))?;
    Ok(Commit {
        id: id.to_string(),
        short_id: commit.short_id().map_err(|error| unreadable(&error))?.to_string(),
        seconds: time.seconds,
        offset_seconds: time.offset,
        author: author.trim().name.to_str_lossy().into_owned(),
        subject: held.message.lines().next().unwrap_or_default().trim().to_str_lossy().into_owned(),
    })
}
