//! From a linked design and its steady state to the figures that are asked for.

use std::collections::{BTreeMap, BTreeSet};

use super::super::chain;
use super::super::formula::{self, Recipe};
use super::super::heat::Extreme;
use super::super::known;
use super::super::multiplicity::multiplicities;
use super::super::steady::Steady;
use super::super::trace::{Source, Traced};
use super::super::whole::Context;
use super::{Aim, By, Computed, End, TEMPERATURE, Uncomputed, is_stated_so, on_paths};
use crate::design::{Design, PartIx};
use crate::quantity::Dimension;
use crate::quantity::expression;
use crate::record::Id;

/// Temperatures of parts, in K.
type Temperatures = BTreeMap<PartIx, Traced>;

/// What all figures of a design follow from.
pub(in crate::evaluate) struct Computer<'a> {
    context: &'a Context<'a>,
    steady: Option<&'a Steady>,
    /// Parts at which a heat path begins or ends.
    on_paths: BTreeSet<PartIx>,
    /// The temperatures that formulas name, at the warm and at the cold end; empty where none does.
    temperatures: Vec<(Extreme, Temperatures)>,
}

impl<'a> Computer<'a> {
    pub(in crate::evaluate) fn of(context: &'a Context<'a>, steady: Option<&'a Steady>) -> Self {
        let on_paths = on_paths(context.design);
        let mut named = named_temperatures(context.design);
        named.retain(|part| on_paths.contains(part));
        let at = |extreme| {
            let of_part = |part: &PartIx| Some((*part, steady?.temperature(*part, extreme)?));
            (extreme, named.iter().filter_map(of_part).collect())
        };
        let ends = if named.is_empty() { Vec::new() } else { vec![Extreme::Hot, Extreme::Cold] };
        let temperatures = ends.into_iter().map(at).collect();
        Self { context, steady, on_paths, temperatures }
    }

    /// The figure that is asked for.
    pub(in crate::evaluate) fn figure(&self, aim: &Aim) -> Result<Computed, Uncomputed> {
        match aim {
            Aim::Rail(rail) => self.rail(rail),
            Aim::Part(part, name) if is_stated_so(self.context.design, *part, name) => {
                self.stated(*part, name)
            }
            Aim::Part(part, _) => self.temperature(*part),
        }
    }

    /// A formula, or a drawn or set value.
    fn stated(&self, part: PartIx, name: &Id) -> Result<Computed, Uncomputed> {
        let none = Temperatures::new();
        let at = |extreme, temperatures: &Temperatures| {
            let found = formula::recipe_in(self.context, temperatures, part, name);
            end(&found.map_err(Uncomputed::Unresolved)?, extreme)
        };
        let ends = if self.temperatures.is_empty() {
            vec![at(None, &none)?]
        } else {
            let ends = self.temperatures.iter();
            let ends: Result<Vec<End>, _> =
                ends.map(|(extreme, temperatures)| at(Some(*extreme), temperatures)).collect();
            without_difference(ends?)
        };
        Ok(Computed { by: By::Formula, ends })
    }

    /// The recipe of a formula, or of a drawn or set value, at one end.
    pub(in crate::evaluate) fn recipe(
        &self,
        (part, name): (PartIx, &Id),
        extreme: Option<Extreme>,
    ) -> Option<Recipe> {
        let none = Temperatures::new();
        let at =
            |(known, _): &&(Extreme, Temperatures)| extreme.is_none_or(|asked| asked == *known);
        let temperatures = self.temperatures.iter().find(at).map_or(&none, |(_, known)| known);
        formula::recipe_in(self.context, temperatures, part, name).ok()
    }

    /// The temperature of a part on a heat path; of an assembly that is on none, the warmest within.
    fn temperature(&self, part: PartIx) -> Result<Computed, Uncomputed> {
        let steady = self.steady.ok_or(Uncomputed::NoTemperature(part))?;
        let mut ends = Vec::new();
        for extreme in [Extreme::Hot, Extreme::Cold] {
            if steady.at(extreme).is_some() {
                let value = self.warmest(steady, part, extreme)?;
                ends.push(End { extreme: Some(extreme), value, worst: None });
            }
        }
        if ends.is_empty() {
            return Err(Uncomputed::NoAmbient);
        }
        Ok(Computed { by: By::HeatPaths, ends })
    }

    fn warmest(
        &self,
        steady: &Steady,
        part: PartIx,
        extreme: Extreme,
    ) -> Result<Traced, Uncomputed> {
        let design = self.context.design;
        let of_network =
            |part| steady.temperature(part, extreme).ok_or(Uncomputed::NoTemperature(part));
        if self.on_paths.contains(&part) {
            return of_network(part);
        }
        let held = multiplicities(design, part, false);
        let mut warmest: Option<Traced> = None;
        for inner in design.part_indices().filter(|inner| held.holds(*inner)) {
            let found = if self.on_paths.contains(&inner) {
                Some(of_network(inner)?)
            } else {
                stated_temperature(design, inner)
            };
            let is_warmer =
                |found: &Traced| warmest.as_ref().is_none_or(|warmest| found.value > warmest.value);
            warmest = found.filter(is_warmer).or(warmest);
        }
        warmest.ok_or(Uncomputed::NoTemperature(part))
    }

    /// The peak of a rail.
    fn rail(&self, id: &Id) -> Result<Computed, Uncomputed> {
        let design = self.context.design;
        let currents = self.steady.map(|steady| steady.currents.as_deref());
        let currents = currents.unwrap_or(Ok(&[])).map_err(|why| Uncomputed::Rails(why.clone()))?;
        let mut rails = design.rails.iter().zip(currents);
        let (rail, currents) =
            rails.find(|(rail, _)| rail.id.value == *id).ok_or(Uncomputed::NoDerating)?;
        let rated = self.steady.and_then(|steady| steady.rated.get(id)).cloned();
        if rail.rating.is_some() && rated.is_none() {
            return Err(Uncomputed::NoDerating);
        }
        let value = currents.peak.clone();
        let loads = By::Loads(Box::new((currents.clone(), rated)));
        Ok(Computed { by: loads, ends: vec![End { extreme: None, value, worst: None }] })
    }
}

fn end(recipe: &Recipe, extreme: Option<Extreme>) -> Result<End, Uncomputed> {
    let value = formula::propagated(recipe).map_err(Uncomputed::Undefined)?;
    Ok(End { extreme, value, worst: Some(chain::worst(recipe)) })
}

/// One end where both are the same: the figure does not depend on how warm it is.
fn without_difference(mut ends: Vec<End>) -> Vec<End> {
    if let [hot, cold] = &*ends
        && (&hot.value, &hot.worst) == (&cold.value, &cold.worst)
    {
        ends.truncate(1);
        ends.iter_mut().for_each(|end| end.extreme = None);
    }
    ends
}

fn stated_temperature(design: &Design, part: PartIx) -> Option<Traced> {
    let name = Id::from(TEMPERATURE);
    let known = known::of_part(design, part, &name, Dimension::NONE)?;
    Some(Traced::figure(Source::Part { part, name }, known.value.to_f64(), known.u))
}

/// The parts whose temperature any formula names.
fn named_temperatures(design: &Design) -> BTreeSet<PartIx> {
    let mut named = BTreeSet::new();
    for part in design.part_indices() {
        let formulas = design.record(part).formulas.iter();
        let texts = formulas.filter(|(_, text)| text.contains(TEMPERATURE));
        for expression in texts.filter_map(|(_, text)| expression::parse(text).ok()) {
            named.extend(expression.names().filter_map(|(name, _)| match name.split_once('.') {
                None => (name == TEMPERATURE).then_some(part),
                Some((other, TEMPERATURE)) => design.part(other),
                Some(_) => None,
            }));
        }
    }
    named
}
