//! A state of the design that is compared, and the parts of two of them.

use std::collections::BTreeMap;

use crate::design::{Design, PartIx};
use crate::facet::{self, Facet, Facets};
use crate::record::Id;
use crate::verdict::Assessed;

/// An assessed design.
pub(super) struct State<'a> {
    pub(super) assessed: &'a Assessed,
    pub(super) design: &'a Design,
}

impl<'a> State<'a> {
    pub(super) fn of(assessed: &'a Assessed) -> Self {
        let design = &*assessed.design;
        Self { assessed, design }
    }

    /// The facets of `part`.
    fn facets(&self, part: PartIx) -> &Facets {
        self.assessed.standings.facets().of(self.design, part)
    }

    /// The facets in which the part `id` differs from the one of `other`, where both have it.
    pub(super) fn changed(&self, other: &Self, id: &Id) -> Option<Vec<Facet>> {
        let (mine, theirs) = (self.design.part(id.as_str())?, other.design.part(id.as_str())?);
        if facet::is_surely_same((self.design, mine), (other.design, theirs)) {
            return Some(Vec::new());
        }
        Some(self.facets(mine).changed(other.facets(theirs)))
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

/// The parts of both states in the order of ids, but for those whose records and files are the same.
pub(super) fn pairs<'a>(before: Option<&'a State<'_>>, after: &'a State<'_>) -> Vec<PartPair<'a>> {
    let pair = |(id, was, is): Places<'a>| {
        let was = before.zip(was);
        if let (Some((before, was)), Some(is)) = (was, is)
            && facet::is_surely_same((before.design, was), (after.design, is))
        {
            return None;
        }
        let (was, is) =
            (was.map(|(before, was)| before.facets(was)), is.map(|is| after.facets(is)));
        Some(PartPair { id, before: was, after: is })
    };
    let was = before.map(|before| before.design);
    if let Some(was) = was.filter(|was| facet::stands_on_the_same(was, after.design)) {
        let pair = |part: PartIx| pair((after.design.id(part), Some(part), Some(part)));
        return after.design.parts_apart(was).filter_map(pair).collect();
    }
    places(was, after.design).into_iter().filter_map(pair).collect()
}

/// A part by its id, and its places in two states.
type Places<'a> = (&'a Id, Option<PartIx>, Option<PartIx>);

fn places<'a>(before: Option<&'a Design>, after: &'a Design) -> Vec<Places<'a>> {
    let mut places: BTreeMap<&Id, (Option<PartIx>, Option<PartIx>)> = BTreeMap::new();
    if let Some(before) = before {
        places.extend(before.part_indices().map(|part| (before.id(part), (Some(part), None))));
    }
    for part in after.part_indices() {
        places.entry(after.id(part)).or_default().1 = Some(part);
    }
    places.into_iter().map(|(id, (was, is))| (id, was, is)).collect()
}
