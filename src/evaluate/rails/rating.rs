//! What a rail can carry at the temperature of the part that limits it.

use std::collections::BTreeMap;

use super::super::trace::{Traced, rounded};
use super::Currents;
use crate::design::{Design, PartIx};
use crate::record::{Derate, Rail};

/// A rail's rating against its peak current, in A.
#[derive(Clone, Debug, PartialEq)]
pub struct Rated {
    /// As the records state it.
    pub rating: f64,
    /// What is left of it at the temperature that counts.
    pub derated: Traced,
    /// The temperature that derates it, in K; `None` where nothing does.
    pub temperature: Option<Traced>,
    /// The part that has that temperature; `None` where the highest ambient stands in.
    pub at: Option<PartIx>,
    /// What is left between the peak and the derated rating; negative where it is overloaded. What
    /// both follow from is in it once.
    pub reserve: Traced,
}

/// The rating of `rail` against its `currents`.
///
/// The rating falls from `from` on by the share `by` of itself a kelvin, not below zero:
/// I = I₀·(1 − by·(T − from)). T is that of the part that the rail names, among `temperatures` (K, at
/// their hottest), or else the highest ambient.
///
/// `None` where the rail has no rating, or where it is derated and no temperature is known.
#[must_use]
pub fn rated(
    design: &Design,
    rail: &Rail,
    currents: &Currents,
    temperatures: &BTreeMap<PartIx, Traced>,
) -> Option<Rated> {
    let rating = rail.rating.as_ref()?.base;
    let Some(derate) = &rail.derate else {
        return Some(against(currents, rating, Traced::exact(rating), None, None));
    };
    let at = derate.at.as_ref().and_then(|id| design.part(id.as_str()));
    let of_part = at.and_then(|part| Some((part, temperatures.get(&part)?)));
    let ambient = || design.manifest.ambient.high.as_ref().map(|high| Traced::exact(high.base));
    let (at, temperature) = match of_part {
        Some((part, temperature)) => (Some(part), temperature.clone()),
        None => (None, ambient()?),
    };
    let derated = derated(rating, derate, &temperature);
    Some(against(currents, rating, derated, Some(temperature), at))
}

fn against(
    currents: &Currents,
    rating: f64,
    mut derated: Traced,
    temperature: Option<Traced>,
    at: Option<PartIx>,
) -> Rated {
    derated.value = rounded(derated.value);
    let reserve = derated.clone().minus(&currents.peak);
    Rated { rating, derated, temperature, at, reserve }
}

fn derated(rating: f64, derate: &Derate, temperature: &Traced) -> Traced {
    let above_k = temperature.value - derate.from.base;
    let share = 1.0 - derate.by_per_k.base * above_k;
    if above_k <= 0.0 {
        Traced::exact(rating)
    } else if share <= 0.0 {
        Traced::exact(0.0)
    } else {
        let slope = -rating * derate.by_per_k.base;
        Traced::combined(rating * share, [(slope, temperature)])
    }
}
