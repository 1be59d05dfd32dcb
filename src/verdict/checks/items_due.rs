//! Open items that are due are closed.

use super::{Check, Context, finding, place};
use crate::design::Held;
use crate::diagnostic::Code;
use crate::record::{Item, Priority};
use crate::verdict::{Finding, Occasion, requirement};

pub(super) const CHECK: Check = Check {
    code: Code("items-due"),
    title: "Open items that are due are closed",
    doc: "An item that is open holds up the release that it is due for and every later one; without \
          `due` it holds up every release. With `blocks` it holds up those requirements alone: it \
          is in the way where one of them is a must-have that is due. An item due later is deferred.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let items = context.design.items.iter();
    let open = items.filter(|item| item.closed.is_none() && is_due(item, context.occasion));
    open.filter_map(|item| in_the_way(context, item)).collect()
}

fn is_due(item: &Item, occasion: &Occasion) -> bool {
    item.due.as_ref().is_none_or(|due| due.value.cmp_precedence(&occasion.release).is_le())
}

fn in_the_way(context: &Context<'_>, item: &Held<Item>) -> Option<Finding> {
    let design = context.design;
    let blocked: Vec<String> = item
        .blocks
        .iter()
        .filter_map(|blocked| design.requirement(blocked.as_str()))
        .filter(|blocked| blocked.priority() == Priority::Must)
        .filter(|blocked| requirement::is_due(blocked, context.occasion))
        .map(|blocked| format!("`{}`", blocked.id.as_str()))
        .collect();
    let what = match (item.blocks.is_empty(), blocked.is_empty()) {
        (true, _) => "the release".to_owned(),
        (false, true) => return None,
        (false, false) => blocked.join(", "),
    };
    let mut parts = item.parts.iter().filter_map(|part| design.part(part.as_str()));
    Some(Finding {
        part: parts.next(),
        through: parts.collect(),
        place: Some(place(&item.path, &item.id)),
        remedy: Some("close it with its result, or defer it with a later `due`".to_owned()),
        ..finding(CHECK.code, format!("`{}` is open and holds up {what}", item.id.as_str()))
    })
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found;

    const PART: &str = "[part.scanner]\norigin = \"bought\"\n";

    fn due(item: &str, release: &str) -> bool {
        !found("items-due", &format!("{PART}[item.glare]\n{item}"), release).is_empty()
    }

    #[test]
    fn an_open_item_holds_up_the_release_that_it_is_due_for() {
        assert!(due("", "0.1.0"), "without `due`, every release");
        assert!(due("due = \"1.0.0\"", "1.0.0"));
        assert!(due("due = \"1.0.0\"", "1.1.0"));
        assert!(!due("due = \"1.1.0\"", "1.0.0"), "deferred");
        assert!(!due("closed = 2026-10-20\nresult = \"moved\"", "1.0.0"));
    }

    /// Semantic Versioning 2.0.0, 11: a pre-release comes before its release.
    #[test]
    fn what_is_due_at_a_release_does_not_hold_up_its_candidate() {
        assert!(!due("due = \"1.0.0\"", "1.0.0-rc.1"));
        assert!(due("due = \"1.0.0-beta.2\"", "1.0.0-beta.11"));
        assert!(due("due = \"1.0.0+b\"", "1.0.0+a"), "build metadata has no rank");
    }

    #[test]
    fn an_item_that_blocks_requirements_holds_up_those() {
        let with = |priority: &str, due: &str| {
            let text = format!(
                "{PART}[item.glare]\nblocks = [\"even-light\"]\n[requirement.even-light]\n\
                 part = \"scanner\"\nmethod = \"test\"\npriority = \"{priority}\"\ndue = \"{due}\"\n"
            );
            found("items-due", &text, "1.0.0")
        };
        assert_eq!(with("must", "1.0.0"), ["`glare` is open and holds up `even-light`"]);
        assert_eq!(with("should", "1.0.0"), [""; 0]);
        assert_eq!(with("must", "2.0.0"), [""; 0]);
    }
}
