//! `[part.ID]`.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::field::{Field, in_text, text};
use super::figure::{figure_of, sourced};
use super::manifest::{sigmas, what_sigmas};
use super::place::centre_of_mass;
use super::reader::{Reader, Value, span_of};
use super::sink::Sink;
use super::supply::offers;
use super::wanted::{CAPACITY, CURRENT, LENGTH, RESISTANCE};
use super::{BAD_FORMULA, BAD_VALUE, CONTRADICTION, WRONG_DIMENSION};
use crate::diagnostic::{At, Diagnostic};
use crate::quantity::{Amount, Dimension, Kind, Measure, Placement, Toleranced, Unit, expression};
use crate::record::{Consumption, Draw, HeatPath, Id, Mesh, Origin, Part, Sourced, Stated, Use};

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
        size: outer_size(reader),
        designation: reader.optional("designation"),
        maker: reader.optional("maker"),
        mpn: reader.optional("mpn"),
        replaces: reader.optional("replaces"),
        phased_out: reader.optional("phased-out"),
        hazards: reader.list("hazard"),
        fits: reader.map_by_reference("fits"),
        dimensions: dimensions(reader),
        settings: reader.map("setting"),
        values: reader.named("value", Sourced::what, Sourced::read),
        formulas: reader.named("formula", what_formula, formula),
        contains: contains(reader),
        offers: offers(reader),
        consumption: reader.table("consumption", consumption).unwrap_or_default(),
        heat_paths: heat_paths(reader),
        draws: draws(reader),
        capacity: reader.figure("capacity", &CAPACITY),
        quantities: quantities(reader),
        origin,
        id,
    };
    check_names(&part, reader);
    Some(part)
}

/// A formula must know what a name means: one dimension, setting, value or formula.
fn check_names(part: &Part, reader: &Reader<'_>) {
    let mut taken = BTreeMap::new();
    let dimensions = part.dimensions.iter().map(|(name, _)| (name, "dimension"));
    let settings = part.settings.iter().map(|(name, _)| (name, "setting"));
    let values = part.values.iter().map(|(name, _)| (name, "value"));
    let formulas = part.formulas.iter().map(|(name, _)| (name, "formula"));
    for (name, table) in dimensions.chain(settings).chain(values).chain(formulas) {
        if let Some(first) = taken.insert(&name.value, table) {
            let message = format!("`{}` is a {first} of this part already", name.as_str());
            reader.error(Diagnostic::error(CONTRADICTION, name.span, message));
        }
    }
}

fn outer_size(reader: &mut Reader<'_>) -> Option<At<[Measure; 3]>> {
    let size = reader.optional::<[Measure; 3]>("size")?;
    if size.iter().any(|length| length.base <= 0.0) {
        let message = "each of the three sizes must be more than zero";
        reader.error(Diagnostic::error(BAD_VALUE, size.span, message));
    }
    Some(size)
}

/// Drawn sizes; the long form says how well a tolerance is kept.
fn dimensions(reader: &mut Reader<'_>) -> Vec<(At<Id>, At<Toleranced>)> {
    let what = || format!("{}, or a table with value and sigmas", Toleranced::what());
    reader.list_long_form("dimension", drawn);
    reader.named("dimension", what, |value, sink| {
        if !value.get_ref().is_table() {
            return Some(At::new(Toleranced::read(value, sink)?, span_of(value)));
        }
        let mut inner = Reader::of(value, sink)?;
        let size = drawn(&mut inner);
        inner.finish();
        size
    })
}

fn drawn(reader: &mut Reader<'_>) -> Option<At<Toleranced>> {
    let size = reader.required::<Toleranced>("value");
    let sigmas = reader.read_with("sigmas", what_sigmas, sigmas);
    let mut size = size?;
    size.value.sigmas = sigmas.map(|at| at.value);
    Some(size)
}

fn what_formula() -> String {
    "a formula such as \"reach * 2\"".to_owned()
}

/// The text of a formula that can be read; what its names mean is told when the design is linked.
fn formula(value: Value<'_>, sink: &Sink<'_>) -> Option<At<String>> {
    let written = text(value, what_formula, sink)?;
    if let Err(error) = expression::parse(written) {
        let diagnostic = in_text(value, written, error, sink);
        sink.push(Diagnostic { code: BAD_FORMULA, ..diagnostic });
    }
    Some(At::new(written.to_owned(), span_of(value)))
}

fn mesh(reader: &mut Reader<'_>) -> Option<Mesh> {
    let file = reader.required("file");
    // A mesh file does not say what its numbers mean.
    let what = || "the unit of length that it was exported in, such as \"mm\"".to_owned();
    reader.expect("unit", what);
    let unit = reader.read_with("unit", what, length_of_unit);
    let walls = reader.measure("walls", &LENGTH);
    let infill = reader.optional("infill");
    Some(Mesh { file: file?, unit_m: unit?, walls, infill })
}

fn length_of_unit(value: Value<'_>, sink: &Sink<'_>) -> Option<f64> {
    let (unit, kind) = <(Unit, Kind)>::read(value, sink)?;
    if kind != Kind::of(Dimension::LENGTH) {
        let message =
            format!("`{}` is a unit of {kind}, where one of a length is wanted", unit.symbol());
        sink.push(Diagnostic::error(WRONG_DIMENSION, span_of(value), message));
        return None;
    }
    crate::quantity::measure(&format!("1 {}", unit.symbol())).ok().map(|one| one.base)
}

fn contains(reader: &mut Reader<'_>) -> Vec<Use> {
    reader.list_long_form("contains", long_use);
    let lines = reader.by_reference("contains", what_contains, |value, sink| {
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

type UseLine = (At<Amount>, Option<At<semver::VersionReq>>, Vec<At<Placement>>, bool);

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
        let resistance = reader.required_figure("resistance", &RESISTANCE);
        Some(HeatPath { to: to?, resistance: resistance? })
    })
}

fn draws(reader: &mut Reader<'_>) -> Vec<(At<Id>, Draw)> {
    let what = || "a current such as \"1.2 A\", or a table with mean and peak".to_owned();
    reader.list_long_form("draws", draw);
    reader.by_reference("draws", what, |value, sink| {
        if !value.get_ref().is_table() {
            let mean = figure_of(&CURRENT, value, sink)?;
            return Some(Draw { mean: At::new(mean, span_of(value)), peak: None });
        }
        let mut inner = Reader::of(value, sink)?;
        let draw = draw(&mut inner);
        inner.finish();
        draw
    })
}

fn draw(reader: &mut Reader<'_>) -> Option<Draw> {
    let mean = reader.required_figure("mean", &CURRENT);
    let peak = reader.figure("peak", &CURRENT);
    let mean = mean?;
    if let Some(peak) = peak.as_ref().filter(|peak| peak.measure.base < mean.measure.base) {
        let message = "the peak is below the mean";
        reader.error(Diagnostic::error(CONTRADICTION, peak.span, message));
    }
    Some(Draw { mean, peak })
}

/// Every key that no reader took: built-in quantities and the designer's own, or a slip. Which of
/// them it is shows when the manifest is at hand; so does whether what is wrong in it matters.
fn quantities(reader: &mut Reader<'_>) -> Vec<(At<Id>, Stated)> {
    reader.list_long_form("value", sourced);
    let text = reader.text();
    let mut quantities = centre_of_mass(reader);
    let rest = reader.rest().into_iter();
    quantities.extend(rest.map(|(key, span, value)| {
        let sink = Sink::new(text);
        let read = Sourced::read(value, &sink);
        let (found, _) = sink.into_parts();
        let result = read.filter(|_| found.is_empty()).ok_or(found);
        (At::new(Id::new(key), span), result)
    }));
    quantities
}
