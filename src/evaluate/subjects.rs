//! Which budgets are asked for.

use std::collections::BTreeSet;

use super::Subject;
use super::derived::has_formula;
use super::known::is_assembly;
use super::printed;
use crate::design::{Design, PartIx, Source};
use crate::record::{Id, Requirement};

/// The budgets of all requirements; of every quantity in use at the top; of every figure that an
/// assembly states of itself, so that it is compared with what the assembly holds.
pub(super) fn all(design: &Design) -> BTreeSet<Subject> {
    let asked = design.requirements.iter().filter_map(|held| of_requirement(design, held));
    let mut subjects: BTreeSet<Subject> = asked.collect();
    for (name, quantity) in &*design.quantities {
        if is_in_use(design, name, quantity.source) {
            let builds = usual_builds(design, quantity.source);
            subjects.insert(Subject { part: design.top, quantity: name.clone(), builds });
        }
    }
    subjects.extend(own_figures(design));
    subjects
}

/// What of a part decides which budgets are asked for: the quantities that it states and has formulas
/// of, whether it is offered, draws current, is weighed by its mesh.
pub(super) fn asked_by(design: &Design, part: PartIx) -> impl PartialEq {
    let record = &design.record(part).record;
    let stated: Vec<&Id> = design.figures[part.index()].keys().collect();
    let formulas: Vec<&Id> = record.formulas.iter().map(|(name, _)| &name.value).collect();
    let is_weighed = printed::mass(design, part).is_some();
    (stated, formulas, record.offers.is_empty(), record.draws.is_empty(), is_weighed)
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
    let is_derived = || design.part_indices().any(|part| has_formula(design, part, name));
    let is_stated =
        || design.figures.iter().any(|figures| figures.get(name).is_some()) || is_derived();
    let follows = || match name.as_str() {
        "mass" => design.part_indices().any(|part| printed::mass(design, part).is_some()),
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
        Source::OrderCost | Source::Counted | Source::Centre => false,
    }
}

/// The order that a cost is meant of where nothing else is said: the one of a cost requirement of
/// the product, else of the first one that there is. 1 for all that is no cost.
fn usual_builds(design: &Design, source: Source) -> u64 {
    if source != Source::Cost {
        return 1;
    }
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
    assemblies.flat_map(move |part: PartIx| {
        let stated = design.figures[part.index()].keys();
        stated.filter_map(move |name| {
            let source = design.quantities.get(name)?.source;
            let builds = usual_builds(design, source);
            let is_compared = matches!(source, Source::Figures | Source::Cost);
            is_compared.then(|| Subject { part, quantity: name.clone(), builds })
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::design;

    fn asked(requirements: &str) -> Vec<String> {
        let design = design(&format!(
            "[part.scanner]\norigin = \"assembled\"\ncontains = {{ lid = 1 }}\nmass = \"1 kg\"\n\
             [part.lid]\norigin = \"printed\"\ncost = \"2 EUR\"\nmass = \"30 g\"\n{requirements}"
        ));
        let shown = |subject: Subject| {
            format!("{} {} × {}", design.id(subject.part), subject.quantity, subject.builds)
        };
        all(&design).into_iter().map(shown).collect()
    }

    #[test]
    fn every_quantity_in_use_has_a_budget_at_the_top() {
        assert_eq!(asked(""), ["scanner cost × 1", "scanner mass × 1"]);
    }

    #[test]
    fn requirements_ask_for_more() {
        let requirements = "[requirement]\n\
            a = { part = \"lid\", quantity = \"cost\", builds = 5, at-most = \"9 EUR\" }\n\
            b = { part = \"lid\", quantity = \"pieces\", builds = 5, at-most = 1 }\n\
            c = { part = \"scanner\", quantity = \"suppliers\", builds = 5, at-most = 1 }\n";
        let expected = [
            "lid cost × 5",
            "lid pieces × 1",
            "scanner cost × 5",
            "scanner mass × 1",
            "scanner suppliers × 5",
        ];
        assert_eq!(asked(requirements), expected);
        let of_top =
            "d = { part = \"scanner\", quantity = \"cost\", builds = 8, at-most = \"9 EUR\" }\n";
        let with_top = asked(&format!("{requirements}{of_top}"));
        assert!(with_top.contains(&"scanner cost × 8".to_owned()));
        assert!(!with_top.contains(&"scanner cost × 5".to_owned()));
    }
}
