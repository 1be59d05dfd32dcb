//! From the records to the power tree.

use super::super::known;
use super::super::multiplicity::Multiplicities;
use super::super::number::Number;
use super::super::trace::{Source, Traced};
use super::{FedBy, Load, Rail, Tree};
use crate::design::{Design, PartIx};
use crate::record::{self, Draw, Id};

/// The power tree of the parts that `counts` holds. A rail without an efficiency loses nothing; a
/// load without a peak draws its mean.
#[must_use]
pub fn tree(design: &Design, counts: &Multiplicities) -> Tree {
    let rails = design.rails.iter().map(|held| rail(design, held)).collect();
    let loads = design.part_indices().flat_map(|part| {
        let count = counts.of(part).map_or(0.0, |count| Number::Exact(count).to_f64());
        let draws = design.record(part).draws.iter().filter(move |_| count > 0.0);
        draws.filter_map(move |(rail, draw)| load(design, part, count, &rail.value, draw))
    });
    Tree { rails, loads: loads.collect() }
}

fn rail(design: &Design, rail: &record::Rail) -> Rail {
    let part = |id: &Id| design.part(id.as_str());
    let fed_by = rail.fed_by.as_ref().and_then(|id| {
        let feeder = place_of(design, &id.value).map(FedBy::Rail);
        feeder.or_else(|| part(id).map(FedBy::Part))
    });
    Rail {
        id: rail.id.value.clone(),
        voltage: rail.voltage.base,
        fed_by: fed_by.unwrap_or(FedBy::Outside),
        efficiency: rail.efficiency.as_ref().map_or(1.0, |efficiency| efficiency.value),
        made_in: rail.made_in.as_ref().and_then(|id| part(id)),
    }
}

fn load(design: &Design, part: PartIx, count: f64, rail: &Id, draw: &Draw) -> Option<Load> {
    let place = place_of(design, rail)?;
    let mean = known::of_figure(design, &draw.mean);
    let source = |peak| Source::Draw { part, rail: rail.clone(), peak };
    let mean_current = Traced::figure(source(false), mean.value.to_f64(), mean.u).scaled(count);
    let peak = draw.peak.as_ref().map(|peak| known::of_figure(design, peak));
    let peak_current = peak
        .map(|peak| Traced::figure(source(true), peak.value.to_f64(), peak.u).scaled(count))
        .unwrap_or_else(|| mean_current.clone());
    Some(Load { part, rail: place, mean: mean_current, peak: peak_current, basis: mean.basis })
}

/// The rail's place among the design's, which are sorted by id.
fn place_of(design: &Design, id: &Id) -> Option<usize> {
    design.rails.binary_search_by(|rail| rail.id.value.cmp(id)).ok()
}
