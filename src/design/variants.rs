//! Variants: dropping, swapping and changing must not make an assembly contain itself.

use std::collections::{BTreeMap, BTreeSet};

use super::findings::Findings;
use super::link::CONTAINMENT_CYCLE;
use super::{Design, PartIx, graph};
use crate::diagnostic::Diagnostic;
use crate::record::Variant;

/// Reports the variants in which assemblies contain each other.
pub(super) fn check(design: &Design, findings: &mut Findings) {
    if design.order.len() < design.parts.len() {
        // They do so in the design itself, which is reported.
        return;
    }
    for variant in &design.variants {
        if variant.swap.is_empty() && variant.change.is_empty() {
            continue;
        }
        let Err(cycles) = graph::order(design.parts.len(), &edges(design, variant)) else {
            continue;
        };
        for cycle in cycles {
            let words: Vec<_> =
                cycle.iter().map(|index| design.parts[*index].id.as_str()).collect();
            let message =
                format!("in this variant assemblies contain each other: {}", words.join(" → "));
            let diagnostic = Diagnostic::error(CONTAINMENT_CYCLE, variant.id.span, message);
            findings.push(&variant.path, diagnostic);
        }
    }
}

/// Who contains whom in the variant. A part that takes the place of another may contain that one
/// (a bought lid, modified).
fn edges(design: &Design, variant: &Variant) -> Vec<(usize, usize)> {
    let place = |id: &str| design.part(id).map(PartIx::index);
    let dropped: BTreeSet<usize> =
        variant.drop.iter().filter_map(|id| place(id.as_str())).collect();
    let swapped: BTreeMap<usize, usize> = variant
        .swap
        .iter()
        .filter_map(|(old, new)| Some((place(old.as_str())?, place(new.as_str())?)))
        .collect();
    let own = design
        .links
        .iter()
        .enumerate()
        .flat_map(|(parent, links)| links.iter().map(move |link| (parent, link.child.index())));
    let changed = variant.change.iter().filter(|(.., amount)| !amount.exact.is_zero());
    let changed = changed
        .filter_map(|(assembly, part, _)| Some((place(assembly.as_str())?, place(part.as_str())?)));
    let follow = |(parent, child): (usize, usize)| {
        let new = swapped.get(&child).copied().filter(|new| *new != parent);
        (parent, new.unwrap_or(child))
    };
    let kept = own
        .chain(changed)
        .filter(|(parent, child)| !dropped.contains(parent) && !dropped.contains(child));
    kept.map(follow).collect()
}
