//! A design at two states, wherever its manifest lies in the earlier one.

use std::collections::BTreeMap;

use super::manifests::{find_manifest, manifests};
use super::{Failure, Loader, Manner, State, World};
use crate::fileset::{Entry, RepoPath};
use crate::git::{At, Snapshot};
use crate::record::Id;

impl Loader<'_> {
    /// The design that `manner` means at two states; it is new where the earlier one has none.
    ///
    /// # Errors
    /// As [`Loader::state`], of the later state.
    pub fn both(
        &mut self,
        (from, to): (Option<&At>, &At),
        manner: &Manner,
        world: &World,
    ) -> Result<(Option<State>, State), Failure> {
        let is = self.state(to, manner, world)?;
        let Some(from) = from else { return Ok((None, is)) };
        let mut snapshot = self.repository.snapshot(from)?;
        let wanted = manner.design.as_deref();
        let manifest = find_manifest(snapshot.entries(), self.repository.prefix(), wanted).ok();
        let manifest = match (manifest, &is.linked.design) {
            (None, Some(design)) => {
                let after = (&*is.files.entries, &design.manifest_path, &design.name);
                self.former(&mut snapshot, after)?
            }
            (manifest, _) => manifest,
        };
        let was = manifest.map(|path| self.design(&mut snapshot, &path, from, world));
        Ok((was.transpose()?, is))
    }

    /// Where the manifest of a design lay in a state before it was moved to where it is in the state
    /// after: one that is gone there and has the same content, else one that is of the same name.
    pub(super) fn former(
        &mut self,
        before: &mut Snapshot<'_>,
        (after, manifest, name): (&BTreeMap<RepoPath, Entry>, &RepoPath, &Id),
    ) -> Result<Option<RepoPath>, Failure> {
        let entries = before.shared_entries();
        if entries.contains_key(manifest) {
            return Ok(None);
        }
        let mut gone = manifests(&entries);
        gone.retain(|path| !after.contains_key(path));
        let now = after.get(manifest).map(|entry| entry.key);
        let is_same = |path: &&RepoPath| entries.get(*path).map(|entry| entry.key) == now;
        if let Some(same) = gone.iter().find(is_same) {
            return Ok(Some(same.clone()));
        }
        for path in gone {
            let rules = self.rules(before, &path)?;
            if rules.design.name.as_ref().is_some_and(|known| known.value == *name) {
                return Ok(Some(path));
            }
        }
        Ok(None)
    }
}
