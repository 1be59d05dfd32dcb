//! The units that quantities may be written in, from the table that they are read by.

use std::collections::BTreeMap;

use crate::quantity::{Kind, KnownUnit, known_units};

/// Every unit by what it is a unit of, in Markdown.
#[must_use]
pub fn units() -> String {
    let mut by_kind: BTreeMap<Kind, Vec<KnownUnit>> = BTreeMap::new();
    for unit in known_units() {
        by_kind.entry(unit.kind).or_default().push(unit);
    }
    let mut rows: Vec<String> = by_kind.iter().map(|(kind, units)| row(*kind, units)).collect();
    rows.sort();
    [include_str!("units.md"), &rows.concat()].join("\n")
}

/// `| a mass | g, t, lb, oz |`; those that take prefixes first.
fn row(kind: Kind, units: &[KnownUnit]) -> String {
    let symbols = |prefixes: bool| {
        let those = units.iter().filter(move |unit| unit.prefixes == prefixes);
        let symbols: Vec<_> = those.map(|unit| format!("`{}`", unit.symbol)).collect();
        symbols.join(", ")
    };
    format!("| {kind} | {} | {} |\n", symbols(true), symbols(false))
}
