//! What feeds the power tree: mean power, and how long a cell lasts.

use std::collections::BTreeMap;

use super::super::known;
use super::super::multiplicity::Multiplicities;
use super::super::number::Number;
use super::super::trace::{Source, Traced};
use super::{Currents, FedBy, Rail, Tree};
use crate::design::{Design, PartIx};
use crate::quantity::Dimension;
use crate::record::Id;

/// What one part, or the world outside, feeds into the power tree.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// The part; `None` for all that is fed from outside.
    pub part: Option<PartIx>,
    /// Over a working cycle, in W.
    pub power: Traced,
    /// What it holds, where it says its capacity.
    pub cell: Option<Result<Cell, NoEnergy>>,
}

/// A part that holds energy.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// In J, all of its pieces together.
    pub energy: Traced,
    /// How long that lasts at the mean power, in s; `None` where no power is drawn.
    pub running_time: Option<Traced>,
}

/// Why the energy in a cell does not follow from its charge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoEnergy {
    /// It feeds rails of several voltages: which one is its own is not said.
    SeveralVoltages,
    /// There are several pieces, in a row or side by side: that is not said.
    SeveralPieces,
}

/// What feeds the tree, parts in order; `currents` are those of the tree.
#[must_use]
pub fn feeds(
    design: &Design,
    counts: &Multiplicities,
    tree: &Tree,
    currents: &[Currents],
) -> Vec<Feed> {
    let mut fed: BTreeMap<FedBy, Vec<(&Rail, &Currents)>> = BTreeMap::new();
    for (rail, currents) in tree.rails.iter().zip(currents) {
        if !matches!(rail.fed_by, FedBy::Rail(_)) {
            fed.entry(rail.fed_by).or_default().push((rail, currents));
        }
    }
    let feed = |(by, rails): (FedBy, Vec<(&Rail, &Currents)>)| {
        let powers: Vec<Traced> = rails
            .iter()
            .map(|(rail, currents)| {
                currents.mean.clone().scaled(rail.voltage.abs() / rail.efficiency)
            })
            .collect();
        let power = powers.iter().fold(Traced::default(), Traced::plus);
        let part = if let FedBy::Part(part) = by { Some(part) } else { None };
        let energy = part.and_then(|part| energy(design, counts, part, &rails));
        let cell = energy.map(|energy| energy.map(|energy| lasting(energy, &power)));
        Feed { part, power, cell }
    };
    fed.into_iter().map(feed).collect()
}

/// t = E/P
fn lasting(energy: Traced, power: &Traced) -> Cell {
    let (held, drawn) = (energy.value, power.value);
    let running_time = (drawn > 0.0).then(|| {
        let slopes = [(1.0 / drawn, &energy), (-held / (drawn * drawn), power)];
        Traced::combined(held / drawn, slopes)
    });
    Cell { energy, running_time }
}

/// The capacity in J: as it is stated, or the charge at the voltage of the rails that it feeds.
fn energy(
    design: &Design,
    counts: &Multiplicities,
    part: PartIx,
    rails: &[(&Rail, &Currents)],
) -> Option<Result<Traced, NoEnergy>> {
    let capacity = design.record(part).capacity.as_ref()?;
    let known = known::of_figure(design, capacity);
    let source = Source::Part { part, name: Id::from("capacity") };
    let each = Traced::figure(source, known.value.to_f64(), known.u);
    let count = counts.of(part).map_or(0.0, |count| Number::Exact(count).to_f64());
    if capacity.measure.kind.dimension != Dimension::CHARGE {
        return Some(Ok(each.scaled(count)));
    }
    let (first, _) = rails.first()?;
    if rails.iter().any(|(rail, _)| rail.voltage.abs() != first.voltage.abs()) {
        return Some(Err(NoEnergy::SeveralVoltages));
    }
    if count > 1.0 {
        return Some(Err(NoEnergy::SeveralPieces));
    }
    Some(Ok(each.scaled(count * first.voltage.abs())))
}
