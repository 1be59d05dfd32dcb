//! What assemblies contain, how much of it, and which quantities parts state.

use std::cell::LazyCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::findings::Findings;
use super::link::WRONG_KIND;
use super::references::{PART, Table};
use super::{BUILT_IN, Design, Held, Link, OwnFigures, PartIx, Pieces, Quantity, Source};
use crate::diagnostic::{At, Code, Diagnostic};
use crate::parse::{BAD_VALUE, CONTRADICTION, UNKNOWN_KEY, vocabulary};
use crate::quantity::{Dimension, Kind, Measure};
use crate::record::{Id, Part, Sourced, Use};

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
            Some(link(line, PartIx::new(child)))
        })
        .collect();
    links.sort_by_key(|link| link.child);
    links
}

/// A line of what an assembly contains, whose part is `child`.
pub(super) fn link(line: &Use, child: PartIx) -> Link {
    Link {
        child,
        amount: line.amount.exact,
        dimension: line.amount.dimension,
        places: line.places.iter().map(|place| place.value.clone()).collect(),
        version: line.version.clone(),
        optional: line.optional,
    }
}

/// By part: the dimension of the amounts that it comes in ([`Dimension::NONE`]: pieces); `None` where
/// nothing contains it.
pub(super) fn amount_dimensions(
    parts: &Pieces<Held<Part>>,
    links: &[Vec<Link>],
    findings: &mut Findings,
) -> Vec<Option<Dimension>> {
    let mut dimensions: Vec<Option<Dimension>> = vec![None; parts.len()];
    for (assembly, links) in parts.iter().zip(links) {
        for link in links {
            let known = dimensions[link.child.index()].get_or_insert(link.dimension);
            if *known != link.dimension {
                let id = &parts[link.child.index()].id;
                let lines = &assembly.contains;
                let place = lines.binary_search_by(|line| line.part.value.cmp(&id.value));
                let line = place.ok().map(|place| &lines[place]);
                let span = line.map_or(assembly.id.span, |line| line.amount.span);
                let (known, here) = (amount_word(*known), amount_word(link.dimension));
                let message = format!("`{}` is {here} here and {known} elsewhere", id.as_str());
                findings.push(&assembly.path, Diagnostic::error(MIXED_AMOUNTS, span, message));
            }
        }
    }
    dimensions
}

/// What amounts of `dimension` are called.
pub(super) fn amount_word(dimension: Dimension) -> String {
    if dimension == Dimension::NONE { "pieces".to_owned() } else { dimension.to_string() }
}

/// By part: its figures of the quantities that the design knows, of their dimension; other keys
/// are reported. A quantity may stand under `value` too. A part that comes by the metre states them
/// by the metre.
pub(super) fn figures(design: &Design, findings: &mut Findings) -> Pieces<Arc<OwnFigures>> {
    let keys: PartKeys = LazyCell::new(part_keys);
    let parts = design.parts.iter().zip(&*design.amounts);
    parts
        .map(|(part, amounts)| Arc::new(figures_of(part, *amounts, design, &keys, findings)))
        .collect()
}

/// The keys of a part, listed only where a slip asks for them.
pub(super) type PartKeys = LazyCell<Vec<&'static str>>;

/// The keys of a part that are no quantities.
pub(super) fn part_keys() -> Vec<&'static str> {
    let keys = vocabulary().into_iter();
    keys.filter(|known| known.table == "part").map(|known| known.key).collect()
}

/// The figures of one part; as [`figures`].
pub(super) fn figures_of(
    part: &Held<Part>,
    amounts: Dimension,
    design: &Design,
    keys: &PartKeys,
    findings: &mut Findings,
) -> OwnFigures {
    let mut figures = OwnFigures::default();
    let named = part.values.iter().filter(|(name, _)| design.quantities.contains_key(&name.value));
    let named = named.map(|(name, sourced)| (name, Ok(sourced)));
    let stated = part.quantities.iter().map(|(key, figure)| (key, figure.as_ref()));
    for (key, figure) in stated.chain(named) {
        let Some(quantity) = design.quantities.get(&key.value) else {
            if !findings.may_be_lost(&key.value) {
                let diagnostic = unknown_key(key, keys, &design.quantities, findings);
                findings.push(&part.path, diagnostic);
            }
            continue;
        };
        match figure {
            _ if matches!(quantity.source, Source::Counted | Source::OrderCost) => {
                let message = format!("`{}` is worked out, it cannot be stated", key.as_str());
                findings.push(&part.path, Diagnostic::error(BAD_VALUE, key.span, message));
            }
            Err(found) => {
                found.iter().for_each(|diagnostic| findings.push(&part.path, diagnostic.clone()));
            }
            Ok(_) if part.formulas.iter().any(|(name, _)| name.value == key.value) => {
                let message =
                    format!("`{}` is stated, and a formula of this part too", key.as_str());
                findings.push(&part.path, Diagnostic::error(CONTRADICTION, key.span, message));
            }
            Ok(sourced) => {
                if let Some(diagnostic) = complaint(part, key, sourced, quantity, amounts) {
                    findings.push(&part.path, diagnostic);
                } else if !figures.add(&key.value, sourced) {
                    let message = format!("`{}` is stated twice", key.as_str());
                    findings.push(&part.path, Diagnostic::error(CONTRADICTION, key.span, message));
                }
            }
        }
    }
    figures
}

/// What is wrong with a part's figure of `quantity`.
fn complaint(
    part: &Held<Part>,
    key: &At<Id>,
    sourced: &Sourced,
    quantity: &Quantity,
    amounts: Dimension,
) -> Option<Diagnostic> {
    let wanted = one_unit_of(quantity, amounts);
    let Measure { kind, base, .. } = sourced.figure.measure;
    let (name, span) = (key.as_str(), sourced.figure.span);
    if kind != wanted {
        let message = format!("`{name}` is {wanted} here, and this is {kind}");
        let diagnostic = Diagnostic::error(WRONG_KIND, span, message);
        let by_extent = amounts != Dimension::NONE;
        return Some(diagnostic.with_hint_if(by_extent.then(|| {
            format!("`{}` comes by {amounts}: state it for one unit of that", part.id.as_str())
        })));
    }
    // Heat and power flow both ways: a cooler takes heat away.
    // And a centre lies on either side of an origin.
    let has_sign = quantity.kind.point
        || quantity.kind.dimension == Dimension::POWER
        || quantity.source == Source::Centre;
    let is_own = !BUILT_IN.iter().any(|(built_in, _)| *built_in == name);
    if base < 0.0 && !has_sign && !is_own {
        return Some(Diagnostic::error(BAD_VALUE, span, format!("`{name}` cannot be negative")));
    }
    None
}

/// The kind of `quantity` of a part whose amounts are of `amounts`: of one metre of it, say. A
/// temperature and a place are those of all of it.
pub(super) fn one_unit_of(quantity: &Quantity, amounts: Dimension) -> Kind {
    let is_of_all = quantity.kind.point || quantity.source == Source::Centre;
    match quantity.kind.dimension.over(amounts) {
        Some(dimension) if !is_of_all => Kind::of(dimension),
        _ => quantity.kind,
    }
}

fn unknown_key(
    key: &At<Id>,
    keys: &PartKeys,
    quantities: &BTreeMap<Id, Quantity>,
    findings: &mut Findings,
) -> Diagnostic {
    let known = keys.iter().copied().chain(quantities.keys().map(Id::as_str));
    let hint = findings.did_you_mean(key.as_str(), known).unwrap_or_else(|| {
        "a quantity of your own needs [quantity.NAME] in tagworthy.toml".to_owned()
    });
    let message = format!("there is no key `{}` here", key.as_str());
    Diagnostic::error(UNKNOWN_KEY, key.span, message).with_hint(hint)
}
