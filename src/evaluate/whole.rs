//! One whole whose budgets are asked for, with what the computations of all budgets share.

use super::derived::{self, Derived};
use super::known::{self, Known};
use super::multiplicity::{Multiplicities, multiplicities_down_to};
use super::plan::Plan;
use super::stand_ins::StandIns;
use crate::design::{Design, PartIx};
use crate::quantity::Dimension;
use crate::record::Id;

/// What every budget of a design needs.
pub(super) struct Context<'a> {
    pub(super) design: &'a Design,
    /// By part: what it comes in; [`Dimension::NONE`] is pieces.
    pub(super) amounts: Vec<Dimension>,
    pub(super) plan: Plan<'a>,
    pub(super) stand_ins: &'a StandIns,
    /// What formulas give that bear the name of a quantity.
    pub(super) derived: Derived,
}

impl<'a> Context<'a> {
    pub(super) fn of(design: &'a Design, stand_ins: &'a StandIns) -> Self {
        let mut amounts = vec![Dimension::NONE; design.parts.len()];
        for link in design.links.iter().flatten() {
            amounts[link.child.index()] = link.dimension;
        }
        let plan = Plan::of(design);
        let mut context = Self { design, amounts, plan, stand_ins, derived: Derived::default() };
        derived::fill(&mut context);
        context
    }

    /// What the part itself says of the quantity, or a formula of it, or what follows from what it
    /// draws and is.
    pub(super) fn figure_of(&self, part: PartIx, quantity: &Id) -> Option<Known> {
        if derived::has_formula(self.design, part, quantity) {
            return self.derived.known(part, quantity);
        }
        known::of_part(self.design, part, quantity, self.amounts_of(part))
    }

    pub(super) fn amounts_of(&self, part: PartIx) -> Dimension {
        self.amounts[part.index()]
    }
}

/// A part with everything beneath it.
pub(super) struct Whole {
    pub(super) part: PartIx,
    /// Without optional parts.
    pub(super) base: Multiplicities,
    /// With all of them, where there are any.
    pub(super) with_options: Option<Multiplicities>,
}

impl Whole {
    pub(super) fn of(design: &Design, part: PartIx) -> Self {
        Self::down_to(design, part, |_| false)
    }

    /// The same without what only parts hold that `is_closed`.
    pub(super) fn down_to(
        design: &Design,
        part: PartIx,
        is_closed: impl Fn(PartIx) -> bool,
    ) -> Self {
        let base = multiplicities_down_to(design, part, false, &is_closed);
        let with = multiplicities_down_to(design, part, true, &is_closed);
        Self { part, with_options: (with != base).then_some(with), base }
    }

    /// Without optional parts, or with all of them.
    pub(super) fn build(&self, with_options: bool) -> Build<'_> {
        let with = self.with_options.as_ref().filter(|_| with_options);
        Build { root: self.part, counts: with.unwrap_or(&self.base), with_options }
    }
}

/// A whole without its optional parts, or with all of them.
#[derive(Clone, Copy)]
pub(super) struct Build<'a> {
    pub(super) root: PartIx,
    pub(super) counts: &'a Multiplicities,
    pub(super) with_options: bool,
}

impl<'a> Build<'a> {
    /// Every part of it, in the order of parts.
    pub(super) fn parts(self, design: &Design) -> impl Iterator<Item = PartIx> + use<'a> {
        design.part_indices().filter(move |part| self.counts.holds(*part))
    }
}
