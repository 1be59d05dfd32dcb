//! How near the meshes of parts that changed are to those that were on the bench.

use super::{Changed, How, RevisionSeals, Standing};
use crate::design::{Design, nearness};
use crate::facet::Facet;
use crate::facts::Nearness;
use crate::record::{Evidence, Id};

/// For every part whose geometry changed and whose mesh is known at both ends: the revision that the
/// result names, and today.
pub(super) fn near(
    design: &Design,
    standing: &Standing,
    evidence: &Evidence,
    revisions: &RevisionSeals,
) -> Vec<(Id, Nearness)> {
    let Standing::Stale(changed) = standing else { return Vec::new() };
    let named = evidence.revision.as_ref().and_then(|name| revisions.of(&name.value));
    let Some(bench) = named.map(|revision| revision.built_for(evidence)) else {
        return Vec::new();
    };
    let near = |Changed { part, how }: &Changed| {
        let How::Facets(facets) = how else { return None };
        let [was, is] =
            [&bench.design, design].map(|design| Some((design, design.part(part.as_str())?)));
        let near = nearness(was?, is?).filter(|_| facets.contains(&Facet::Geometry));
        Some((part.clone(), near?))
    };
    changed.iter().filter_map(near).collect()
}
