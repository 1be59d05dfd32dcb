//! Figures that were measured of whole parts, and stand in for everything beneath them.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::known::{Known, Measured, grown, measured_allowance};
use super::number::Number;
use super::term::Term;
use crate::design::{Design, PartIx};
use crate::quantity::Basis;
use crate::record::Id;

/// By quantity and part: what was measured of the part as it is, with all that it holds.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct StandIns(BTreeMap<Id, BTreeMap<PartIx, StandIn>>);

/// The results of one part: the worse one counts, which is the larger against an upper limit and the
/// smaller against a lower one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct StandIn {
    least: Measured,
    most: Measured,
}

impl StandIns {
    /// Adds a result.
    pub fn add(&mut self, part: PartIx, quantity: &Id, measured: Measured) {
        let of_quantity = self.0.entry(quantity.clone()).or_default();
        let known = of_quantity.entry(part).or_insert(StandIn { least: measured, most: measured });
        if measured.value() < known.least.value() {
            known.least = measured;
        }
        if measured.value() > known.most.value() {
            known.most = measured;
        }
    }

    /// What stands in for the quantity, by part; nothing where nothing does.
    pub(super) fn of(&self, quantity: &Id) -> Option<&BTreeMap<PartIx, StandIn>> {
        self.0.get(quantity)
    }
}

impl StandIn {
    /// What was measured, without any allowance.
    pub(super) fn known(&self) -> Known {
        let Measured { value, u, uncertain } = self.least;
        Known { value, u, basis: Basis::Measured, uncertain, density: None }
    }

    /// What `multiplicity` of the part come to, each of which weighs `count` times; with the
    /// allowance of a measured figure, since the seal says of which state it is.
    pub(super) fn term(
        &self,
        design: &Design,
        (part, quantity): (PartIx, &Id),
        multiplicity: Decimal,
        count: Number,
    ) -> Term {
        let allowance = measured_allowance(design, quantity);
        Term {
            part,
            multiplicity,
            each: self.most.value,
            basic: self.least.value.times(count),
            predicted: grown(allowance, self.most.value.times(count), count),
            u: self.least.u.max(self.most.u) * count.to_f64(),
            basis: Basis::Measured,
            uncertain: self.least.uncertain && self.most.uncertain,
            density: None,
        }
    }
}
