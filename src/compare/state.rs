//! A state of the design that is compared, and the parts of two of them.

use std::collections::BTreeMap;

use crate::design::Design;
use crate::facet::{self, Facet, Facets, Table};
use crate::record::Id;
use crate::verdict::Assessed;

/// An assessed design with the facets of its parts.
pub(super) struct State<'a> {
    pub(super) assessed: &'a Assessed,
    pub(super) design: &'a Design,
    facets: Table,
}

impl<'a> State<'a> {
    pub(super) fn of(assessed: &'a Assessed) -> Self {
        let design = &*assessed.design;
        Self { assessed, design, facets: facet::table(design) }
    }

    /// The facets of the part `id`, where it is there.
    pub(super) fn facets(&self, id: &Id) -> Option<&Facets> {
        Some(self.facets.of(self.design.part(id.as_str())?))
    }
}

/// A part in two states, or in one of them.
pub(super) struct PartPair<'a> {
    pub(super) id: &'a Id,
    pub(super) before: Option<&'a Facets>,
    pub(super) after: Option<&'a Facets>,
}

impl PartPair<'_> {
    /// The facets in which a part that is in both states differs.
    pub(super) fn changed(&self) -> Option<Vec<Facet>> {
        Some(self.before?.changed(self.after?))
    }
}

/// The parts of both states, in the order of ids.
pub(super) fn pairs<'a>(before: Option<&'a State<'_>>, after: &'a State<'_>) -> Vec<PartPair<'a>> {
    let mut pairs: BTreeMap<&Id, PartPair<'a>> = BTreeMap::new();
    for state in before.into_iter().chain([after]) {
        for part in state.design.part_indices() {
            let id = state.design.id(part);
            let (before, after) = (before.and_then(|state| state.facets(id)), after.facets(id));
            pairs.insert(id, PartPair { id, before, after });
        }
    }
    pairs.into_values().collect()
}
