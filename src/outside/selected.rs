//! Which record files a manifest selects, looked for once where two states have the same paths.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{Failure, Loader};
use crate::design::{self, Selection};
use crate::fileset::{Entry, RepoPath};
use crate::git::Snapshot;
use crate::record::Manifest;

/// What was selected last, and from what.
pub(super) struct Selected {
    manifest: RepoPath,
    rules: Arc<Manifest>,
    entries: Arc<BTreeMap<RepoPath, Entry>>,
    selection: Arc<Selection>,
}

impl Loader<'_> {
    /// The record files that the manifest selects.
    pub(super) fn selection(
        &mut self,
        snapshot: &mut Snapshot<'_>,
        manifest: &RepoPath,
    ) -> Result<Arc<Selection>, Failure> {
        let rules = self.rules(snapshot, manifest)?;
        let entries = snapshot.shared_entries();
        let known = self.selected.as_ref();
        if let Some(known) = known.filter(|known| known.is_of(manifest, &rules, &entries)) {
            return Ok(Arc::clone(&known.selection));
        }
        let selection = Arc::new(design::select(&rules, manifest, &entries));
        let manifest = manifest.clone();
        self.selected =
            Some(Selected { manifest, rules, entries, selection: Arc::clone(&selection) });
        Ok(selection)
    }
}

impl Selected {
    /// Whether the same manifest selects among the same paths, whatever lies there.
    fn is_of(
        &self,
        manifest: &RepoPath,
        rules: &Arc<Manifest>,
        entries: &BTreeMap<RepoPath, Entry>,
    ) -> bool {
        let paths = |entries| {
            BTreeMap::iter(entries).map(|(path, entry): (&RepoPath, &Entry)| (path, entry.mode))
        };
        self.manifest == *manifest
            && Arc::ptr_eq(&self.rules, rules)
            && paths(&*self.entries).eq(paths(entries))
    }
}
