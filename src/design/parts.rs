//! What assemblies contain, how much of it, and which quantities parts state.

use std::collections::BTreeMap;

use super::link::{Findings, WRONG_KIND};
use super::references::{PART, Table};
use super::{Held, Link, PartIx, Quantity};
use crate::diagnostic::{At, Code, Diagnostic, did_you_mean};
use crate::parse::{CONTRADICTION, UNKNOWN_KEY, vocabulary};
use crate::quantity::{Dimension, Kind};
use crate::record::{Id, Part, Sourced};

/// A part that comes by the piece here and by the metre there.
pub const MIXED_AMOUNTS: Code = Code("mixed-amounts");

/// What the assembly contains; lines whose part does not exist are reported and left out.
pub(super) fn links(
    assembly: &Held<Part>,
    parts: &Table<'_>,
    findings: &mut Findings,
) -> Vec<Link> {
    let mut links: Vec<Link> = assembly
        .contains
        .iter()
        .filter_map(|line| {
            let child = parts.find(&line.part, PART, &assembly.path, findings)?;
            Some(Link {
                child: PartIx::new(child),
                amount: line.amount.exact,
                dimension: line.amount.dimension,
                version: line.version.clone(),
                optional: line.optional,
            })
        })
        .collect();
    links.sort_by_key(|link| link.child);
    links
}

/// By part: the dimension of the amounts that it comes in ([`Dimension::NONE`]: pieces).
pub(super) fn amount_dimensions(
    parts: &[Held<Part>],
    links: &[Vec<Link>],
    findings: &mut Findings,
) -> Vec<Dimension> {
    let mut dimensions: Vec<Option<Dimension>> = vec![None; parts.len()];
    for (assembly, links) in parts.iter().zip(links) {
        for link in links {
            let known = dimensions[link.child.index()].get_or_insert(link.dimension);
            if *known != link.dimension {
                let id = &parts[link.child.index()].id;
                let line = assembly.contains.iter().find(|line| line.part.value == id.value);
                let span = line.map_or(assembly.id.span, |line| line.amount.span);
                let (known, here) = (amount_word(*known), amount_word(link.dimension));
                let message = format!("`{}` is {here} here and {known} elsewhere", id.as_str());
                findings.push(&assembly.path, Diagnostic::error(MIXED_AMOUNTS, span, message));
            }
        }
    }
    dimensions.into_iter().map(Option::unwrap_or_default).collect()
}

fn amount_word(dimension: Dimension) -> String {
    if dimension == Dimension::NONE { "pieces".to_owned() } else { dimension.to_string() }
}

/// The figures of `part` that the design's quantities know, of their dimension; other keys are
/// reported. A quantity of the designer's own may stand under `value` too. A part that comes by the
/// metre states them by the metre.
pub(super) fn figures(
    part: &Held<Part>,
    amounts: Dimension,
    quantities: &BTreeMap<Id, Quantity>,
    findings: &mut Findings,
) -> BTreeMap<Id, Sourced> {
    let mut figures = BTreeMap::new();
    let named = part.values.iter().filter(|(name, _)| quantities.contains_key(&name.value));
    let named = named.map(|(name, sourced)| (name.clone(), Ok(sourced.clone())));
    for (key, figure) in part.quantities.iter().cloned().chain(named) {
        match (quantities.get(&key.value), figure) {
            (None, _) => findings.push(&part.path, unknown_key(&key, quantities)),
            (Some(_), Err(diagnostic)) => findings.push(&part.path, diagnostic),
            (Some(quantity), Ok(sourced)) => {
                let wanted = one_unit_of(quantity.kind, amounts);
                let found = sourced.figure.measure.kind;
                if found != wanted {
                    findings.push(&part.path, wrong_kind(&key, &sourced, wanted, amounts));
                } else if figures.insert(key.value.clone(), sourced).is_some() {
                    let message = format!("`{}` is stated twice", key.as_str());
                    findings.push(&part.path, Diagnostic::error(CONTRADICTION, key.span, message));
                }
            }
        }
    }
    figures
}

fn one_unit_of(kind: Kind, amounts: Dimension) -> Kind {
    match kind.dimension.over(amounts) {
        Some(dimension) if !kind.point => Kind::of(dimension),
        _ => kind,
    }
}

fn wrong_kind(key: &At<Id>, sourced: &Sourced, wanted: Kind, amounts: Dimension) -> Diagnostic {
    let found = sourced.figure.measure.kind;
    let message = format!("`{}` is {wanted} here, this is {found}", key.as_str());
    let diagnostic = Diagnostic::error(WRONG_KIND, sourced.figure.span, message);
    if amounts == Dimension::NONE {
        return diagnostic;
    }
    diagnostic.with_hint(format!("the part comes by {amounts}: state it for one unit of that"))
}

fn unknown_key(key: &At<Id>, quantities: &BTreeMap<Id, Quantity>) -> Diagnostic {
    let keys = vocabulary();
    let own = keys.iter().filter(|known| known.table == "part").map(|known| known.key);
    let known: Vec<&str> = own.chain(quantities.keys().map(Id::as_str)).collect();
    let hint = did_you_mean(key.as_str(), known.iter().copied()).unwrap_or_else(|| {
        "a quantity of your own needs [quantity.NAME] in tagworthy.toml".to_owned()
    });
    let message = format!("there is no key `{}` here", key.as_str());
    Diagnostic::error(UNKNOWN_KEY, key.span, message).with_hint(hint)
}
