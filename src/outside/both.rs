//! A design at two states, wherever its manifest lies in the earlier one.

use super::manifests::find_manifest;
use super::{Failure, Loader, Manner, State, World};
use crate::git::At;

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
                let mut after = self.repository.snapshot(to)?;
                self.former(&mut snapshot, &mut after, &design.manifest_path)?
            }
            (manifest, _) => manifest,
        };
        let was = manifest.map(|path| self.design(&mut snapshot, &path, from, world));
        Ok((was.transpose()?, is))
    }
}
