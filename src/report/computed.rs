//! What should be known of a computed figure: where it holds, what it comes from, what would move it.

use std::collections::BTreeMap;

use serde::Serialize;

use super::shown::{Shown, percent, some_of};
use crate::design::{Design, PartIx};
use crate::evaluate::{
    By, Computed, Currents, Drawer, Drawn, End, Extreme, Lever, Moment, Rated, Source, Traced,
    Worst, coverage_factor, levers,
};
use crate::quantity::Unit;
use crate::record::{Decide, Id};
use crate::verdict::{Assessed, Judged, Verdict};

/// A figure that follows from others by more than a roll-up.
#[derive(Clone, Debug, Serialize)]
pub struct ComputedRow {
    /// `formula`, `heat-paths`, `loads` or `moments`.
    pub by: &'static str,
    /// Whether the requirement is judged on it; else it only stands beside what is.
    pub decides: bool,
    /// The value with its expanded uncertainty, at the end that decides.
    pub value: Shown,
    /// The ambient temperature there, where it matters.
    pub ambient: Option<Shown>,
    /// The least and the most that it can come to, of a tolerance chain.
    pub worst: Option<[Shown; 2]>,
    /// What makes it uncertain, the largest share of the variance first.
    pub uncertainty: Vec<UncertaintyRow>,
    /// What takes how much from a rail at its peak, the largest first.
    pub loads: Vec<LoadRow>,
}

/// One line of an uncertainty budget.
#[derive(Clone, Debug, Serialize)]
pub struct UncertaintyRow {
    /// The figure: `modulus of camera-arm`.
    pub figure: String,
    /// How the value follows it, in base units.
    pub sensitivity: f64,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// A load of a rail.
#[derive(Clone, Debug, Serialize)]
pub struct LoadRow {
    /// The part, or the rail that is fed.
    pub load: Id,
    /// Over a working cycle.
    pub mean: Shown,
    /// At its peak.
    pub peak: Shown,
}

/// The computed figure that a requirement is about, where it has a value.
pub(super) fn row(assessed: &Assessed, judged: &Judged, unit: &Unit) -> Option<ComputedRow> {
    let (_, end) = assessed.computed(judged)?;
    let design = &*assessed.design;
    let (by, loads) = match &end.by {
        By::Formula => ("formula", Vec::new()),
        By::HeatPaths => ("heat-paths", Vec::new()),
        By::Moments(_) => ("moments", Vec::new()),
        By::Loads(loads) => {
            ("loads", loads.0.drawn.iter().map(|drawn| load(design, drawn, unit)).collect())
        }
    };
    let worst = end.worst.as_ref().and_then(|worst| worst.as_ref().ok());
    let uncertainty = end.value.budget().into_iter().map(|line| UncertaintyRow {
        figure: line.source.name(design),
        sensitivity: line.sensitivity,
        share: line.share,
    });
    let expanded_u = coverage_factor(design) * end.value.u();
    Some(ComputedRow {
        by,
        decides: judged.aimed.as_ref().is_some_and(|aimed| aimed.decides),
        value: Shown::uncertain(end.value.value, expanded_u, unit),
        ambient: ambient(design, end),
        worst: worst.map(|worst| [worst.low, worst.high].map(|end| Shown::measure(end, unit))),
        uncertainty: uncertainty.collect(),
        loads,
    })
}

/// What one load takes.
pub(super) fn load(design: &Design, drawn: &Drawn, unit: &Unit) -> LoadRow {
    let [mean, peak] = [drawn.mean, drawn.peak].map(|current| Shown::measure(current, unit));
    LoadRow { load: drawer(design, drawn).clone(), mean, peak }
}

fn drawer<'a>(design: &'a Design, drawn: &'a Drawn) -> &'a Id {
    match &drawn.by {
        Drawer::Part(part) => design.id(*part),
        Drawer::Rail(rail) => rail,
    }
}

/// Loads that are named.
const NAMED_LOADS: usize = 3;

/// Levers that are named.
const NAMED_LEVERS: usize = 2;

/// The remarks on a computed figure, most important first.
pub(super) fn remarks(assessed: &Assessed, judged: &Judged, unit: &Unit) -> Vec<String> {
    let Some((computed, end)) = assessed.computed(judged) else { return Vec::new() };
    let design = &*assessed.design;
    let decides = judged.aimed.as_ref().is_some_and(|aimed| aimed.decides);
    let is_kept = !decides || judged.beneath == Verdict::Pass;
    let mut remarks = Vec::new();
    if !decides {
        let expanded_u = coverage_factor(design) * end.value.u();
        let shown = Shown::uncertain(end.value.value, expanded_u, unit).text;
        remarks.push(format!("computed: {shown}{}", around(design, end)));
    }
    remarks.extend(without_options(design, computed, end, unit));
    match &end.by {
        By::Formula => {
            remarks.extend(views(design, judged, end, unit));
            remarks.extend(largest_share(design, &end.value).filter(|_| !is_kept));
        }
        By::HeatPaths => {
            remarks.extend(Some(around(design, end).trim_start().to_owned()).filter(|_| decides));
            remarks.extend(best_levers(design, &end.value, NAMED_LEVERS).filter(|_| !is_kept));
        }
        By::Loads(loads) => {
            remarks.extend(loads.1.as_ref().and_then(|rated| derating(design, rated)));
            remarks.extend(largest_loads(design, &loads.0));
        }
        By::Moments(moments) => {
            remarks.extend(largest_moments(design, moments, unit).filter(|_| !is_kept));
        }
    }
    remarks.retain(|remark| !remark.is_empty());
    remarks
}

/// ` at 35 °C ambient`, where that matters.
fn around(design: &Design, end: &End) -> String {
    ambient(design, end).map(|at| format!(" at {} ambient", at.text)).unwrap_or_default()
}

/// The ambient temperature at which the figure holds.
pub(super) fn ambient(design: &Design, end: &End) -> Option<Shown> {
    let ambient = match end.extreme? {
        Extreme::Hot => &design.manifest.ambient.high,
        Extreme::Cold => &design.manifest.ambient.low,
    };
    ambient.as_ref().map(|at| Shown::measure(at.base, &at.unit))
}

/// Both views of a tolerance chain, the other one than that which decides.
fn views(design: &Design, judged: &Judged, end: &End, unit: &Unit) -> Option<String> {
    let Some(Ok(worst)) = &end.worst else { return None };
    let requirement = &design.requirements[judged.index];
    let expanded_u = coverage_factor(design) * end.value.u();
    let is_exact = worst.low == worst.high;
    let bounds = bounds(worst, unit);
    let statistical = || Shown::uncertain(end.value.value, expanded_u, unit).text;
    (!is_exact).then(|| match requirement.decide() {
        Decide::WorstCase => format!("{bounds} at worst; {} statistically", statistical()),
        Decide::Guarded | Decide::Simple => format!("{bounds} at worst"),
    })
}

/// The least and the most that a chain can come to.
pub(super) fn bounds(worst: &Worst, unit: &Unit) -> String {
    let shown = |value| Shown::measure(value, unit).text;
    let perhaps = if worst.is_reached { "" } else { "no wider than " };
    format!("{perhaps}{} to {}", shown(worst.low), shown(worst.high))
}

/// The figure that adds most to the variance, where several do.
fn largest_share(design: &Design, value: &Traced) -> Option<String> {
    let budget = value.budget();
    let first = budget.first().filter(|_| budget.len() > 1)?;
    Some(format!("{} of the variance from {}", percent(first.share), first.source.name(design)))
}

/// What takes from a rating, where something does.
pub(super) fn derating(design: &Design, rated: &Rated) -> Option<String> {
    let temperature = rated.temperature.as_ref().filter(|_| rated.derated.value < rated.rating)?;
    let [ampere, celsius] = ["A", "°C"].map(Unit::parse);
    let rating = Shown::measure(rated.rating, &ampere.ok()?).text;
    let temperature = Shown::measure(temperature.value, &celsius.ok()?).text;
    let at = rated.at.map(|part| format!(" of {}", design.id(part))).unwrap_or_default();
    Some(format!("{rating} derated at {temperature}{at}"))
}

/// What the figure would be without the optional parts that it counts.
fn without_options(design: &Design, computed: &Computed, end: &End, unit: &Unit) -> Option<String> {
    let is_base = |base: &&End| !base.with_options && base.extreme == end.extreme;
    let base = computed.ends.iter().find(is_base).filter(|_| end.with_options)?;
    let expanded_u = coverage_factor(design) * base.value.u();
    let without = Shown::uncertain(base.value.value, expanded_u, unit).text;
    Some(format!("only with all optional parts ({without} without)"))
}

/// Where the heaviest moments come from, the largest first.
fn largest_moments(design: &Design, moments: &[Moment], unit: &Unit) -> Option<String> {
    let mut sorted: Vec<&Moment> = moments.iter().collect();
    let size = |moment: &Moment| (moment.mass * moment.at).abs();
    sorted.sort_by(|a, b| size(b).total_cmp(&size(a)).then(a.part.cmp(&b.part)));
    let told = |moment: &Moment| {
        let at = Shown::difference_to(moment.at, 0.1 * moment.at, unit).text;
        format!("{} at {at}", design.id(moment.part))
    };
    let told = some_of(sorted.into_iter().map(told), NAMED_LOADS);
    (!told.is_empty()).then(|| format!("moments: {told}"))
}

/// The loads of a rail, the largest first.
fn largest_loads(design: &Design, currents: &Currents) -> Option<String> {
    let ampere = Unit::parse("A").ok()?;
    let load = |drawn: &Drawn| {
        format!(
            "{} {}",
            drawer(design, drawn),
            Shown::difference_to(drawn.peak, 0.1 * drawn.peak, &ampere).text
        )
    };
    let loads = some_of(currents.drawn.iter().map(load), NAMED_LOADS);
    (!loads.is_empty()).then(|| format!("peaks: {loads}"))
}

/// `1 K/W less at led-panel → inside-air buys 3.1 K`: what lowers a temperature most.
pub(super) fn best_levers(design: &Design, temperature: &Traced, most: usize) -> Option<String> {
    let helping = levers(temperature).into_iter().filter(|lever| lever.by_a_tenth_k > 0.0);
    let told: Vec<String> =
        helping.take(most).filter_map(|lever| told(design, temperature, &lever)).collect();
    (!told.is_empty()).then(|| told.join(", "))
}

/// A step that is small beside the figure itself: what it buys was found in a straight line.
pub(super) fn told(design: &Design, temperature: &Traced, lever: &Lever) -> Option<String> {
    let figure = temperature.slopes.get(&lever.source)?.figure;
    let step = [1.0, 0.1, 0.01].into_iter().find(|step| *step <= figure.abs() / 2.0)?;
    let kelvin = Unit::parse("K").ok()?;
    let bought = Shown::difference_to(step * lever.buys, step * lever.buys, &kelvin).text;
    let name = lever.source.name(design);
    let unit = match &lever.source {
        Source::HeatPath { .. } => "K/W",
        Source::Part { name, .. } if name.as_str() == "heat" => "W",
        Source::Draw { .. } => "A",
        Source::Part { .. } | Source::Given(_) | Source::Density(_) | Source::Position { .. } => {
            return None;
        }
    };
    Some(format!("{step} {unit} less at {name} buys {bought}"))
}

/// The parts that carry a computed figure, with their shares of what makes it so: of the warmth, of
/// the peak, of the moment, or of the variance; the largest first.
pub(super) fn carriers(end: &End) -> Vec<(PartIx, f64)> {
    let shares: Vec<(Option<PartIx>, f64)> = match &end.by {
        By::Formula => {
            end.value.budget().iter().map(|line| (line.source.part(), line.share)).collect()
        }
        By::HeatPaths => {
            let levers = levers(&end.value).into_iter();
            levers.map(|lever| (lever.source.part(), lever.by_a_tenth_k)).collect()
        }
        By::Loads(loads) => {
            let drawn = loads.0.drawn.iter();
            let part = |by: &Drawer| if let Drawer::Part(part) = by { Some(*part) } else { None };
            drawn.map(|drawn| (part(&drawn.by), drawn.peak)).collect()
        }
        By::Moments(moments) => {
            let way = end.value.value.signum();
            moments
                .iter()
                .map(|moment| (Some(moment.part), way * moment.mass * moment.at))
                .collect()
        }
    };
    let mut by_part: BTreeMap<PartIx, f64> = BTreeMap::new();
    let helping = shares.into_iter().filter(|(_, share)| *share > 0.0);
    let whole: f64 = helping.clone().map(|(_, share)| share).sum();
    for (part, share) in helping {
        if let Some(part) = part {
            *by_part.entry(part).or_default() += share / whole;
        }
    }
    let mut carriers: Vec<(PartIx, f64)> = by_part.into_iter().collect();
    carriers.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    carriers
}
