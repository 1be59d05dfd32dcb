//! `[item.ID]`, `[decision.ID]`, `[waiver.ID]`, `[step.ID]`.

use super::reader::Reader;
use super::wanted::{TIME, TORQUE};
use super::{BAD_VALUE, CONTRADICTION, MISSING_KEY};
use crate::diagnostic::{At, Diagnostic};
use crate::quantity::Amount;
use crate::record::{Decision, Id, Item, Step, Waived, Waiver};

pub(super) fn read_item(id: At<Id>, reader: &mut Reader<'_>) -> Option<Item> {
    let item = Item {
        id,
        title: reader.optional("title"),
        note: reader.optional("note"),
        opened: reader.optional("opened"),
        parts: reader.list("parts"),
        blocks: reader.list("blocks"),
        after: reader.list("after"),
        due: reader.optional("due"),
        effort: reader.figure("effort", &TIME),
        closed: reader.optional("closed"),
        result: reader.optional("result"),
    };
    if let (Some(opened), Some(closed)) = (&item.opened, &item.closed)
        && closed.value < opened.value
    {
        let message = format!("closed before it was opened on {}", opened.value);
        reader.error(Diagnostic::error(CONTRADICTION, closed.span, message));
    }
    Some(item)
}

pub(super) fn read_decision(id: At<Id>, reader: &mut Reader<'_>) -> Option<Decision> {
    Some(Decision {
        id,
        on: reader.optional("on"),
        title: reader.optional("title"),
        why: reader.optional("why"),
        by: reader.optional("by"),
        parts: reader.list("parts"),
        rejected: reader.list("rejected"),
        replaces: reader.list("replaces"),
    })
}

pub(super) fn read_waiver(id: At<Id>, reader: &mut Reader<'_>) -> Option<Waiver> {
    let requirement = reader.optional("requirement");
    let check = reader.optional("check");
    let part = reader.optional::<Id>("part");
    let waived = waived(&id, requirement, check, part, reader);
    let waiver = Waiver {
        id,
        waived,
        up_to: reader.optional("up-to"),
        until_before: reader.required("until-before"),
        on: reader.optional("on"),
        by: reader.optional("by"),
        why: reader.required("why"),
    };
    Some(waiver)
}

fn waived(
    id: &At<Id>,
    requirement: Option<At<Id>>,
    check: Option<At<Id>>,
    part: Option<At<Id>>,
    reader: &Reader<'_>,
) -> Option<Waived> {
    match (requirement, check, part) {
        (Some(requirement), None, None) => Some(Waived::Requirement(requirement)),
        (Some(_), None, Some(part)) => {
            let message = "`part` goes with `check`; a requirement has its part already";
            reader.error(Diagnostic::error(CONTRADICTION, part.span, message));
            None
        }
        (None, Some(check), part) => Some(Waived::Check { check, part }),
        (Some(_), Some(check), _) => {
            let message = "a waiver covers a requirement or a check, not both";
            reader.error(Diagnostic::error(CONTRADICTION, check.span, message));
            None
        }
        (None, None, _) => {
            let message = "the waiver covers nothing: `requirement` or `check` is missing";
            reader.error(Diagnostic::error(MISSING_KEY, id.span, message));
            None
        }
    }
}

pub(super) fn read_step(id: At<Id>, reader: &mut Reader<'_>) -> Option<Step> {
    let step = Step {
        id,
        title: reader.optional("title"),
        note: reader.optional("note"),
        uses: reader.map_by_reference::<Amount>("uses"),
        makes: reader.map_by_reference::<Amount>("makes"),
        times: reader.optional::<u64>("times"),
        after: reader.list("after"),
        tools: reader.list("tools"),
        torque: reader.figure("torque", &TORQUE),
        time: reader.figure("time", &TIME),
        cautions: reader.list("caution"),
        variant: reader.optional("variant"),
        option: reader.optional("option"),
    };
    if let Some(times) = step.times.as_ref().filter(|times| times.value == 0) {
        let message = "the step is done zero times";
        let hint = "leave `times` out for once, or the step for never";
        reader.error(Diagnostic::error(BAD_VALUE, times.span, message).with_hint(hint));
    }
    let amounts = step.uses.iter().chain(&step.makes);
    for (part, amount) in amounts.filter(|(_, amount)| amount.exact.is_zero()) {
        let message = format!("the step takes `{}` zero times", part.as_str());
        let diagnostic = Diagnostic::error(BAD_VALUE, amount.span, message);
        reader.error(diagnostic.with_hint("leave it out"));
    }
    Some(step)
}
