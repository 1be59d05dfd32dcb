//! Two states of a design, and what moved the figures of their parts.

use super::ground::{self, Ground};
use super::state::{State, pairs};
use crate::design::Source;
use crate::evaluate::multiplicities;
use crate::facet::Facet;
use crate::record::Id;

/// Two states of a design.
pub(super) struct Sides<'a> {
    pub(super) before: &'a State<'a>,
    pub(super) after: &'a State<'a>,
    ground: Ground,
    /// Whether anything of the thing itself, its prices, rails or work is another.
    design_changed: bool,
}

/// What made a part's figure another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mover {
    /// A rule of the manifest.
    Rule,
    /// What is known of the part.
    Knowledge,
    /// The part itself, what it costs, or whether it is there.
    Design,
}

impl<'a> Sides<'a> {
    pub(super) fn of(before: &'a State<'a>, after: &'a State<'a>) -> Self {
        let ground = Ground::between(before.design, after.design);
        let is_of_design = |facet: &Facet| facet.is_physical() || *facet == Facet::Offers;
        let parts_changed = pairs(Some(before), after)
            .iter()
            .any(|pair| pair.changed().is_none_or(|changed| changed.iter().any(is_of_design)));
        let design_changed =
            parts_changed || ground.prices_changed || ground.rails_changed || ground.work_changed;
        Self { before, after, ground, design_changed }
    }

    /// What made the figure of `part` another, in a budget whose values come from `source`.
    pub(super) fn mover(&self, part: &Id, source: Source) -> Mover {
        let Some(changed) = self.changed(part) else { return Mover::Design };
        let is_money = matches!(source, Source::Cost | Source::OrderCost);
        let is_thing = |facet: &Facet| facet.is_physical() || (is_money && *facet == Facet::Offers);
        if source == Source::Counted
            || changed.iter().any(is_thing)
            || (is_money && self.ground.prices_changed)
        {
            return Mover::Design;
        }
        if changed.contains(&Facet::Figures) {
            return Mover::Knowledge;
        }
        if self.ground.rules_changed {
            return Mover::Rule;
        }
        // The part's record is the same: something else moved its figure, such as a rail, a step,
        // or a price break that other parts reached.
        if self.design_changed { Mover::Design } else { Mover::Knowledge }
    }

    /// Whether the manifest reckons otherwise now.
    pub(super) fn rules_changed(&self) -> bool {
        self.ground.rules_changed
    }

    /// The facets in which a part that is in both states differs.
    fn changed(&self, part: &Id) -> Option<Vec<Facet>> {
        self.before.changed(self.after, part)
    }

    /// Whether the part itself is another thing now, came or went.
    pub(super) fn is_other(&self, part: &Id) -> bool {
        self.changed(part).is_none_or(|changed| changed.into_iter().any(Facet::is_physical))
    }

    /// Whether a node is another thing now, which its heat paths alone tell.
    pub(super) fn is_other_node(&self, id: &Id) -> bool {
        ground::is_another_node(self.before.design, self.after.design, id)
    }

    /// Whether rails, or what they carry, are others.
    pub(super) fn rails_changed(&self) -> bool {
        self.ground.rails_changed
    }

    /// Whether the thing that `part` is, or anything that it holds, is another.
    pub(super) fn is_another_thing(&self, part: &Id) -> bool {
        [self.before, self.after].into_iter().any(|state| {
            let Some(root) = state.design.part(part.as_str()) else { return true };
            let held = multiplicities(state.design, root, true);
            let mut parts = state.design.part_indices().filter(|part| held.holds(*part));
            parts.any(|part| self.is_other(state.design.id(part)))
        })
    }
}
