//! What changes a facet, and what must not.

mod keys;
mod laws;

use std::collections::BTreeMap;

use super::{Facet, Facets, table};
use crate::fixture::design;

/// The facets of every part of the design in `text`, by id.
fn facets(text: &str) -> BTreeMap<String, Facets> {
    let design = design(text);
    let table = table(&design);
    design.part_indices().map(|ix| (design.id(ix).to_string(), *table.of(&design, ix))).collect()
}

/// Which facets of which parts differ, as text: `film-gate: geometry, figures`.
fn changes(before: &str, after: &str) -> String {
    let (before, after) = (facets(before), facets(after));
    let lines = before.iter().filter_map(|(id, facets)| {
        let changed = facets.changed(after.get(id)?);
        let words: Vec<_> = changed.into_iter().map(Facet::word).collect();
        (!words.is_empty()).then(|| format!("{id}: {}", words.join(", ")))
    });
    lines.collect::<Vec<_>>().join("\n")
}
