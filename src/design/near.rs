//! How near the mesh of a part is to the one that it has in another state.

use super::{Design, PartIx};
use crate::facts::{Facts, MeshFacts, Nearness};

/// How far the mesh of `new` is from that of `old`, where both are known.
#[must_use]
pub fn nearness(old: (&Design, PartIx), new: (&Design, PartIx)) -> Option<Nearness> {
    Some(Nearness::between(mesh(old)?, mesh(new)?))
}

/// The mesh of a part, with the metres in one unit of its file.
fn mesh((design, part): (&Design, PartIx)) -> Option<(&MeshFacts, f64)> {
    let Facts::Mesh(facts) = design.mesh_facts(part)? else { return None };
    let recorded_m = design.record(part).mesh.as_ref()?.unit_m.value;
    Some((facts, facts.unit_m.unwrap_or(recorded_m)))
}
