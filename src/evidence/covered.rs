//! The parts that a result covers, and those that a measured temperature forgot.

use std::collections::{BTreeMap, BTreeSet};

use super::reading::is_of_temperature;
use crate::design::{Design, PartIx};
use crate::evaluate::multiplicities;
use crate::record::{Evidence, HeatPath, Id};

/// The part on the bench and all that stood with it, with everything that they contain, optional
/// parts too; without the excepted parts and what only they contain. Of a variant, what it drops was
/// not there, and what it swaps was there as the other.
///
/// A result that names no part and says what it verifies is about the parts of those requirements.
#[must_use]
pub fn covered(design: &Design, evidence: &Evidence) -> BTreeSet<PartIx> {
    let build = Build::of(design, evidence);
    let verified = evidence.verifies.iter().filter(|_| evidence.part.is_none());
    let verified = verified.filter_map(|id| design.requirement(id.as_str())?.part.as_ref());
    let named = evidence.part.iter().chain(&evidence.with).chain(verified);
    let mut open: Vec<PartIx> = named.filter_map(|id| design.part(id.as_str())).collect();
    let mut covered = BTreeSet::new();
    while let Some(part) = open.pop() {
        let Some(part) = build.stands_for(part) else { continue };
        if covered.insert(part) {
            open.extend(design.links[part.index()].iter().map(|link| link.child));
            open.extend(build.added.iter().filter(|(to, _)| *to == part).map(|(_, child)| *child));
        }
    }
    covered
}

/// What the variant on the bench makes of each part.
struct Build {
    left_out: BTreeSet<PartIx>,
    swapped: BTreeMap<PartIx, PartIx>,
    /// What it puts where none was: (assembly, part).
    added: Vec<(PartIx, PartIx)>,
}

impl Build {
    fn of(design: &Design, evidence: &Evidence) -> Self {
        let part = |id: &Id| design.part(id.as_str());
        let mut left_out: BTreeSet<PartIx> =
            evidence.except.iter().filter_map(|(id, _)| part(id)).collect();
        let asked = evidence.variant.as_ref().map(|id| &id.value);
        let Some(variant) = design.variants.iter().find(|held| Some(&held.id.value) == asked)
        else {
            return Self { left_out, swapped: BTreeMap::new(), added: Vec::new() };
        };
        left_out.extend(variant.drop.iter().filter_map(|id| part(id)));
        let swaps = variant.swap.iter();
        let changes = variant.change.iter().filter(|(.., amount)| !amount.exact.is_zero());
        Self {
            left_out,
            swapped: swaps.filter_map(|(old, new)| Some((part(old)?, part(new)?))).collect(),
            added: changes.filter_map(|(to, of, _)| Some((part(to)?, part(of)?))).collect(),
        }
    }

    /// The part that is there for `part`; none where it is left out.
    fn stands_for(&self, part: PartIx) -> Option<PartIx> {
        let part = self.swapped.get(&part).copied().unwrap_or(part);
        (!self.left_out.contains(&part)).then_some(part)
    }
}

/// Of a temperature: the parts of the product that lie one heat path away from a covered one, over
/// any number of nodes, and are neither covered nor excepted; in the order of parts.
pub(super) fn left_out(
    design: &Design,
    evidence: &Evidence,
    covered: &BTreeSet<PartIx>,
) -> Vec<PartIx> {
    if !evidence.quantity.as_ref().is_some_and(|quantity| is_of_temperature(design, quantity)) {
        return Vec::new();
    }
    let neighbours = neighbours(design);
    let held = multiplicities(design, design.top, true);
    let excepted: BTreeSet<&str> = evidence.except.iter().map(|(id, _)| id.as_str()).collect();
    let mut open: Vec<&str> = covered.iter().map(|part| design.id(*part).as_str()).collect();
    let mut seen: BTreeSet<&str> = open.iter().copied().collect();
    let mut left_out = BTreeSet::new();
    while let Some(place) = open.pop() {
        for &next in neighbours.get(place).into_iter().flatten() {
            if !seen.insert(next) {
                continue;
            }
            match design.part(next) {
                None => open.push(next),
                Some(part) if held.holds(part) && !excepted.contains(next) => {
                    left_out.insert(part);
                }
                Some(_) => {}
            }
        }
    }
    left_out.into_iter().collect()
}

/// What has a heat path to what, whichever end names it. Beyond ambient nothing is near.
fn neighbours(design: &Design) -> BTreeMap<&str, Vec<&str>> {
    let mut neighbours: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    let parts = design.parts.iter().map(|part| (&part.id.value, &part.heat_paths));
    let nodes = design.nodes.iter().map(|node| (&node.id.value, &node.heat_paths));
    let paths = parts.chain(nodes).flat_map(|(from, paths): (&Id, &Vec<HeatPath>)| {
        paths.iter().map(move |path| (from.as_str(), path.to.as_str()))
    });
    for (from, to) in paths.filter(|(_, to)| *to != "ambient") {
        neighbours.entry(from).or_default().push(to);
        neighbours.entry(to).or_default().push(from);
    }
    neighbours
}
