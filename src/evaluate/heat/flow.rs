//! The heat that comes into being in parts: their own figures, and the losses of rails.

use std::collections::BTreeMap;

use super::super::known::{allowance, grown, is_assembly};
use super::super::multiplicity::Multiplicities;
use super::super::number::Number;
use super::super::rails::Loss;
use super::super::trace::{Source, Traced};
use super::super::whole::Context;
use crate::design::{Design, PartIx};
use crate::quantity::Basis;
use crate::record::Id;

/// The conditions that are against the designer at one end of the temperatures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Extreme {
    /// The highest ambient and the predicted heat, for at-most limits.
    Hot,
    /// The lowest ambient and the basic heat, for at-least limits.
    Cold,
}

impl Extreme {
    /// The ambient temperature in K, where the manifest gives one.
    #[must_use]
    pub fn ambient_k(self, design: &Design) -> Option<f64> {
        let ambient = &design.manifest.ambient;
        let limit = match self {
            Self::Hot => &ambient.high,
            Self::Cold => &ambient.low,
        };
        limit.as_ref().map(|limit| limit.base)
    }
}

/// The heat in each part of which `counts` holds any, all pieces together, in W: the `heat` of parts
/// that hold no others, and the `losses` of rails. The growth allowance of heat is on both; a loss is
/// known as well as the least known current that causes it.
pub(in crate::evaluate) fn heats(
    context: &Context<'_>,
    counts: &Multiplicities,
    losses: &[Loss],
    extreme: Extreme,
) -> BTreeMap<PartIx, Traced> {
    let design = context.design;
    let leaves = design.part_indices().filter(|part| !is_assembly(design, *part));
    let own = leaves.filter_map(|part| Some((part, own_heat(context, counts, part, extreme)?)));
    let lost = losses.iter().filter(|loss| counts.holds(loss.made_in)).map(|loss| {
        let heat = loss.heat.clone();
        (loss.made_in, with_growth(design, loss.made_in, heat, loss.basis, 1.0, extreme))
    });
    let mut heats: BTreeMap<PartIx, Traced> = BTreeMap::new();
    for (part, heat) in own.chain(lost) {
        let sum = heats.remove(&part).unwrap_or_default();
        heats.insert(part, sum.plus(&heat));
    }
    heats
}

fn own_heat(
    context: &Context<'_>,
    counts: &Multiplicities,
    part: PartIx,
    extreme: Extreme,
) -> Option<Traced> {
    let name = Id::from("heat");
    let count = Number::Exact(counts.of(part)?).to_f64();
    let known = context.figure_of(part, &name)?;
    // What a formula gives brings the figures along that it follows from.
    let derived = context.derived.traced(part, &name).cloned();
    let stated = || Traced::figure(Source::Part { part, name }, known.value.to_f64(), known.u);
    let all = derived.unwrap_or_else(stated).scaled(count);
    (count > 0.0).then(|| with_growth(context.design, part, all, known.basis, count, extreme))
}

/// The heat with its growth allowance, where that is against the designer. As in budgets, the
/// uncertainty is that of the figure.
fn with_growth(
    design: &Design,
    part: PartIx,
    heat: Traced,
    basis: Basis,
    count: f64,
    extreme: Extreme,
) -> Traced {
    let allowance = match extreme {
        Extreme::Hot => allowance(design, part, &Id::from("heat"), basis),
        Extreme::Cold => None,
    };
    let value = grown(allowance, Number::Float(heat.value), Number::Float(count)).to_f64();
    Traced { value, ..heat }
}
