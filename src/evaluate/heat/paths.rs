//! From the records to a network: parts, nodes, and what lies between them.

use std::collections::BTreeMap;

use super::super::known;
use super::super::multiplicity::Multiplicities;
use super::super::number::Number;
use super::super::trace::{Place, Source, Traced};
use super::{Network, Path};
use crate::design::{Design, PartIx};
use crate::record::{HeatPath, Id};

/// The network of the parts that `counts` holds, and of all nodes; `heats` come into being in parts.
///
/// Pieces of one part are one place: n·Q, and R/n. A path between two parts is there as often as the
/// more numerous of them, whichever of the two names it.
#[must_use]
pub fn network(
    design: &Design,
    counts: &Multiplicities,
    heats: BTreeMap<PartIx, Traced>,
) -> Network {
    let places = Places { design, counts };
    let of_parts = design.part_indices().flat_map(|part| {
        let paths = &design.record(part).heat_paths;
        paths.iter().filter_map(move |path| places.path(Place::Part(part), path))
    });
    let of_nodes = design.nodes.iter().flat_map(|node| {
        let from = Place::Node(node.id.value.clone());
        node.heat_paths.iter().filter_map(move |path| places.path(from.clone(), path))
    });
    let heats = heats.into_iter().map(|(part, heat)| (Place::Part(part), heat));
    Network { paths: of_parts.chain(of_nodes).collect(), heats: heats.collect() }
}

#[derive(Clone, Copy)]
struct Places<'a> {
    design: &'a Design,
    counts: &'a Multiplicities,
}

impl Places<'_> {
    /// The path of all pieces together; `None` where one of its ends is not in the product.
    fn path(self, from: Place, path: &HeatPath) -> Option<Path> {
        let to = self.place(&path.to.value);
        let (here, there) = (self.count(&from)?, self.count(&to)?);
        let known = known::of_figure(self.design, &path.resistance);
        let source = Source::HeatPath { from: from.clone(), to: to.clone() };
        let each = Traced::figure(source, known.value.to_f64(), known.u);
        Some(Path { from, to, resistance: each.scaled(1.0 / here.max(there)) })
    }

    /// References were checked: what is neither ambient nor a part is a node.
    fn place(self, id: &Id) -> Place {
        if id.as_str() == "ambient" {
            return Place::Ambient;
        }
        self.design.part(id.as_str()).map_or_else(|| Place::Node(id.clone()), Place::Part)
    }

    fn count(self, place: &Place) -> Option<f64> {
        let Place::Part(part) = place else { return Some(1.0) };
        let count = self.counts.of(*part).map(|count| Number::Exact(count).to_f64());
        count.filter(|count| *count > 0.0)
    }
}
