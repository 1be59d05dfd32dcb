//! `[rail.ID]` and `[node.ID]`.

use super::MISSING_KEY;
use super::field::{in_words, measure_of};
use super::part::heat_paths;
use super::reader::Reader;
use crate::diagnostic::{At, Diagnostic};
use crate::quantity::{Dimension, Kind};
use crate::record::{Derate, Id, Node, Rail};

const VOLTAGE: &[Kind] = &[Kind::of(Dimension::VOLTAGE)];
const CURRENT: &[Kind] = &[Kind::of(Dimension::CURRENT)];
const TEMPERATURE: &[Kind] = &[Kind::TEMPERATURE_POINT];
const PER_KELVIN: &[Kind] = &[Kind::of(Dimension::PER_KELVIN)];

pub(super) fn read_rail(id: At<Id>, reader: &mut Reader<'_>) -> Option<Rail> {
    let voltage = reader.read_with("voltage", || in_words(VOLTAGE), measure_of(VOLTAGE));
    if voltage.is_none() {
        let message = "`voltage` is missing or wrong: a rail needs one, such as \"5 V\"";
        reader.error(Diagnostic::error(MISSING_KEY, reader.span(), message));
    }
    let title = reader.optional("title");
    let fed_by = reader.optional("fed-by");
    let made_in = reader.optional("made-in");
    let efficiency = reader.optional("efficiency");
    let rating = reader.read_with("rating", || in_words(CURRENT), measure_of(CURRENT));
    let derate = reader.table("derate", derate);
    Some(Rail { id, title, voltage: voltage?, fed_by, made_in, efficiency, rating, derate })
}

fn derate(reader: &mut Reader<'_>) -> Option<Derate> {
    let from = reader.read_with("from", || in_words(TEMPERATURE), measure_of(TEMPERATURE));
    let by = reader.read_with(
        "by",
        || "a share a kelvin such as \"2.5 %/K\"".to_owned(),
        measure_of(PER_KELVIN),
    );
    let at = reader.optional("at");
    if from.is_none() || by.is_none() {
        let message = "a derating needs `from` and `by`";
        reader.error(Diagnostic::error(MISSING_KEY, reader.span(), message));
    }
    Some(Derate { from: from?, by_per_k: by?, at })
}

pub(super) fn read_node(id: At<Id>, reader: &mut Reader<'_>) -> Option<Node> {
    let title = reader.optional("title");
    Some(Node { id, title, heat_paths: heat_paths(reader) })
}
