//! From a linked design and its steady state to the figures that are asked for.

use std::collections::{BTreeMap, BTreeSet};

use super::super::centre::{self, Centre};
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
    pub(super) context: &'a Context<'a>,
    pub(super) steady: Option<&'a Steady>,
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
            Aim::Part(part, name) => match centre::axis_of(name) {
                Some(axis) => self.centre(*part, axis),
                None => self.temperature(*part),
            },
        }
    }

    /// The centre of mass along an axis, without optional parts and with all of them.
    fn centre(&self, part: PartIx, axis: usize) -> Result<Computed, Uncomputed> {
        let end = |with_options| {
            let centre = centre::along(self.context, part, axis, with_options);
            let Centre { value, moments } = centre.map_err(Uncomputed::NoCentre)?;
            Ok(End { with_options, ..End::of(By::Moments(moments), value) })
        };
        Ok(Computed { ends: with_a_difference([end(false)?, end(true)?]) })
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
        Ok(Computed { ends })
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
                ends.extend(self.temperature_at(steady, part, extreme)?);
            }
        }
        if ends.is_empty() { Err(Uncomputed::NoAmbient) } else { Ok(Computed { ends }) }
    }

    /// At one end; twice where all optional parts make a difference.
    fn temperature_at(
        &self,
        steady: &Steady,
        part: PartIx,
        extreme: Extreme,
    ) -> Result<Vec<End>, Uncomputed> {
        let end = |with_options| {
            let Some(build) = steady.build(with_options) else { return Ok(None) };
            let value = self.warmest(build, (part, with_options), extreme)?;
            let end = End::of(By::HeatPaths, value);
            Ok(Some(End { with_options, extreme: Some(extreme), ..end }))
        };
        // A part that is optional itself has its temperature only where it is there.
        let is_there = multiplicities(self.context.design, self.context.design.top, false);
        let base = if is_there.holds(part) { end(false)? } else { None };
        match (base, end(true)?) {
            (Some(base), Some(with)) => Ok(with_a_difference([base, with])),
            (None, None) => Err(Uncomputed::NoTemperature(part)),
            (base, with) => Ok(base.into_iter().chain(with).collect()),
        }
    }

    fn warmest(
        &self,
        steady: &Steady,
        (part, with_options): (PartIx, bool),
        extreme: Extreme,
    ) -> Result<Traced, Uncomputed> {
        let mut warmest: Option<Traced> = None;
        for candidate in self.candidates(part, with_options) {
            let found = match candidate {
                Candidate::Led(part) => {
                    steady.temperature(part, extreme).ok_or(Uncomputed::NoTemperature(part))?
                }
                Candidate::Stated(stated) => stated,
            };
            let is_warmer = warmest.as_ref().is_none_or(|warmest| found.value > warmest.value);
            warmest = if is_warmer { Some(found) } else { warmest };
        }
        warmest.ok_or(Uncomputed::NoTemperature(part))
    }

    /// What may be the warmest of a part: itself where it is on a heat path, else all that it holds.
    pub(super) fn candidates(&self, part: PartIx, with_options: bool) -> Vec<Candidate> {
        let design = self.context.design;
        if self.on_paths.contains(&part) {
            return vec![Candidate::Led(part)];
        }
        let held = multiplicities(design, part, with_options);
        let inner = design.part_indices().filter(|inner| held.holds(*inner));
        let candidate = |inner: PartIx| {
            let is_led = self.on_paths.contains(&inner);
            let stated = || stated_temperature(design, inner).map(Candidate::Stated);
            if is_led { Some(Candidate::Led(inner)) } else { stated() }
        };
        inner.filter_map(candidate).collect()
    }

    /// The peak of a rail, without optional parts and with all of them.
    fn rail(&self, id: &Id) -> Result<Computed, Uncomputed> {
        let base = self.rail_of(self.steady, id)?;
        let with = self.steady.and_then(|steady| steady.build(true));
        let Some(with) = with else { return Ok(Computed { ends: vec![base] }) };
        let with = End { with_options: true, ..self.rail_of(Some(with), id)? };
        Ok(Computed { ends: with_a_difference([base, with]) })
    }

    fn rail_of(&self, steady: Option<&Steady>, id: &Id) -> Result<End, Uncomputed> {
        let design = self.context.design;
        let currents = steady.map(|steady| steady.currents.as_deref());
        let currents = currents.unwrap_or(Ok(&[])).map_err(|why| Uncomputed::Rails(why.clone()))?;
        let mut rails = design.rails.iter().zip(currents);
        let (rail, currents) =
            rails.find(|(rail, _)| rail.id.value == *id).ok_or(Uncomputed::NoDerating)?;
        let rated = steady.and_then(|steady| steady.rated.get(id)).cloned();
        if rail.rating.is_some() && rated.is_none() {
            return Err(Uncomputed::NoDerating);
        }
        let value = currents.peak.clone();
        let loads = By::Loads(Box::new((currents.clone(), rated)));
        Ok(End::of(loads, value))
    }
}

/// What may be the warmest.
pub(super) enum Candidate {
    /// A part on a heat path.
    Led(PartIx),
    /// A temperature that is stated.
    Stated(Traced),
}

/// The end with all optional parts only where they make a difference.
fn with_a_difference([base, with]: [End; 2]) -> Vec<End> {
    let is_same = base.value == with.value && base.by == with.by;
    std::iter::once(base).chain(Some(with).filter(|_| !is_same)).collect()
}

impl End {
    /// Without optional parts, under conditions that do not matter.
    fn of(by: By, value: Traced) -> Self {
        Self { by, extreme: None, with_options: false, value, worst: None }
    }
}

fn end(recipe: &Recipe, extreme: Option<Extreme>) -> Result<End, Uncomputed> {
    let value = formula::propagated(recipe).map_err(Uncomputed::Undefined)?;
    Ok(End { extreme, worst: Some(chain::worst(recipe)), ..End::of(By::Formula, value) })
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
