//! `[requirement.ID]`.

use super::reader::Reader;
use super::{BAD_VALUE, CONTRADICTION, MISSING_KEY};
use crate::diagnostic::{At, Diagnostic, Span};
use crate::record::{Id, Limits, Requirement};

pub(super) fn read(id: At<Id>, reader: &mut Reader<'_>) -> Option<Requirement> {
    let requirement = Requirement {
        id,
        title: reader.optional("title"),
        note: reader.optional("note"),
        part: reader.optional("part"),
        rail: reader.optional("rail"),
        quantity: reader.optional("quantity"),
        limits: Limits {
            at_most: reader.optional("at-most"),
            at_least: reader.optional("at-least"),
            equals: reader.optional("equals"),
            within: reader.optional("within"),
        },
        margin: reader.optional("margin"),
        method: reader.optional("method"),
        priority: reader.optional("priority"),
        due: reader.optional("due"),
        from: reader.optional("from"),
        decide: reader.optional("decide"),
        ambient_rule: reader.optional("ambient-rule"),
        builds: reader.optional("builds"),
        success: reader.optional("success"),
        confidence: reader.optional("confidence"),
        trials: reader.optional("trials"),
    };
    check_subject(&requirement, reader);
    check_limits(&requirement, reader);
    check_trials(&requirement, reader);
    Some(requirement)
}

fn check_subject(requirement: &Requirement, reader: &Reader<'_>) {
    match (&requirement.part, &requirement.rail) {
        (None, None) => {
            let message = "the requirement names neither `part` nor `rail`";
            reader.error(Diagnostic::error(MISSING_KEY, requirement.id.span, message));
        }
        (Some(_), Some(rail)) => {
            let message = "a requirement is about a part or about a rail, not both";
            reader.error(Diagnostic::error(CONTRADICTION, rail.span, message));
        }
        _ => {}
    }
    if let (Some(_), Some(quantity)) = (&requirement.rail, &requirement.quantity) {
        let message = "a rail is judged on its peak current; `quantity` has no meaning here";
        reader.error(Diagnostic::error(CONTRADICTION, quantity.span, message));
    }
    if let Some(builds) = requirement.builds.as_ref().filter(|builds| builds.value == 0) {
        let message = "an order is for at least one build";
        reader.error(Diagnostic::error(BAD_VALUE, builds.span, message));
    }
}

fn check_limits(requirement: &Requirement, reader: &Reader<'_>) {
    let limits = &requirement.limits;
    let one_sided = limits.at_most.as_ref().or(limits.at_least.as_ref());
    let contradiction = |span: Span, message: &str| {
        reader.error(Diagnostic::error(CONTRADICTION, span, message));
    };
    match (&limits.equals, &limits.within) {
        (Some(equals), None) => contradiction(equals.span, "`equals` needs `within`"),
        (None, Some(within)) => contradiction(within.span, "`within` needs `equals`"),
        (Some(equals), Some(_)) if one_sided.is_some() => {
            contradiction(equals.span, "`equals` and `within` are both limits already");
        }
        (Some(_), Some(within)) if within.base < 0.0 => {
            contradiction(within.span, "`within` is negative");
        }
        _ => {}
    }
    let there = ["at-most", "at-least", "equals", "within"].iter().any(|key| reader.has(key));
    let first = one_sided.or(limits.equals.as_ref()).map(|limit| limit.span);
    let first = first.or(requirement.margin.as_ref().map(|margin| margin.span));
    match (&requirement.quantity, &requirement.rail, first) {
        (Some(quantity), None, _) if !there => {
            let message = "the requirement has a quantity and no limit";
            let hint = "add at-most, at-least, or equals with within";
            let diagnostic = Diagnostic::error(MISSING_KEY, quantity.span, message);
            reader.error(diagnostic.with_hint(hint));
        }
        (None, None, Some(limit)) if !reader.has("quantity") => {
            contradiction(limit, "a limit or margin needs the `quantity` that it holds for");
        }
        _ => {}
    }
    if let (Some(least), Some(most)) = (&limits.at_least, &limits.at_most)
        && least.kind == most.kind
        && least.base > most.base
    {
        contradiction(least.span, "`at-least` is above `at-most`: nothing can pass");
    }
}

fn check_trials(requirement: &Requirement, reader: &Reader<'_>) {
    let Some(success) = &requirement.success else {
        let stray = requirement.confidence.as_ref().map(|confidence| confidence.span);
        if let Some(span) = stray.or(requirement.trials.as_ref().map(|trials| trials.span)) {
            let message = "`confidence` and `trials` need `success`";
            reader.error(Diagnostic::error(CONTRADICTION, span, message));
        }
        return;
    };
    for key in ["confidence", "trials"].into_iter().filter(|key| !reader.has(key)) {
        let message = format!("`success` needs `{key}`, fixed beforehand");
        reader.error(Diagnostic::error(MISSING_KEY, success.span, message));
    }
    if let Some(trials) = requirement.trials.as_ref().filter(|trials| trials.value == 0) {
        let message = "no trials show nothing";
        reader.error(Diagnostic::error(BAD_VALUE, trials.span, message));
    }
    for share in [Some(success), requirement.confidence.as_ref()].into_iter().flatten() {
        if share.value <= 0.0 || share.value >= 1.0 {
            let message = "trials show a share above 0 % and below 100 %";
            reader.error(Diagnostic::error(BAD_VALUE, share.span, message));
        }
    }
}
