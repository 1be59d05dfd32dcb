//! `cautions-present`: who builds it is warned where it can hurt.

use std::collections::BTreeSet;

use super::{Check, Context, finding, place};
use crate::design::{Design, PartIx};
use crate::diagnostic::Code;
use crate::record::{Hazard, Id};
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("cautions-present"),
    title: "Every hazard has its caution",
    doc: "For every hazard of a part that the product holds, a step that uses the part, or an assembly \
          that holds it, names it among its cautions. A design without steps is not judged. The \
          caution in a step replaces no local code and no licensed practice.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    if design.steps.is_empty() {
        return Vec::new();
    }
    let parts = design.product().into_iter();
    parts.flat_map(|part| unwarned(design, part)).collect()
}

fn unwarned(design: &Design, part: PartIx) -> Vec<Finding> {
    let held = design.record(part);
    if held.hazards.is_empty() {
        return Vec::new();
    }
    let handled = handled_as(design, part);
    let warned: BTreeSet<&Hazard> = design
        .steps
        .iter()
        .filter(|step| step.uses.iter().any(|(used, _)| handled.contains(&used.value)))
        .flat_map(|step| step.cautions.iter().map(|caution| &caution.value))
        .collect();
    let silent = held.hazards.iter().filter(|hazard| !warned.contains(&hazard.value));
    let told = silent.map(|hazard| {
        let (id, word) = (held.id.as_str(), hazard.word());
        Finding {
            part: Some(part),
            place: Some(place(&held.path, hazard)),
            remedy: Some(format!("add `{word}` to the cautions of the step that uses `{id}`")),
            ..finding(CHECK.code, format!("no step that uses `{id}` warns of `{word}`"))
        }
    });
    told.collect()
}

/// The part and every assembly that holds it: what a step may call it.
fn handled_as(design: &Design, part: PartIx) -> BTreeSet<Id> {
    let mut above = BTreeSet::from([part]);
    for &assembly in design.order.iter().rev() {
        if design.links[assembly.index()].iter().any(|link| above.contains(&link.child)) {
            above.insert(assembly);
        }
    }
    above.into_iter().map(|part| design.id(part).clone()).collect()
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found;

    fn with(steps: &str) -> Vec<String> {
        let text = format!(
            "[part.scanner]\norigin = \"assembled\"\ncontains = {{ lamp-house = 1, lid = 1 }}\n\
             [part.lamp-house]\norigin = \"assembled\"\ncontains = {{ lamp = 1 }}\n\
             [part.lid]\norigin = \"printed\"\n[part.spare]\norigin = \"bought\"\n\
             hazard = [\"cell\"]\n\
             [part.lamp]\norigin = \"bought\"\nhazard = [\"light\", \"hot-surface\"]\n{steps}"
        );
        found("cautions-present", &text, "1.0.0")
    }

    #[test]
    fn a_hazard_is_warned_of_where_its_part_is_used() {
        assert_eq!(with(""), [""; 0], "no steps, not judged");
        let lid = "[step.close]\nuses = { lid = 1 }\ncaution = [\"hot-surface\"]\n";
        let lamp = "[step.light]\nuses = { lamp = 1 }\ncaution = [\"light\"]\n";
        assert_eq!(
            with(&format!("{lid}{lamp}")),
            ["no step that uses `lamp` warns of `hot-surface`"]
        );
        let house = "[step.hang]\nuses = { lamp-house = 1 }\ncaution = [\"hot-surface\"]\n";
        assert_eq!(with(&format!("{house}{lamp}")), [""; 0]);
    }
}
