//! Written concessions: what they cover, how far, until when.

use super::{Bound, Covered, Finding, Occasion, Side, Verdict};
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
    let covers = |waiver: &&Held<Waiver>| match &waiver.waived {
        Some(Waived::Requirement(waived)) => {
            waived.value == requirement.id.value && is_up_to(waiver, bounds, guard)
        }
        _ => false,
    };
    first(design, occasion, covers)
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
        let is_in_force = occasion.release.cmp_precedence(&until_before).is_lt();
        is_in_force.then(|| Covered { waiver: waiver.id.value.clone(), until_before })
    })
}

fn is_up_to(waiver: &Waiver, bounds: &[Bound], guard: f64) -> bool {
    let Some(up_to) = &waiver.up_to else { return true };
    let mut open = bounds.iter().filter(|bound| bound.verdict != Verdict::Pass).peekable();
    // Without a value there is nothing that the concession could be measured by.
    open.peek().is_some()
        && open.all(|bound| match bound.side {
            Side::AtMost => bound.value + guard <= up_to.base,
            Side::AtLeast => bound.value - guard >= up_to.base,
        })
}
