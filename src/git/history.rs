//! What references name, and what lies between revisions.

use gix::revision::walk::Sorting;

use super::error::{Error, unreadable};
use super::repository::Repository;

impl Repository {
    /// The id of what the reference `name` (`refs/tags/v1.0.0`) names directly; `None` where it is not
    /// there, or names another reference.
    ///
    /// # Errors
    /// [`Error::Unreadable`] for damaged references.
    pub fn reference(&self, name: &str) -> Result<Option<String>, Error> {
        let found = self.inner.try_find_reference(name);
        let found = found.map_err(|error| unreadable(&format!("the reference {name}"), &error))?;
        Ok(found.and_then(|reference| Some(reference.target().try_id()?.to_string())))
    }

    /// The commit that the object `id` is, or that the tag `id` leads to; `None` where it leads to
    /// something else.
    ///
    /// # Errors
    /// [`Error::MissingObject`], [`Error::DamagedObject`].
    pub fn commit_behind(&self, id: &str) -> Result<Option<String>, Error> {
        let object = self.object(self.resolve(id)?)?;
        let what = || format!("object {id}");
        let peeled = object.peel_tags_to_end().map_err(|error| unreadable(&what(), &error))?;
        Ok((peeled.kind == gix::objs::Kind::Commit).then(|| peeled.id.to_string()))
    }

    /// The ids of the branches as they are known of other repositories (`refs/remotes/`).
    ///
    /// # Errors
    /// [`Error::Unreadable`] for damaged references.
    pub fn remote_tips(&self) -> Result<Vec<String>, Error> {
        let unreadable = |error: gix::Error| unreadable("the branches of remotes", &error);
        let references = self.inner.references().map_err(unreadable)?;
        let branches = references.remote_branches().map_err(unreadable)?;
        Ok(branches
            .filter_map(|branch| Some(branch.ok()?.target().try_id()?.to_string()))
            .collect())
    }

    /// Whether the history of one of `tips` holds the commit `wanted`. A tip that is not there holds
    /// nothing.
    ///
    /// # Errors
    /// [`Error::Unreadable`] for history that can't be walked.
    pub fn is_reached(&self, wanted: &str, tips: &[String]) -> Result<bool, Error> {
        let wanted = self.resolve(wanted)?;
        let commit = |tip: &String| self.commit_behind(tip).ok().flatten();
        let tips: Vec<gix::ObjectId> =
            tips.iter().filter_map(commit).filter_map(|tip| self.resolve(&tip).ok()).collect();
        if tips.is_empty() {
            return Ok(false);
        }
        let walk = self.inner.rev_walk(tips).all();
        let mut walk = walk.map_err(|error| unreadable("the history of remotes", &error))?;
        Ok(walk.any(|commit| commit.is_ok_and(|commit| commit.id == wanted)))
    }

    /// The first `most` commits that the history of `new` holds and that of `old` does not, newest
    /// first.
    ///
    /// # Errors
    /// [`Error::Unreadable`] for history that can't be walked.
    pub fn commits_since(
        &self,
        old: Option<&str>,
        new: &str,
        most: usize,
    ) -> Result<Vec<String>, Error> {
        let unreadable = |error: gix::Error| unreadable(&format!("the history of {new}"), &error);
        let hidden = old.map(|old| self.resolve(old)).transpose()?;
        let walk = self
            .inner
            .rev_walk([self.resolve(new)?])
            .sorting(Sorting::ByCommitTime(Default::default()))
            .with_hidden(hidden)
            .all()
            .map_err(unreadable)?;
        walk.take(most).map(|commit| Ok(commit.map_err(unreadable)?.id.to_string())).collect()
    }

    /// The first parent of a commit; `None` for the first commit, and where the history was cut off.
    ///
    /// # Errors
    /// [`Error::Revision`], [`Error::MissingObject`], [`Error::Unreadable`].
    pub fn parent(&self, revision: &str) -> Result<Option<String>, Error> {
        let id = self.commit(revision)?;
        let unreadable = |error: gix::Error| unreadable(&format!("commit {id}"), &error);
        let commit = self.inner.find_commit(id).map_err(unreadable)?;
        let parent = commit.parent_ids().next().map(gix::Id::detach);
        let is_there = |parent: &gix::ObjectId| self.inner.has_object(parent);
        Ok(parent.filter(is_there).map(|parent| parent.to_string()))
    }
}
