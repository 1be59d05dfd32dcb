//! `[evidence.ID]`.

use super::figure::{result, what_result};
use super::reader::Reader;
use super::wanted::{TEMPERATURE, TEMPERATURE_RATE, TIME};
use super::{BAD_VALUE, CONTRADICTION, MISSING_KEY};
use crate::diagnostic::{At, Diagnostic};
use crate::record::{CarriedOver, Evidence, Id, Trials};

pub(super) fn read(id: At<Id>, reader: &mut Reader<'_>) -> Option<Evidence> {
    let evidence = Evidence {
        id,
        title: reader.optional("title"),
        note: reader.optional("note"),
        part: reader.optional("part"),
        quantity: reader.optional("quantity"),
        value: reader.read_with("value", what_result, result),
        verifies: reader.list("verifies"),
        outcome: reader.optional("outcome"),
        trials: reader.table("trials", trials),
        ambient: reader.figure("ambient", &TEMPERATURE),
        steady: reader.figure("steady", &TEMPERATURE_RATE),
        method: reader.optional("method"),
        on: reader.optional("on"),
        by: reader.optional("by"),
        files: reader.list("files"),
        with: reader.list("with"),
        except: reader.map_by_reference("except"),
        variant: reader.optional("variant"),
        samples: samples(reader),
        revision: reader.optional("revision"),
        effort: reader.figure("effort", &TIME),
        set_aside: reader.optional("set-aside"),
        seal: reader.map_by_reference("seal"),
        carries_over: reader.tables("carries-over", carried_over),
    };
    check_result(&evidence, reader);
    Some(evidence)
}

fn trials(reader: &mut Reader<'_>) -> Option<Trials> {
    let (passed, of) = (reader.required::<u64>("passed"), reader.required::<u64>("of"));
    let samples = samples(reader);
    let (passed, of) = (passed?, of?);
    if of.value == 0 {
        reader.error(Diagnostic::error(BAD_VALUE, of.span, "no trial is no result"));
    }
    if let Some(samples) = samples.as_ref().filter(|samples| samples.value > of.value.max(1)) {
        let message = format!("{} trials cannot be made with {} samples", of.value, samples.value);
        reader.error(Diagnostic::error(CONTRADICTION, samples.span, message));
    }
    if passed.value > of.value {
        let message = format!("{} of {} trials cannot have passed", passed.value, of.value);
        reader.error(Diagnostic::error(BAD_VALUE, passed.span, message));
    }
    Some(Trials { passed, of, samples })
}

/// On how many samples a result was won: on one at least.
fn samples(reader: &mut Reader<'_>) -> Option<At<u64>> {
    let samples = reader.optional::<u64>("samples")?;
    if samples.value == 0 {
        let message = "a result is of one sample at least";
        reader.error(Diagnostic::error(BAD_VALUE, samples.span, message));
    }
    Some(samples)
}

fn carried_over(reader: &mut Reader<'_>) -> Option<CarriedOver> {
    let part = reader.required("part");
    let seal = reader.required("seal");
    let why = reader.required("why");
    Some(CarriedOver { part: part?, seal: seal?, why: why? })
}

/// A result is a value of a quantity, or an outcome or trials of what it verifies.
fn check_result(evidence: &Evidence, reader: &Reader<'_>) {
    match ["value", "outcome", "trials"].iter().filter(|key| reader.has(key)).count() {
        0 => {
            let message = "the evidence has no result";
            let hint = "add value, outcome or trials";
            let diagnostic = Diagnostic::error(MISSING_KEY, evidence.id.span, message);
            reader.error(diagnostic.with_hint(hint));
        }
        1 => {}
        _ => {
            let message = "one evidence has one result: a value, an outcome or trials";
            reader.error(Diagnostic::error(CONTRADICTION, evidence.id.span, message));
        }
    }
    if evidence.value.is_some() && (evidence.part.is_none() || evidence.quantity.is_none()) {
        let message = "a value needs the `part` and the `quantity` that it is of";
        reader.error(Diagnostic::error(MISSING_KEY, evidence.id.span, message));
    }
    if evidence.value.is_none() && evidence.verifies.is_empty() && evidence.part.is_none() {
        let message = "the evidence says neither what it verifies nor which part it is about";
        reader.error(Diagnostic::error(MISSING_KEY, evidence.id.span, message));
    }
}
