//! Figures that follow from others by more than a roll-up: formulas, drawn and set values,
//! temperatures by heat paths, currents of rails.

mod compute;
mod trials;
mod why;
#[cfg(test)]
mod tests;

use std::collections::BTreeSet;

use super::centre::{self, Moment, NoCentre};
use super::chain::Worst;
use super::formula::{Undefined, Unresolved};
use super::heat::Extreme;
use super::multiplicity::multiplicities;
use super::rails::{self, Currents, Rated};
use super::trace::Traced;
use crate::design::{Design, PartIx};
use crate::record::{HeatPath, Id, Requirement, Setting};

pub(super) use compute::Computer;

/// What the figure of a rail is called.
pub const PEAK_CURRENT: &str = "peak-current";

/// What a computed figure is asked of.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Aim {
    /// A formula, dimension or setting of a part, its temperature by heat paths, or its centre of
    /// mass along an axis.
    Part(PartIx, Id),
    /// The peak current of a rail.
    Rail(Id),
}

impl Aim {
    /// The computed figure that a requirement is about, where it is about one.
    #[must_use]
    pub fn of(design: &Design, requirement: &Requirement) -> Option<Self> {
        if let Some(rail) = &requirement.rail {
            return Some(Self::Rail(rail.value.clone()));
        }
        let part = design.part(requirement.part.as_ref()?.as_str())?;
        Self::of_part(design, part, &requirement.quantity.as_ref()?.value)
    }

    /// The computed figure that the quantity of a part is, where it is one.
    #[must_use]
    pub fn of_part(design: &Design, part: PartIx, quantity: &Id) -> Option<Self> {
        let is_computed = is_stated_so(design, part, quantity)
            || centre::axis_of(quantity).is_some()
            || (quantity.as_str() == TEMPERATURE && has_network(design, part));
        is_computed.then(|| Self::Part(part, quantity.clone()))
    }
}

/// The quantity that follows from heat paths.
const TEMPERATURE: &str = "temperature";

/// A computed figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Computed {
    /// The figure under each set of conditions that makes a difference: the warm end before the cold
    /// one, and without optional parts before with all of them.
    pub ends: Vec<End>,
}

/// By which computation a figure comes about.
#[derive(Clone, Debug, PartialEq)]
pub enum By {
    /// A formula, or a drawn or set value by itself.
    Formula,
    /// Heat paths.
    HeatPaths,
    /// The loads of a rail; with its rating, where it has one.
    Loads(Box<(Currents, Option<Rated>)>),
    /// Masses in their places.
    Moments(Vec<Moment>),
}

/// A figure under one set of conditions.
#[derive(Clone, Debug, PartialEq)]
pub struct End {
    /// By which computation.
    pub by: By,
    /// The conditions, where they matter.
    pub extreme: Option<Extreme>,
    /// Whether all optional parts are in.
    pub with_options: bool,
    /// The value to first order, with its slopes.
    pub value: Traced,
    /// All that it can come to within the limits of its inputs, of a formula; or why that is not
    /// known.
    pub worst: Option<Result<Worst, Undefined>>,
}

/// Why a figure is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Uncomputed {
    /// The formula has no value.
    Undefined(Undefined),
    /// The formula needs something that is not known.
    Unresolved(Unresolved),
    /// The manifest gives no ambient temperature.
    NoAmbient,
    /// What is wrong with the heat paths reaches the part, or the product does not hold it.
    NoTemperature(PartIx),
    /// The power tree is wrong.
    Rails(rails::Fault),
    /// The rail is derated by a temperature that is not known.
    NoDerating,
    /// What has a mass has no place.
    NoCentre(NoCentre),
}

/// Whether the quantity is a formula, a dimension or a setting of the part.
fn is_stated_so(design: &Design, part: PartIx, quantity: &Id) -> bool {
    let record = design.record(part);
    if record.formulas.iter().any(|(name, _)| name.value == *quantity) {
        return true;
    }
    let is_drawn = || record.dimensions.iter().any(|(name, _)| name.value == *quantity);
    let is_measure = |setting: &Setting| matches!(setting, Setting::Measure(_));
    let is_set = || {
        let mut set = record.settings.iter();
        set.any(|(name, setting)| name.value == *quantity && is_measure(&setting.value))
    };
    !design.quantities.contains_key(quantity) && (is_drawn() || is_set())
}

/// Whether the part, or one that it holds, is on a heat path.
fn has_network(design: &Design, part: PartIx) -> bool {
    let on_paths = on_paths(design);
    let held = multiplicities(design, part, true);
    on_paths.into_iter().any(|part| held.holds(part))
}

/// The parts at which a heat path begins or ends.
fn on_paths(design: &Design) -> BTreeSet<PartIx> {
    let ends = |paths: &[HeatPath]| -> Vec<PartIx> {
        paths.iter().filter_map(|path| design.part(path.to.as_str())).collect()
    };
    let mut parts: BTreeSet<PartIx> = BTreeSet::new();
    for part in design.part_indices() {
        let paths = &design.record(part).heat_paths;
        parts.extend(ends(paths));
        parts.extend((!paths.is_empty()).then_some(part));
    }
    parts.extend(design.nodes.iter().flat_map(|node| ends(&node.heat_paths)));
    parts
}

/// Whether anything in the design leads heat or feeds current.
pub(super) fn has_steady_state(design: &Design) -> bool {
    !design.rails.is_empty() || !design.nodes.is_empty() || !design.with_heat_paths.is_empty()
}
