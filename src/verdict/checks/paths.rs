//! How a part is reached from the whole product.

use crate::design::{Design, PartIx};

/// By part: the assembly that a shortest path from the top comes through; `None` for the top itself
/// and for what the product does not hold.
pub(super) struct Paths {
    top: PartIx,
    parents: Vec<Option<PartIx>>,
}

impl Paths {
    /// The paths through all links, optional ones too; of several shortest ones the first in the
    /// order of parts.
    pub(super) fn of(design: &Design) -> Self {
        let mut parents = vec![None; design.parts.len()];
        let mut level = vec![design.top];
        while !level.is_empty() {
            let mut next = Vec::new();
            for parent in level {
                for link in &design.links[parent.index()] {
                    let known = &mut parents[link.child.index()];
                    if known.is_none() {
                        *known = Some(parent);
                        next.push(link.child);
                    }
                }
            }
            level = next;
        }
        Self { top: design.top, parents }
    }

    /// Whether the product holds the part, or is it.
    pub(super) fn reach(&self, part: PartIx) -> bool {
        part == self.top || self.parents[part.index()].is_some()
    }

    /// The assemblies from the top down to the part, and the part.
    pub(super) fn to(&self, part: PartIx) -> Vec<PartIx> {
        let up = std::iter::successors(Some(part), |part| self.parents[part.index()]);
        let mut path: Vec<PartIx> = up.collect();
        path.reverse();
        path
    }
}

/// `scanner → gate-unit → film-gate`
pub(super) fn shown(design: &Design, path: &[PartIx]) -> String {
    let ids: Vec<&str> = path.iter().map(|part| design.id(*part).as_str()).collect();
    ids.join(" → ")
}
