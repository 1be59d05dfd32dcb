//! Written concessions: what they cover, how far, until when.

use semver::Version;

use super::{Bound, Covered, Finding, Lapse, Lapsed, Occasion, Side, Verdict};
use crate::design::{Design, Held};
use crate::record::{Requirement, Waived, Waiver};

/// The first waiver in the order of ids that covers the requirement as it stands: one that is in
/// force and whose `up-to` holds the whole uncertainty, `guard`, of every value that is no pass.
pub(super) fn of_requirement(
    design: &Design,
    requirement: &Requirement,
    bounds: &[Bound],
    guard: f64,
    occasion: &Occasion,
) -> Option<Covered> {
    let covers = |waiver: &&Held<Waiver>| {
        is_of(waiver, requirement) && shortfall(waiver, bounds, guard).is_none()
    };
    first(design, occasion, covers)
}

/// The waivers of the requirement, none of which covers it, with what each of them lacks.
pub(super) fn lapsed(
    design: &Design,
    requirement: &Requirement,
    bounds: &[Bound],
    guard: f64,
    occasion: &Occasion,
) -> Vec<Lapsed> {
    let waivers = design.waivers.iter().filter(|waiver| is_of(waiver, requirement));
    let lapsed = |waiver: &Held<Waiver>| {
        let ended = ended(waiver, occasion).map(Lapse::Ended);
        let why = ended.or_else(|| shortfall(waiver, bounds, guard))?;
        Some(Lapsed { waiver: waiver.id.value.clone(), why })
    };
    waivers.filter_map(lapsed).collect()
}

fn is_of(waiver: &Waiver, requirement: &Requirement) -> bool {
    let Some(Waived::Requirement(waived)) = &waiver.waived else { return false };
    waived.value == requirement.id.value
}

/// The release from which on the waiver no longer holds, where it does not at the one that is judged.
fn ended(waiver: &Waiver, occasion: &Occasion) -> Option<Version> {
    let until_before = &waiver.until_before.as_ref()?.value;
    let is_in_force = occasion.release.cmp_precedence(until_before).is_lt();
    (!is_in_force).then(|| until_before.clone())
}

/// The first waiver in the order of ids that covers what a release check found.
pub(super) fn of_finding(
    design: &Design,
    finding: &Finding,
    occasion: &Occasion,
) -> Option<Covered> {
    let covers = |waiver: &&Held<Waiver>| match &waiver.waived {
        Some(Waived::Check { check, part }) => {
            check.as_str() == finding.check.0
                && part.as_ref().is_none_or(|part| {
                    finding.part.is_some_and(|found| *design.id(found) == part.value)
                })
        }
        _ => false,
    };
    first(design, occasion, covers)
}

fn first(
    design: &Design,
    occasion: &Occasion,
    covers: impl Fn(&&Held<Waiver>) -> bool,
) -> Option<Covered> {
    design.waivers.iter().filter(covers).find_map(|waiver| {
        let until_before = waiver.until_before.as_ref()?.value.clone();
        let in_force = ended(waiver, occasion).is_none();
        in_force.then(|| Covered { waiver: waiver.id.value.clone(), until_before })
    })
}

/// What the waiver lacks of what is open; nothing where it names no value.
fn shortfall(waiver: &Waiver, bounds: &[Bound], guard: f64) -> Option<Lapse> {
    let up_to = waiver.up_to.as_ref()?.base;
    let mut open = bounds.iter().filter(|bound| bound.verdict != Verdict::Pass).peekable();
    if open.peek().is_none() {
        // Without a value there is nothing that the concession could be measured by.
        return Some(Lapse::NoValue);
    }
    open.find_map(|Bound { side, value, .. }| {
        let (needed, beyond) = match side {
            Side::AtMost => (value + guard, value + guard - up_to),
            Side::AtLeast => (value - guard, up_to - (value - guard)),
        };
        let falls_short = beyond > NOISE * needed.abs();
        falls_short.then_some(Lapse::Short { side: *side, up_to, needed, guard })
    })
}

/// What lies beyond so many digits is left over from adding up.
const NOISE: f64 = 1e-12;
