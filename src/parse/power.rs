//! `[rail.ID]` and `[node.ID]`.

use super::BAD_VALUE;
use super::part::heat_paths;
use super::reader::Reader;
use super::wanted::{PER_KELVIN, RATING, TEMPERATURE, VOLTAGE};
use crate::diagnostic::{At, Diagnostic};
use crate::record::{Derate, Id, Node, Rail};

pub(super) fn read_rail(id: At<Id>, reader: &mut Reader<'_>) -> Option<Rail> {
    let voltage = reader.required_measure("voltage", &VOLTAGE);
    let title = reader.optional("title");
    let fed_by = reader.optional("fed-by");
    let made_in = reader.optional("made-in");
    let efficiency = reader.optional::<f64>("efficiency");
    if let Some(efficiency) = efficiency.as_ref().filter(|efficiency| efficiency.value == 0.0) {
        let message = "an efficiency of zero lets nothing through";
        reader.error(Diagnostic::error(BAD_VALUE, efficiency.span, message));
    }
    let rating = reader.measure("rating", &RATING);
    let derate = reader.table("derate", derate);
    Some(Rail { id, title, voltage: voltage?, fed_by, made_in, efficiency, rating, derate })
}

fn derate(reader: &mut Reader<'_>) -> Option<Derate> {
    let from = reader.required_measure("from", &TEMPERATURE);
    let by = reader.required_measure("by", &PER_KELVIN);
    let at = reader.optional("at");
    Some(Derate { from: from?, by_per_k: by?, at })
}

pub(super) fn read_node(id: At<Id>, reader: &mut Reader<'_>) -> Option<Node> {
    let title = reader.optional("title");
    Some(Node { id, title, heat_paths: heat_paths(reader) })
}
