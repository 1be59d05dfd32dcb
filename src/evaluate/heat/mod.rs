//! Temperatures: the steady state of a resistance network.
//!
//! With conductances 1/R between places, the temperatures above ambient follow from G·ΔT = Q. G is
//! symmetric and positive definite wherever every place has a path to ambient, so that Cholesky's
//! decomposition solves it; the same decomposition gives the exact slopes to every heat and every
//! resistance. Results have 12 digits, so that nothing depends on the order of a long computation.

mod flow;
mod island;
mod paths;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use super::trace::{Place, Source, Traced, rounded};

use island::Island;

pub use flow::Extreme;
pub(super) use flow::heats;
pub use paths::network;

/// The most places that lead heat to one another without ambient between them.
pub const MOST_PLACES: usize = 2_000;

/// What heats what.
#[derive(Clone, Debug, Default)]
pub struct Network {
    /// Heat that comes into being at each place, in W.
    pub heats: BTreeMap<Place, Traced>,
    /// The heat paths.
    pub paths: Vec<Path>,
}

/// A thermal resistance between two places.
#[derive(Clone, Debug)]
pub struct Path {
    /// The place that states it.
    pub from: Place,
    /// The other end.
    pub to: Place,
    /// In K/W, of all its pieces side by side.
    pub resistance: Traced,
}

impl Network {
    /// Every heat and every resistance.
    pub fn figures(&self) -> impl Iterator<Item = &Traced> {
        self.heats.values().chain(self.paths.iter().map(|path| &path.resistance))
    }

    /// The same places with other heats and resistances.
    #[must_use]
    pub fn mapped(&self, to: impl Fn(&Traced) -> Traced) -> Self {
        let path = |path: &Path| Path { resistance: to(&path.resistance), ..path.clone() };
        Self {
            heats: self.heats.iter().map(|(place, heat)| (place.clone(), to(heat))).collect(),
            paths: self.paths.iter().map(path).collect(),
        }
    }
}

/// What is wrong with a network: the temperatures that it reaches are not known.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// Places with heat or heat paths that lead no heat to ambient.
    Floating(Vec<Place>),
    /// A resistance that is not above zero.
    NotPositive(Place, Place),
    /// A pair of places whose path is named twice.
    Twice(Place, Place),
    /// A path from a place to itself.
    ToItself(Place),
    /// More places than are solved together; one of them, and their number.
    TooLarge(Place, usize),
    /// Conductances so far apart that no solution has any digits.
    Unsolvable(Vec<Place>),
}

/// A network in its steady state.
#[derive(Clone, Debug)]
pub struct Solution {
    ambient_k: f64,
    islands: Vec<Island>,
    by_place: BTreeMap<Place, usize>,
    /// What is wrong, in order; temperatures that it does not reach are known all the same.
    pub faults: Vec<Fault>,
}

/// How far a temperature falls where less heat comes in or a path leads better.
#[derive(Clone, Debug, PartialEq)]
pub struct Lever {
    /// The heat or the resistance.
    pub source: Source,
    /// K for each W less, or for each K/W less; negative where that would heat.
    pub buys: f64,
    /// K for a tenth of it less, by which levers are compared.
    pub by_a_tenth_k: f64,
}

impl Solution {
    /// The temperature of a place in K, with its slopes to every heat and resistance; `None` where it
    /// has none or where what is wrong reaches it.
    #[must_use]
    pub fn temperature(&self, place: &Place) -> Option<Traced> {
        let island = &self.islands[*self.by_place.get(place)?];
        let rise = island.rise(place)?;
        Some(Traced { value: rounded(self.ambient_k + rise.value), ..rise })
    }

    /// The temperature of a place in K by itself.
    #[must_use]
    pub fn temperature_k(&self, place: &Place) -> Option<f64> {
        let island = &self.islands[*self.by_place.get(place)?];
        Some(rounded(self.ambient_k + island.rise_k(place)?))
    }

    /// Every place whose temperature is known, with the temperature in K.
    pub fn temperatures_k(&self) -> impl Iterator<Item = (&Place, f64)> {
        self.by_place.keys().filter_map(|place| Some((place, self.temperature_k(place)?)))
    }
}

/// Solves the network at the temperature `ambient_k` around it, in K.
#[must_use]
pub fn solve(network: &Network, ambient_k: f64) -> Solution {
    let (islands, mut faults) = island::all(network);
    faults.sort();
    let places = islands.iter().enumerate();
    let by_place = places
        .flat_map(|(index, island)| island.places().map(move |place| (place.clone(), index)))
        .collect();
    Solution { ambient_k, islands, by_place, faults }
}

/// What would lower a temperature, the strongest lever first.
#[must_use]
pub fn levers(temperature: &Traced) -> Vec<Lever> {
    let lever = |(source, slope): (&Source, &super::trace::Slope)| Lever {
        source: source.clone(),
        buys: slope.by,
        by_a_tenth_k: 0.1 * slope.by * slope.figure,
    };
    let mut levers: Vec<Lever> = temperature.slopes.iter().map(lever).collect();
    levers.sort_by(|a, b| {
        b.by_a_tenth_k.total_cmp(&a.by_a_tenth_k).then_with(|| a.source.cmp(&b.source))
    });
    levers
}
