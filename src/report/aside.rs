//! Parts that nothing holds and nothing needs.

use std::collections::BTreeSet;

use crate::design::{Design, PartIx};
use crate::record::Id;
use crate::verdict::Assessed;

/// The parts that are neither in the product nor in a variant of it, optional ones counted in, nor are
/// tools of a step, on a bench with something, or replaced by another part; in the order of ids. They
/// may be spares, or forgotten in `contains`: nothing is wrong with them.
pub(super) fn aside(assessed: &Assessed) -> Vec<Id> {
    let mut held = held(&assessed.design);
    for variant in &assessed.variants {
        held.extend(self::held(&variant.design));
    }
    let parts = assessed.design.parts.iter().map(|part| &part.id.value);
    parts.filter(|id| !held.contains(*id)).cloned().collect()
}

fn held(design: &Design) -> BTreeSet<Id> {
    let tools = design.steps.iter().flat_map(|step| &step.tools).map(|tool| tool.value.as_str());
    let beside = design.evidence.iter().flat_map(|evidence| &evidence.with);
    let replaced = design.parts.iter().filter_map(|part| part.replaces.as_ref());
    let named = tools.chain(beside.chain(replaced).map(|id| id.as_str()));
    let mut is_held = vec![false; design.parts.len()];
    let named = named.filter_map(|id| design.part(id));
    named.chain([design.top]).for_each(|part| is_held[part.index()] = true);
    // Assemblies come before what they contain.
    for &part in &*design.order {
        if is_held[part.index()] {
            let links = &design.links[part.index()];
            links.iter().for_each(|link| is_held[link.child.index()] = true);
        }
    }
    let all = design.part_indices().filter(|part: &PartIx| is_held[part.index()]);
    all.map(|part| design.id(part).clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::super::samples::assessed;
    use super::*;

    #[test]
    fn what_nothing_holds_and_nothing_needs_is_aside() {
        let text = r#"
            [part.scanner]
            origin = "assembled"
            contains = { lid = 1, cover = { count = 1, optional = true } }
            [part.lid]
            origin = "printed"
            replaces = "old-lid"
            [part.old-lid]
            origin = "printed"
            [part.short-lid]
            origin = "printed"
            [part.cover]
            origin = "printed"
            [part.jig]
            origin = "assembled"
            contains = { pin = 2 }
            [part.pin]
            origin = "bought"
            [part.bracket]
            origin = "assembled"
            contains = { bolt = 2 }
            [part.bolt]
            origin = "bought"
            [variant.travel]
            swap = { lid = "short-lid" }
            [step.close]
            title = "Close the lid"
            uses = { lid = 1 }
            tools = ["jig", "hex key"]
            "#;
        let aside: Vec<String> = aside(&assessed(text)).iter().map(Id::to_string).collect();
        assert_eq!(aside, ["bolt", "bracket"]);
    }
}
