//! What the ± of an input means, as its record says.

use super::trace::{Place, Source};
use crate::design::{Design, PartIx};
use crate::quantity::{Distribution, Figure};
use crate::record::{HeatPath, Id};

/// The distribution of the figure that is meant; normal where nothing is said.
pub(super) fn of(design: &Design, source: &Source) -> Distribution {
    let spread = figure(design, source).and_then(|figure| figure.spread);
    spread.map_or(Distribution::Normal, |spread| spread.distribution)
}

fn figure<'a>(design: &'a Design, source: &Source) -> Option<&'a Figure> {
    match source {
        Source::Given(name) => {
            let mut given = design.manifest.given.iter();
            given.find(|(known, _)| known.value == *name).map(|(_, figure)| &figure.value)
        }
        Source::Part { part, name } => of_part(design, *part, name),
        Source::Density(material) => {
            design.material(material.as_str())?.density.as_ref().map(|density| &density.value)
        }
        Source::HeatPath { from, to } => {
            let to = to.id(design);
            let path = heat_paths(design, from).iter().find(|path| path.to.value == to)?;
            Some(&path.resistance.value)
        }
        Source::Draw { part, rail, peak } => {
            let mut draws = design.record(*part).draws.iter();
            let (_, draw) = draws.find(|(known, _)| known.value == *rail)?;
            Some(&draw.peak.as_ref().filter(|_| *peak).unwrap_or(&draw.mean).value)
        }
        Source::Position { .. } => None,
    }
}

fn of_part<'a>(design: &'a Design, part: PartIx, name: &Id) -> Option<&'a Figure> {
    let record = design.record(part);
    let of_quantity = design.figures[part.index()].get(name).map(|stated| &stated.figure);
    let mut values = record.values.iter();
    let value = || values.find(|(known, _)| known.value == *name).map(|(_, stated)| &stated.figure);
    let capacity = || record.capacity.as_ref().filter(|_| name.as_str() == "capacity");
    of_quantity.or_else(value).or_else(capacity).map(|figure| &figure.value)
}

fn heat_paths<'a>(design: &'a Design, from: &Place) -> &'a [HeatPath] {
    match from {
        Place::Part(part) => &design.record(*part).heat_paths,
        Place::Node(id) => {
            let node = design.nodes.iter().find(|node| node.id.value == *id);
            node.map_or(&[], |node| &node.heat_paths)
        }
        Place::Ambient => &[],
    }
}
