//! What assemblies contain, how much of it, and which quantities parts state.

use std::cell::LazyCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::findings::Findings;
use super::link::WRONG_KIND;
use super::references::{PART, Table};
use super::{BUILT_IN, Design, Held, Link, OwnFigures, PartIx, Pieces, Quantity, Source};
use crate::diagnostic::{At, Code, Diagnostic};
use crate::fileset::RepoPath;
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
    quantities: &BTreeMap<Id, Quantity>,
    findings: &mut Findings,
) -> Vec<Option<Dimension>> {
    let mut dimensions: Vec<Option<Dimension>> = vec![None; parts.len()];
    let mut mixed = BTreeSet::new();
    for link in links.iter().flatten() {
        if *dimensions[link.child.index()].get_or_insert(link.dimension) != link.dimension {
            mixed.insert(link.child);
        }
    }
    for child in mixed {
        let part = &parts[child.index()];
        let first = dimensions[child.index()].unwrap_or_default();
        let meant = extent_of_figures(part, quantities).unwrap_or(first);
        dimensions[child.index()] = Some(meant);
        for (path, line) in lines_of(part, parts).filter(|(_, line)| line.amount.dimension != meant)
        {
            let (here, elsewhere) = (amount_word(line.amount.dimension), amount_word(meant));
            let message =
                format!("`{}` is {here} here and {elsewhere} elsewhere", part.id.as_str());
            let diagnostic = Diagnostic::error(MIXED_AMOUNTS, line.amount.span, message);
            findings.push(path, diagnostic.with_hint_if(as_extent(line, meant)));
        }
    }
    dimensions
}

/// The lines of assemblies that contain the part, with their files.
fn lines_of<'a>(
    part: &'a Held<Part>,
    parts: &'a Pieces<Held<Part>>,
) -> impl Iterator<Item = (&'a RepoPath, &'a Use)> {
    let in_one = |assembly: &'a Held<Part>| {
        let lines = assembly.contains.iter().filter(|line| line.part.value == part.id.value);
        lines.map(|line| (&assembly.path, line))
    };
    parts.iter().flat_map(in_one)
}

/// What parts come by that are not counted, and the unit of it that figures are stated for.
const EXTENTS: [(Dimension, &str); 4] = [
    (Dimension::LENGTH, "m"),
    (Dimension::MASS, "kg"),
    (Dimension::AREA, "m²"),
    (Dimension::VOLUME, "m³"),
];

/// By what the part comes, if one goes by its figures: all of them are by the metre, say.
fn extent_of_figures(part: &Part, quantities: &BTreeMap<Id, Quantity>) -> Option<Dimension> {
    let stated =
        part.quantities.iter().filter_map(|(name, stated)| Some((name, stated.as_ref().ok()?)));
    let named = part.values.iter().map(|(name, sourced)| (name, sourced));
    let mut found = None;
    for (name, sourced) in stated.chain(named) {
        let Some(quantity) = quantities.get(&name.value) else { continue };
        let kind = sourced.figure.measure.kind;
        let is_by = |extent: Dimension| one_unit_of(quantity, extent) == kind;
        let of_a_piece = is_by(Dimension::NONE);
        if of_a_piece && one_unit_of(quantity, Dimension::LENGTH) == kind {
            // A temperature is that of all of it, however it comes.
            continue;
        }
        let (extent, _) = EXTENTS.into_iter().find(|(extent, _)| is_by(*extent) && !of_a_piece)?;
        if *found.get_or_insert(extent) != extent {
            return None;
        }
    }
    found
}

/// How a line is written whose count is meant to be metres: `wire = "2 m"`.
fn as_extent(line: &Use, extent: Dimension) -> Option<String> {
    let counted = line.amount.dimension == Dimension::NONE;
    let (_, unit) = EXTENTS.iter().find(|(known, _)| counted && *known == extent)?;
    Some(format!("such as `{} = \"{} {unit}\"`", line.part.as_str(), line.amount.exact))
}

/// Reports the lines that count the part, where it is its figures that say otherwise; whether there are
/// such lines.
fn report_counted(part: &Held<Part>, design: &Design, findings: &mut Findings) -> bool {
    let Some(extent) = extent_of_figures(part, &design.quantities) else { return false };
    let mut any = false;
    for (path, line) in lines_of(part, &design.parts) {
        let by = EXTENTS.iter().find(|(known, _)| *known == extent).map_or("", |(_, unit)| unit);
        let message =
            format!("`{}` is pieces here, and its figures are those of 1 {by}", part.id.as_str());
        let diagnostic = Diagnostic::error(MIXED_AMOUNTS, line.amount.span, message);
        findings.push(path, diagnostic.with_hint_if(as_extent(line, extent)));
        any = true;
    }
    any
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
                    let counted = amounts == Dimension::NONE;
                    if !(counted && report_counted(part, design, findings)) {
                        findings.push(&part.path, diagnostic);
                    }
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
        let hint = by_extent.then(|| {
            format!("`{}` comes by {amounts}: state it for one unit of that", part.id.as_str())
        });
        return Some(diagnostic.with_hint_if(hint.or_else(|| wanted.instead_of(kind))));
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
