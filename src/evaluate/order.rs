//! An order for a number of builds: what it consumes.

use std::ops::Range;

use rust_decimal::Decimal;

use super::known::{ByDensity, is_assembly};
use super::whole::{Build, Context};
use crate::design::PartIx;
use crate::quantity::{Basis, Dimension};
use crate::record::{Id, Origin};

/// An order for a number of builds.
pub(super) struct Order<'a> {
    pub(super) context: &'a Context<'a>,
    pub(super) build: Build<'a>,
    pub(super) builds: Decimal,
}

/// What an order consumes of one part.
pub(super) struct Need {
    pub(super) part: PartIx,
    /// How much of it one build holds.
    pub(super) multiplicity: Decimal,
    /// Pieces, or the extent in base units, waste and spares included.
    pub(super) consumed: Decimal,
}

/// What the consumption of one part costs, for the whole order.
pub(super) struct Cost {
    pub(super) amount: Decimal,
    pub(super) u: f64,
    pub(super) basis: Basis,
    pub(super) uncertain: bool,
    /// What of `u` it shares with others of the same material.
    pub(super) density: Option<ByDensity>,
    pub(super) supplier: Option<Id>,
    /// Whether a machine's time is left out because it is not known.
    pub(super) lacks_machine_time: bool,
}

impl Order<'_> {
    /// What has to be bought or made, in the order of parts; `None` beyond what a decimal holds.
    /// Programs cost nothing.
    pub(super) fn needs(&self) -> impl Iterator<Item = (PartIx, Option<Need>)> {
        self.needs_at(0..self.context.design.parts.len())
    }

    /// The same of the parts that stand at `places`.
    pub(super) fn needs_at(
        &self,
        places: Range<usize>,
    ) -> impl Iterator<Item = (PartIx, Option<Need>)> {
        let parts = self.build.parts_at(self.context.design, places);
        parts.filter(|part| self.costs_something(*part)).map(|part| (part, self.need(part)))
    }

    /// The same of those that the build holds of some parts.
    pub(super) fn needs_of(
        &self,
        parts: &[PartIx],
    ) -> impl Iterator<Item = (PartIx, Option<Need>)> {
        let held = parts.iter().copied().filter(|part| self.build.counts.holds(*part));
        held.filter(|part| self.costs_something(*part)).map(|part| (part, self.need(part)))
    }

    pub(super) fn costs_something(&self, part: PartIx) -> bool {
        let design = self.context.design;
        !is_assembly(design, part) && design.record(part).origin.value != Origin::Firmware
    }

    /// What the order consumes of a part; `None` beyond what a decimal holds.
    pub(super) fn need(&self, part: PartIx) -> Option<Need> {
        let multiplicity = self.build.counts.of(part)?;
        self.need_of(part, multiplicity, self.builds.checked_mul(multiplicity)?, true)
    }

    /// What is consumed of a part to have `amount` of it, of which one build holds `multiplicity`.
    pub(super) fn need_of(
        &self,
        part: PartIx,
        multiplicity: Decimal,
        amount: Decimal,
        with_spares: bool,
    ) -> Option<Need> {
        let consumption = &self.context.design.record(part).consumption;
        let waste = consumption.waste.as_ref().map_or(Decimal::ZERO, |waste| waste.value);
        let is_by_piece = self.context.amounts_of(part) == Dimension::NONE;
        let spare = consumption.spare.as_ref().filter(|_| is_by_piece && with_spares);
        let consumed = amount
            .checked_mul(Decimal::ONE.checked_add(waste)?)?
            .checked_add(spare.map_or(0, |spare| spare.value).into())?;
        Some(Need { part, multiplicity, consumed })
    }
}
