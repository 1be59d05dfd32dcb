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
        self.compares_seals = true;
        let mut after = self.repository.snapshot(to)?;
        let wanted = manner.design.as_deref();
        let manifest = find_manifest(after.entries(), self.repository.prefix(), wanted)?;
        let is = self.design(&mut after, &manifest, to, world)?;
        let Some(from) = from else { return Ok((None, is)) };
        let mut before = self.repository.snapshot(from)?;
        let was = match before.entries().contains_key(&manifest) {
            true => Some(manifest),
            false => self.former(&mut before, &mut after, &manifest)?,
        };
        let was = was.map(|path| self.design(&mut before, &path, from, world));
        Ok((was.transpose()?, is))
    }
}
