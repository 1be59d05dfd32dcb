//! Computed figures before and after: whose inputs moved them, and whether those were designed.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;

use super::BudgetChange;
use super::sides::Sides;
use crate::design::Design;
use crate::evaluate::{Aim, By, End, PEAK_CURRENT, Place, Source, Total, multiplicities};
use crate::quantity::Unit;
use crate::record::{Id, Requirement};
use crate::verdict::{Assessed, Judged};

/// What a computed figure is called, which holds for both designs: part or rail, and quantity.
pub(super) type Name = (Id, Id);

/// A slope, and the figure that is followed with it.
type Followed = (f64, f64);

/// A figure, the design that it is of, and the unit that it is shown in.
pub(super) struct Told<'a> {
    pub(super) design: &'a Design,
    pub(super) end: &'a End,
    /// The same with all optional parts, where they make a difference.
    pub(super) with_options: &'a End,
    pub(super) unit: Unit,
}

impl<'a> Told<'a> {
    fn end_of(&self, by_options: bool) -> &'a End {
        if by_options { self.with_options } else { self.end }
    }
}

/// Every computed figure that a requirement is judged on, before and after.
pub(super) fn changes(before: Option<&Assessed>, after: &Assessed) -> Vec<BudgetChange> {
    let (from, to) = (before.map(told).unwrap_or_default(), told(after));
    let names: BTreeSet<&Name> = from.keys().chain(to.keys()).collect();
    names.into_iter().map(|name| change(name, from.get(name), to.get(name))).collect()
}

fn told(assessed: &Assessed) -> BTreeMap<Name, Told<'_>> {
    let design = &*assessed.design;
    let mut told = BTreeMap::new();
    for judged in &assessed.judged {
        let Some(aimed) = judged.aimed.as_ref().filter(|aimed| aimed.decides) else { continue };
        let Some((_, end)) = assessed.computed(judged) else { continue };
        let unit = unit(design, &design.requirements[judged.index]);
        let with_options = with_options(assessed, judged, end);
        told.entry(name(design, &aimed.aim)).or_insert(Told { design, end, with_options, unit });
    }
    told
}

fn name(design: &Design, aim: &Aim) -> Name {
    match aim {
        Aim::Part(part, quantity) => (design.id(*part).clone(), quantity.clone()),
        Aim::Rail(rail) => (rail.clone(), Id::from(PEAK_CURRENT)),
    }
}

/// The unit that the requirement is written in.
fn unit(design: &Design, requirement: &Requirement) -> Unit {
    let limits = &requirement.limits;
    let written = [&limits.at_most, &limits.at_least, &limits.equals].into_iter().flatten().next();
    let rail = requirement.rail.as_ref().and_then(|rail| design.rail(rail.as_str()));
    let rating = rail.and_then(|rail| rail.rating.as_ref());
    written.or(rating).map_or_else(Unit::none, |limit| limit.unit.clone())
}

pub(super) fn change(
    name: &Name,
    before: Option<&Told<'_>>,
    after: Option<&Told<'_>>,
) -> BudgetChange {
    // A value with all optional parts is compared with one that has them, too.
    let by_options = [before, after].into_iter().flatten().any(|told| told.end.with_options);
    let total = |told: &Told<'_>| {
        let value = &told.end_of(by_options).value;
        Total { basic: value.value, predicted: value.value, u: value.u(), money: None }
    };
    let unit = after.or(before).map_or_else(Unit::none, |told| told.unit.clone());
    let [was, is] = [before, after].map(|told| told.map(total));
    let both = before.zip(after).filter(|_| was != is);
    let shares = both.map(|(was, is)| {
        let [was_end, is_end] = [was, is].map(|told| told.end_of(by_options));
        shares((was.design, was_end), (is.design, is_end))
    });
    BudgetChange {
        part: name.0.clone(),
        quantity: name.1.clone(),
        builds: 1,
        unit,
        before: was,
        after: is,
        shares: shares.unwrap_or_default(),
    }
}

/// The share of the difference of each part whose figures or number moved, by the mean of both
/// slopes; the largest first. To first order they come to the difference.
pub(super) fn shares(was: (&Design, &End), is: (&Design, &End)) -> Vec<(Id, f64)> {
    let counts = [counts(was.0), counts(is.0)];
    let mut by_input: BTreeMap<(Id, String), [Option<Followed>; 2]> = BTreeMap::new();
    for (side, (design, end)) in [was, is].into_iter().enumerate() {
        // What is made of a material has its mass from it: another density is another mass.
        let stated = end.value.slopes.iter();
        for (source, slope) in stated.filter(|(of, _)| !matches!(of, Source::Density(_))) {
            let input = by_input.entry((stated_by(design, source), source.name(design)));
            input.or_default()[side] = Some((slope.by, slope.figure));
        }
    }
    let mut shares: BTreeMap<Id, f64> = BTreeMap::new();
    for ((by, _), sides) in by_input {
        let moved = match sides {
            [Some((slope, was)), Some((other, is))] if counts[0].get(&by) == counts[1].get(&by) => {
                f64::midpoint(slope, other) * (is - was)
            }
            [was, is] => {
                let whole = |side: Option<Followed>| side.map_or(0.0, |(by, figure)| by * figure);
                whole(is) - whole(was)
            }
        };
        *shares.entry(by).or_default() += moved;
    }
    let mut shares: Vec<(Id, f64)> = shares.into_iter().collect();
    // What is smaller is left over from the solution of a network.
    let largest = shares.iter().map(|(_, share)| share.abs()).fold(0.0, f64::max);
    shares.retain(|(_, share)| share.is_finite() && share.abs() > 1e-9 * largest);
    shares.sort_by(|(a, one), (b, other)| other.abs().total_cmp(&one.abs()).then(a.cmp(b)));
    shares
}

/// How often the product holds each part that it holds.
fn counts(design: &Design) -> BTreeMap<Id, Decimal> {
    let held = multiplicities(design, design.top, false);
    let parts = design.part_indices().filter(|part| held.holds(*part));
    parts.filter_map(|part| Some((design.id(part).clone(), held.of(part)?))).collect()
}

/// The part, node or constant whose record states a figure.
fn stated_by(design: &Design, source: &Source) -> Id {
    match source {
        Source::Given(_) => Id::from("given"),
        Source::Density(material) => material.clone(),
        Source::Part { part, .. } | Source::Draw { part, .. } => design.id(*part).clone(),
        Source::Position { within, .. } => design.id(*within).clone(),
        Source::HeatPath { from, .. } => from.id(design),
    }
}

/// The figures that two verdicts on one requirement were found by, where both were found so.
pub(super) fn ends<'a>(
    sides: &Sides<'a>,
    before: &Judged,
    after: &Judged,
) -> Option<[(&'a Design, &'a End); 2]> {
    let of = |assessed: &'a Assessed, judged: &Judged| {
        judged.aimed.as_ref().filter(|aimed| aimed.decides)?;
        Some((&*assessed.design, assessed.computed(judged)?.1))
    };
    let ends = [of(sides.before.assessed, before)?, of(sides.after.assessed, after)?];
    if !ends.iter().any(|(_, end)| end.with_options) {
        return Some(ends);
    }
    // A value with all optional parts is compared with one that has them, too.
    let [(was, from), (is, to)] = ends;
    let from = with_options(sides.before.assessed, before, from);
    Some([(was, from), (is, with_options(sides.after.assessed, after, to))])
}

/// The end with all optional parts under the conditions of `end`; that one itself where they make no
/// difference.
pub(super) fn with_options<'a>(assessed: &'a Assessed, judged: &Judged, end: &'a End) -> &'a End {
    let ends = assessed.computed(judged).map(|(found, _)| found.ends.as_slice());
    let is_it = |other: &&End| other.with_options && other.extreme == end.extreme;
    ends.unwrap_or_default().iter().find(is_it).unwrap_or(end)
}

/// Whether any part that the figures read is another thing now, or there are more or fewer of it, or a
/// node that they read leads the heat on otherwise: nobody but its paths tells what a node is.
pub(super) fn reads_another_thing(sides: &Sides<'_>, ends: [(&Design, &End); 2]) -> bool {
    let [was, is] = ends.map(|(design, _)| counts(design));
    let is_other = |(design, place): (&Design, Place)| match place {
        Place::Part(part) => {
            let part = design.id(part);
            sides.is_other(part) || was.get(part) != is.get(part)
        }
        Place::Node(node) => sides.is_other_node(&node),
        Place::Ambient => false,
    };
    let read = ends
        .into_iter()
        .flat_map(|(design, end)| read(end).flat_map(places).map(move |place| (design, place)));
    read.into_iter().any(is_other)
}

/// The figures that an end is held against its limits by; of a rail, those too that derate its rating.
fn read(end: &End) -> impl Iterator<Item = &Source> {
    let rated = match &end.by {
        By::Loads(loads) => loads.1.as_ref(),
        By::Formula | By::HeatPaths | By::Moments(_) => None,
    };
    let temperature = rated.and_then(|rated| rated.temperature.as_ref());
    let derating = temperature.into_iter().flat_map(|temperature| temperature.slopes.keys());
    end.value.slopes.keys().chain(derating)
}

/// What states a figure, and what it is about.
fn places(source: &Source) -> Vec<Place> {
    match source {
        Source::HeatPath { from, to } => vec![from.clone(), to.clone()],
        Source::Part { part, .. } | Source::Draw { part, .. } => vec![Place::Part(*part)],
        Source::Position { part, within, .. } => vec![Place::Part(*within), Place::Part(*part)],
        Source::Given(_) | Source::Density(_) => Vec::new(),
    }
}
