//! Rails: the currents of the power tree, what is lost on the way, and what the rails can carry.
//!
//! Currents are summed from the loads upwards; through a converter I_up = V·I/(η·V_up). Mean currents
//! give heat, energy and running time, peaks are held against the ratings. There is no circle in it:
//! mean currents give heat, heat gives temperatures, and these derate the ratings.

mod cell;
mod rating;
mod supply;
#[cfg(test)]
mod tests;

use crate::design::PartIx;
use crate::quantity::Basis;
use crate::record::Id;

use super::trace::{Traced, rounded};

pub use cell::{Cell, Feed, NoEnergy, feeds};
pub use rating::{Rated, rated};
pub use supply::tree;

/// The most rails times loads that are followed.
const MOST_WORK: usize = 4_000_000;

/// What feeds what.
#[derive(Clone, Debug, Default)]
pub struct Tree {
    /// The rails, sorted by id.
    pub rails: Vec<Rail>,
    /// What draws from them.
    pub loads: Vec<Load>,
}

/// A supply rail.
#[derive(Clone, Debug)]
pub struct Rail {
    /// Its name.
    pub id: Id,
    /// Its voltage, in V.
    pub voltage: f64,
    /// What feeds it.
    pub fed_by: FedBy,
    /// Share of the power fed in that comes out, above 0.
    pub efficiency: f64,
    /// The part in which its loss turns into heat.
    pub made_in: Option<PartIx>,
}

/// What feeds a rail.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FedBy {
    /// Another rail, by its place in [`Tree::rails`].
    Rail(usize),
    /// A part: a supply or a cell.
    Part(PartIx),
    /// Something outside the design.
    Outside,
}

/// The current of all pieces of a part from one rail, in A.
#[derive(Clone, Debug)]
pub struct Load {
    /// The part.
    pub part: PartIx,
    /// The rail's place in [`Tree::rails`].
    pub rail: usize,
    /// Over a working cycle.
    pub mean: Traced,
    /// The highest that matters.
    pub peak: Traced,
    /// How well the mean is known.
    pub basis: Basis,
}

/// The currents of one rail, in A.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Currents {
    /// Over a working cycle.
    pub mean: Traced,
    /// All peaks at once.
    pub peak: Traced,
    /// What it feeds, the largest peak first.
    pub drawn: Vec<Drawn>,
    /// How well the least known of its means is known; `None` without any load.
    pub basis: Option<Basis>,
}

/// What one load takes from a rail.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// What takes it.
    pub by: Drawer,
    /// In A, over a working cycle.
    pub mean: f64,
    /// In A, at its peak.
    pub peak: f64,
}

/// What draws from a rail.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Drawer {
    /// A part, all of its pieces together.
    Part(PartIx),
    /// A rail that it feeds.
    Rail(Id),
}

/// Power that is lost in a conversion, over a working cycle.
#[derive(Clone, Debug)]
pub struct Loss {
    /// The part in which it turns into heat.
    pub made_in: PartIx,
    /// In W.
    pub heat: Traced,
    /// How well the least known current that causes it is known.
    pub basis: Basis,
}

/// What is wrong with a power tree.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Its efficiency is not above zero.
    NoEfficiency(Id),
    /// It feeds another rail and has no voltage.
    NoVoltage(Id),
    /// Rails that feed each other; one of them.
    Cycle(Id),
    /// More rails and loads than are followed.
    TooLarge,
}

/// The currents of every rail, in the order of [`Tree::rails`].
///
/// # Errors
/// Where the tree is not physical, or no tree.
pub fn currents(tree: &Tree) -> Result<Vec<Currents>, Fault> {
    if tree.rails.len().saturating_mul(tree.loads.len().max(tree.rails.len())) > MOST_WORK {
        return Err(Fault::TooLarge);
    }
    if let Some(rail) = tree.rails.iter().find(|rail| rail.efficiency <= 0.0) {
        return Err(Fault::NoEfficiency(rail.id.clone()));
    }
    let mut currents = vec![Currents::default(); tree.rails.len()];
    for load in &tree.loads {
        let drawer = Drawer::Part(load.part);
        currents[load.rail].add(drawer, &load.mean, &load.peak, Some(load.basis));
    }
    for index in fed_first(tree)? {
        let rail = &tree.rails[index];
        let FedBy::Rail(feeder) = rail.fed_by else { continue };
        let factor = carried_up(rail, &tree.rails[feeder])?;
        let Currents { mean, peak, basis, .. } = currents[index].clone();
        let (mean, peak) = (mean.scaled(factor), peak.scaled(factor));
        currents[feeder].add(Drawer::Rail(rail.id.clone()), &mean, &peak, basis);
    }
    for rail in &mut currents {
        // A peak that is as large as the rating is no overload.
        rail.mean.value = rounded(rail.mean.value);
        rail.peak.value = rounded(rail.peak.value);
        rail.drawn.sort_by(|a, b| b.peak.total_cmp(&a.peak).then_with(|| a.by.cmp(&b.by)));
    }
    Ok(currents)
}

/// The power that every conversion loses over a working cycle, (1/η − 1)·V·I, where the rail says in
/// which part; `currents` are those of the tree.
#[must_use]
pub fn losses(tree: &Tree, currents: &[Currents]) -> Vec<Loss> {
    let loss = |(rail, currents): (&Rail, &Currents)| {
        let share = rail.efficiency.recip() - 1.0;
        let heat = currents.mean.clone().scaled(share * rail.voltage.abs());
        Some(Loss { made_in: rail.made_in?, heat, basis: currents.basis? })
    };
    let losing = tree.rails.iter().zip(currents).filter(|(rail, _)| rail.efficiency < 1.0);
    losing.filter_map(loss).collect()
}

impl Currents {
    fn add(&mut self, by: Drawer, mean: &Traced, peak: &Traced, basis: Option<Basis>) {
        self.drawn.push(Drawn { by, mean: mean.value, peak: peak.value });
        self.mean = std::mem::take(&mut self.mean).plus(mean);
        self.peak = std::mem::take(&mut self.peak).plus(peak);
        self.basis = self.basis.into_iter().chain(basis).min();
    }
}

/// What one ampere of `rail` is on the rail that feeds it.
fn carried_up(rail: &Rail, feeder: &Rail) -> Result<f64, Fault> {
    let factor = rail.voltage.abs() / (rail.efficiency * feeder.voltage.abs());
    if factor.is_finite() { Ok(factor) } else { Err(Fault::NoVoltage(feeder.id.clone())) }
}

/// The rails in an order in which each comes before the one that feeds it.
fn fed_first(tree: &Tree) -> Result<Vec<usize>, Fault> {
    let feeder = |index: usize| match tree.rails[index].fed_by {
        FedBy::Rail(feeder) => Some(feeder),
        FedBy::Part(_) | FedBy::Outside => None,
    };
    let mut waiting_for = vec![0_usize; tree.rails.len()];
    for index in 0..tree.rails.len() {
        feeder(index).into_iter().for_each(|feeder| waiting_for[feeder] += 1);
    }
    let mut order: Vec<usize> =
        (0..tree.rails.len()).filter(|index| waiting_for[*index] == 0).collect();
    let mut next = 0;
    while let Some(index) = order.get(next).copied() {
        next += 1;
        if let Some(feeder) = feeder(index) {
            waiting_for[feeder] -= 1;
            if waiting_for[feeder] == 0 {
                order.push(feeder);
            }
        }
    }
    match waiting_for.iter().position(|waiting| *waiting > 0) {
        Some(index) => Err(Fault::Cycle(tree.rails[index].id.clone())),
        None => Ok(order),
    }
}
