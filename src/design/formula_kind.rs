//! What a formula comes to.

use super::findings::Findings;
use super::link::formula_kinds;
use super::{Design, PartIx};
use crate::quantity::Kind;
use crate::record::Id;

impl Design {
    /// The kind of quantity that a formula of a part comes to; `None` where the part has none of that
    /// name. It is worked out anew.
    #[must_use]
    pub fn kind_of_formula(&self, part: PartIx, name: &Id) -> Option<Kind> {
        let is_there = self.record(part).formulas.iter().any(|(known, _)| known.value == *name);
        let kinds = is_there.then(|| formula_kinds(self, &mut Findings::default()))?;
        kinds.get(&(part, name.clone())).copied()
    }
}
