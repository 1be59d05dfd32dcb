//! Results, items, decisions and steps that changes reach; findings that are news and that are none.

use super::{SCANNER, between, changed, looked_at, other_gate, shown, with_result};
use crate::assess;
use crate::compare::{Impact, impact};
use crate::evidence::RevisionSeals;
use crate::fixture::{MANIFEST, design};
use crate::record::{Date, Id};
use crate::verdict::{Assessed, Documents, Occasion};

/// What became of results, one line each.
fn results(before: &str, after: &str) -> Vec<String> {
    let change = between(before, after);
    let line = |turned: &crate::compare::ResultChange| {
        let asked: Vec<&str> = turned.requirements.iter().map(Id::as_str).collect();
        format!("{} {:?} for {}", turned.evidence, turned.turn, asked.join(", "))
    };
    change.results.iter().map(line).collect()
}

#[test]
fn results_are_overtaken_and_hold_again() {
    let sealed = looked_at(SCANNER);
    let other = other_gate(&sealed);
    assert_eq!(results(&sealed, &other), ["look Overtaken for quiet"]);
    assert_eq!(results(&other, &sealed), ["look HoldsAgain for quiet"]);
    assert_eq!(results(&sealed, &sealed.replace("P-1", "P-2")), [""; 0], "the panel is not seen");
}

#[test]
fn results_come_and_are_set_aside() {
    let sealed = looked_at(SCANNER);
    let again = with_result(&sealed, "look-again", "pass");
    assert_eq!(results(&sealed, &again), ["look-again Added for quiet"]);
    assert_eq!(results(&again, &sealed), ["look-again Removed for quiet"]);
    let dark = sealed.replace("outcome = \"pass\"", "outcome = \"pass\"\nset-aside = \"dark\"");
    assert_eq!(results(&sealed, &dark), ["look SetAside for quiet"]);
}

const PLANS: &str = r#"
[item.rattle]
parts = ["gate"]
[item.old]
closed = 2026-09-01
result = "done"
parts = ["gate"]
[decision.brass]
title = "Brass"
why = "wear"
parts = ["gate"]
[decision.tin]
title = "Tin"
why = "price"
parts = ["gate"]
[decision.steel]
title = "Steel"
why = "both"
replaces = ["tin"]
[step.hang]
uses = { gate = 1, screw = 2 }
makes = { head = 1 }
[step.close]
uses = { screw = 2 }
"#;

fn touched(change: &Impact) -> Vec<String> {
    let line = |one: &crate::compare::Touched| {
        let parts: Vec<&str> = one.parts.iter().map(Id::as_str).collect();
        format!("{:?} {} {:?} {}", one.kind, one.id, one.touch, parts.join(", "))
    };
    change.touched.iter().map(line).map(|line| line.trim_end().to_owned()).collect()
}

#[test]
fn another_part_touches_what_is_open_in_force_and_done_with_it() {
    let before = format!("{SCANNER}{PLANS}");
    assert_eq!(
        touched(&between(&before, &other_gate(&before))),
        ["Item rattle Reached gate", "Decision brass Reached gate", "Step hang Reached gate"]
    );
    let dearer = before.replace("price = \"20 EUR\"", "price = \"21 EUR\"");
    assert_eq!(touched(&between(&before, &dearer)), [""; 0], "the gate is the same thing");
}

#[test]
fn records_of_the_work_come_go_and_are_closed() {
    let before = format!("{SCANNER}{PLANS}");
    let after = before
        .replace("[item.rattle]\n", "[item.rattle]\nclosed = 2026-10-01\nresult = \"felt\"\n")
        .replace("[decision.brass]", "[decision.bronze]")
        .replace("uses = { screw = 2 }", "uses = { screw = 3 }");
    assert_eq!(
        touched(&between(&before, &after)),
        [
            "Item rattle Closed",
            "Decision brass Removed",
            "Decision bronze Added",
            "Step close Changed"
        ]
    );
}

#[test]
fn what_did_not_move_is_shared_out_among_no_parts() {
    let change = between(SCANNER, &changed(&[("\"5 g\"", "\"6 g\"")]));
    let shared = change.budgets.iter().filter(|budget| !budget.shares.is_empty());
    let shared: Vec<&str> = shared.map(|budget| budget.quantity.as_str()).collect();
    assert_eq!(shared, ["mass"]);
    assert!(change.budgets.len() > 1);
}

/// The scanner of one part, quoted in spring, judged on a day.
fn quoted(price: &str, month: i8) -> Assessed {
    let design = design(&format!(
        "\n== tagworthy.toml\n{MANIFEST}[rule]\nprice-age = \"30 d\"\n[part.scanner]\n\
         origin = \"bought\"\n[[part.scanner.offer]]\nsupplier = \"glass-shop\"\n\
         price = \"{price}\"\nquoted = 2026-04-01\n[supplier.glass-shop]\n"
    ));
    let today = Date::constant(2026, month, 1);
    let occasion = Occasion::new(design.next.clone(), today);
    assess::judge(&design, &RevisionSeals::default(), &Documents::default(), occasion)
}

#[test]
fn a_quote_that_only_grew_older_is_no_news() {
    let told = shown(&impact(Some(&quoted("3 EUR", 6)), &quoted("3 EUR", 9)));
    assert_eq!(told, "");
    let told = shown(&impact(Some(&quoted("3 EUR", 4)), &quoted("3 EUR", 6)));
    assert_eq!(told, "+ price-age: the quote of `glass-shop` for `scanner` is 61 days old\n");
}
