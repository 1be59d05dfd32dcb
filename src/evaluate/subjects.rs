//! Which budgets are asked for.

use std::collections::BTreeSet;

use super::Subject;
use super::known::is_assembly;
use crate::design::{Design, PartIx, Source};
use crate::record::{Id, Requirement};

/// The budgets of all requirements; of every quantity in use at the top; of every figure that an
/// assembly states of itself, so that it is compared with what the assembly holds.
pub(super) fn all(design: &Design) -> BTreeSet<Subject> {
    let asked = design.requirements.iter().filter_map(|held| of_requirement(design, held));
    let mut subjects: BTreeSet<Subject> = asked.collect();
    for (name, quantity) in &design.quantities {
        if is_in_use(design, name, quantity.source) {
            let builds = if quantity.source == Source::Cost { builds_at_top(design) } else { 1 };
            subjects.insert(Subject { part: design.top, quantity: name.clone(), builds });
        }
    }
    subjects.extend(own_figures(design));
    subjects
}

/// The budget that the requirement is judged on.
pub(super) fn of_requirement(design: &Design, requirement: &Requirement) -> Option<Subject> {
    let part = design.part(requirement.part.as_ref()?.as_str())?;
    let quantity = requirement.quantity.as_ref()?.value.clone();
    let is_of_an_order = match design.quantities.get(&quantity).map(|known| known.source) {
        Some(Source::Cost | Source::OrderCost) => true,
        Some(Source::Counted) => quantity.as_str() == "suppliers",
        _ => false,
    };
    Some(Subject { part, quantity, builds: if is_of_an_order { requirement.builds() } else { 1 } })
}

fn is_in_use(design: &Design, name: &Id, source: Source) -> bool {
    let is_stated = || design.figures.iter().any(|figures| figures.contains_key(name));
    let follows = || match name.as_str() {
        "power" => design.parts.iter().any(|part| !part.draws.is_empty()),
        "assembly-time" => design.steps.iter().any(|step| step.time.is_some()),
        _ => false,
    };
    match source {
        Source::Figures => is_stated() || follows(),
        Source::Cost => {
            let parts = design.parts.iter().map(|part| &part.offers);
            let mut offers = parts.chain(design.materials.iter().map(|material| &material.offers));
            offers.any(|offers| !offers.is_empty()) || is_stated()
        }
        Source::OrderCost | Source::Counted => false,
    }
}

/// The order that the cost of the product is meant of: the one of a cost requirement of the product
/// itself, else of the first one that there is.
fn builds_at_top(design: &Design) -> u64 {
    let is_cost = |quantity: &Id| {
        design.quantities.get(quantity).is_some_and(|known| known.source == Source::Cost)
    };
    let asked = design.requirements.iter().filter_map(|held| of_requirement(design, held));
    let costs: Vec<Subject> = asked.filter(|subject| is_cost(&subject.quantity)).collect();
    let of_top = costs.iter().find(|subject| subject.part == design.top);
    of_top.or(costs.first()).map_or(1, |subject| subject.builds)
}

fn own_figures(design: &Design) -> impl Iterator<Item = Subject> {
    let assemblies = design.part_indices().filter(|part| is_assembly(design, *part));
    assemblies.flat_map(|part: PartIx| {
        let stated = design.figures[part.index()].keys();
        let rolled_up = stated.filter(|name| {
            design.quantities.get(*name).is_some_and(|known| known.source == Source::Figures)
        });
        rolled_up.map(move |name| Subject { part, quantity: name.clone(), builds: 1 })
    })
}
