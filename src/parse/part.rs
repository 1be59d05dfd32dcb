//! `[part.ID]`.

use rust_decimal::Decimal;

use super::field::{Field, figure_of, in_words, measure_of};
use super::reader::{Reader, Sink, Value, span_of};
use super::supply::offers;
use super::{BAD_VALUE, CONTRADICTION, UNKNOWN_KEY};
use crate::diagnostic::{At, Diagnostic};
use crate::quantity::{Amount, Dimension, Kind, Measure};
use crate::record::{Consumption, Draw, HeatPath, Id, Mesh, Origin, Part, Sourced, Use};

const LENGTH: &[Kind] = &[Kind::of(Dimension::LENGTH)];
const CURRENT: &[Kind] = &[Kind::of(Dimension::CURRENT)];
const CAPACITY: &[Kind] = &[Kind::of(Dimension::CHARGE), Kind::of(Dimension::ENERGY)];
const RESISTANCE: &[Kind] = &[Kind::of(Dimension::THERMAL_RESISTANCE)];

pub(super) fn read(id: At<Id>, reader: &mut Reader<'_>) -> Option<Part> {
    // A part without an origin is an error already; it stays, so that references to it are none.
    let origin = reader.required("origin").unwrap_or(At::new(Origin::Bought, id.span));
    let part = Part {
        title: reader.optional("title"),
        note: reader.optional("note"),
        version: reader.optional("version"),
        sources: reader.list("sources"),
        exports: reader.list("exports"),
        material: reader.optional("material"),
        mesh: reader.table("mesh", mesh),
        size: reader.optional("size"),
        designation: reader.optional("designation"),
        maker: reader.optional("maker"),
        mpn: reader.optional("mpn"),
        replaces: reader.optional("replaces"),
        phased_out: reader.optional("phased-out"),
        hazards: reader.list("hazard"),
        fits: reader.map("fits"),
        dimensions: reader.map("dimension"),
        settings: reader.map("setting"),
        values: reader.named("value", Sourced::what, Sourced::read),
        formulas: reader.map("formula"),
        contains: contains(reader),
        offers: offers(reader),
        consumption: reader.table("consumption", consumption).unwrap_or_default(),
        heat_paths: heat_paths(reader),
        draws: draws(reader),
        capacity: reader.read_with("capacity", || in_words(CAPACITY), figure_of(CAPACITY)),
        quantities: quantities(reader),
        origin,
        id,
    };
    Some(part)
}

fn mesh(reader: &mut Reader<'_>) -> Option<Mesh> {
    let file = reader.required("file");
    let unit =
        reader.read_with("unit", || "a unit of length such as \"mm\"".to_owned(), length_of_unit);
    if unit.is_none() {
        let message = "`unit` is missing: a mesh file does not say what its numbers mean";
        let hint = "add unit = \"mm\", or the unit that it was exported in";
        reader.error(Diagnostic::error(super::MISSING_KEY, reader.span(), message).with_hint(hint));
    }
    let walls = reader.read_with("walls", || in_words(LENGTH), measure_of(LENGTH));
    let infill = reader.optional("infill");
    Some(Mesh { file: file?, unit_m: unit?, walls, infill })
}

fn length_of_unit(value: Value<'_>, sink: &Sink<'_>) -> Option<f64> {
    let (unit, kind) = <(crate::quantity::Unit, Kind)>::read(value, sink)?;
    if kind != LENGTH[0] {
        let message = format!("`{}` is {kind}, where a length is wanted", unit.symbol());
        sink.push(Diagnostic::error(super::WRONG_DIMENSION, span_of(value), message));
        return None;
    }
    crate::quantity::measure(&format!("1 {}", unit.symbol())).ok().map(|one| one.base)
}

fn contains(reader: &mut Reader<'_>) -> Vec<Use> {
    let lines = reader.named("contains", what_contains, |value, sink| {
        if value.get_ref().is_table() {
            let mut inner = Reader::of(value, sink)?;
            let line = long_use(&mut inner);
            inner.finish();
            return line;
        }
        let amount = At::new(Amount::read(value, sink)?, span_of(value));
        Some((amount, None, Vec::new(), false))
    });
    let to_use = |(part, line): (At<Id>, UseLine)| {
        let (amount, version, places, optional) = line;
        Use { part, amount, version, places, optional }
    };
    lines.into_iter().map(to_use).filter(|line| is_some_pieces(line, reader)).collect()
}

fn what_contains() -> String {
    format!(
        "{}, or a table with count or amount, version, place or places, optional",
        Amount::what()
    )
}

fn is_some_pieces(line: &Use, reader: &Reader<'_>) -> bool {
    if line.amount.exact.is_zero() {
        let message = format!("`{}` is contained zero times", line.part.as_str());
        reader.error(
            Diagnostic::error(BAD_VALUE, line.amount.span, message).with_hint("leave the line out"),
        );
    }
    let places = line.places.len();
    let fits = places <= 1 || line.amount.exact == Decimal::from(places);
    if !fits {
        let message = format!("{places} places for {} pieces", line.amount.exact);
        let hint = "give one place a piece, or a single place for all of them together";
        let span = line.amount.span;
        reader.error(Diagnostic::error(CONTRADICTION, span, message).with_hint(hint));
    }
    !line.amount.exact.is_zero()
}

type UseLine = (At<Amount>, Option<At<semver::VersionReq>>, Vec<At<[Measure; 3]>>, bool);

fn long_use(reader: &mut Reader<'_>) -> Option<UseLine> {
    let count =
        reader.optional::<u64>("count").map(|at| At::new(Amount::pieces(at.value), at.span));
    let extent = reader.optional::<Amount>("amount");
    if count.is_some() && extent.is_some() {
        let message = "`count` and `amount` say the same twice";
        reader.error(Diagnostic::error(CONTRADICTION, reader.span(), message));
    }
    let amount = extent.or(count);
    let version = reader.optional("version");
    let mut places: Vec<_> = reader.optional("place").into_iter().collect();
    places.extend(reader.list("places"));
    let optional = reader.optional("optional").is_some_and(|at| at.value);
    let one = At::new(Amount::pieces(1), reader.span());
    Some((amount.unwrap_or(one), version, places, optional))
}

fn consumption(reader: &mut Reader<'_>) -> Option<Consumption> {
    Some(Consumption { spare: reader.optional("spare"), waste: reader.optional("waste") })
}

/// `heat-path`, of a part or a node.
pub(super) fn heat_paths(reader: &mut Reader<'_>) -> Vec<HeatPath> {
    reader.tables("heat-path", |reader| {
        let to = reader.required("to");
        let resistance =
            reader.read_with("resistance", || in_words(RESISTANCE), figure_of(RESISTANCE));
        if resistance.is_none() {
            let message = "`resistance` is missing or wrong: a path needs one, such as \"5.2 K/W\"";
            reader.error(Diagnostic::error(super::MISSING_KEY, reader.span(), message));
        }
        Some(HeatPath { to: to?, resistance: resistance? })
    })
}

fn draws(reader: &mut Reader<'_>) -> Vec<(At<Id>, Draw)> {
    let what = || "a current such as \"1.2 A\", or a table with mean and peak".to_owned();
    reader.named("draws", what, |value, sink| {
        let read = figure_of(CURRENT);
        if !value.get_ref().is_table() {
            return Some(Draw { mean: At::new(read(value, sink)?, span_of(value)), peak: None });
        }
        let mut inner = Reader::of(value, sink)?;
        let mean = inner.read_with("mean", || in_words(CURRENT), &read);
        let peak = inner.read_with("peak", || in_words(CURRENT), &read);
        inner.finish();
        Some(Draw { mean: mean?, peak })
    })
}

/// Every key that no reader took: built-in quantities and the designer's own, or a slip.
fn quantities(reader: &mut Reader<'_>) -> Vec<(At<Id>, Result<Sourced, Diagnostic>)> {
    reader
        .rest()
        .into_iter()
        .map(|(key, span, value)| {
            let sink = Sink::new("");
            let read = Sourced::read(value, &sink);
            let result = read.ok_or_else(|| {
                let slip =
                    Diagnostic::error(UNKNOWN_KEY, span, format!("there is no key `{key}` here"));
                sink.into_diagnostics().into_iter().next().unwrap_or(slip)
            });
            (At::new(Id::new(key), span), result)
        })
        .collect()
}
