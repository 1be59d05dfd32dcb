//! What is promised less than before is always said.

use super::{SCANNER, between, shown};

const LIGHT: &str = r#"
[requirement.light]
part = "head"
quantity = "mass"
at-most = "900 g"
at-least = "100 g"
margin = "90 g"
method = "test"
due = "0.5.0"
"#;

fn check(from: &str, to: &str, expected: &str) {
    let before = format!("{SCANNER}{LIGHT}");
    let after = before.replace(from, to);
    assert_ne!(before, after);
    let shown = shown(&between(&before, &after));
    let loosened: Vec<_> = shown.lines().filter(|line| line.contains("loosened")).collect();
    assert_eq!(loosened.join("\n"), expected);
}

#[test]
fn limits() {
    check("\"900 g\"", "\"0.95 kg\"", "light loosened at-most: at most 900 g → at most 0.95 kg");
    check("\"900 g\"", "\"0.9 kg\"", "");
    check("\"900 g\"", "\"800 g\"", "");
    check("at-most = \"900 g\"\n", "", "light loosened at-most: at most 900 g → ");
    check("\"100 g\"", "\"90 g\"", "light loosened at-least: at least 100 g → at least 90 g");
    check("\"100 g\"", "\"110 g\"", "");
}

#[test]
fn a_pair_of_limits() {
    let pair = "equals = \"500 g\"\nwithin = \"400 g\"";
    check("at-most = \"900 g\"\nat-least = \"100 g\"", pair, "");
    let wider = pair.replace("400 g", "450 g");
    let found = "light loosened at-most: at most 900 g → 500 g within 450 g\n\
                 light loosened at-least: at least 100 g → 500 g within 450 g";
    check("at-most = \"900 g\"\nat-least = \"100 g\"", &wider, found);
}

#[test]
fn margins() {
    check("margin = \"90 g\"", "margin = \"80 g\"", "light loosened margin: 90 g → 80 g");
    check("margin = \"90 g\"", "margin = \"10 %\"", "");
    check("margin = \"90 g\"", "margin = \"9 %\"", "light loosened margin: 90 g → 9 %");
    check("margin = \"90 g\"\n", "", "light loosened margin: 90 g → ");
}

#[test]
fn method_priority_and_due_date() {
    check("\"test\"", "\"demonstration\"", "light loosened method: test → demonstration");
    check("method = \"test\"\n", "", "light loosened method: test → analysis");
    check("due =", "priority = \"should\"\ndue =", "light loosened priority: must → should");
    check("due =", "decide = \"simple\"\ndue =", "light loosened decide: guarded → simple");
    check("\"0.5.0\"", "\"0.6.0\"", "light loosened due: 0.5.0 → 0.6.0");
    check("\"0.5.0\"", "\"0.4.0\"", "");
    check("due = \"0.5.0\"\n", "", "");
}

/// The part has another name, or another one is in its place.
#[test]
fn what_is_asked_follows_the_part_that_is_exchanged() {
    let before = format!("{SCANNER}{LIGHT}");
    let loosened = |after: &str| {
        let shown = shown(&between(&before, after));
        shown.lines().filter(|line| line.contains("loosened")).collect::<Vec<_>>().join("\n")
    };
    let renamed = before.replace("head", "tower");
    assert_eq!(loosened(&renamed), "");
    let heavier = renamed.replace("\"900 g\"", "\"950 g\"");
    assert_eq!(loosened(&heavier), "light loosened at-most: at most 900 g → at most 950 g");
    let beside = renamed.replace("screw = 4", "screw = 4, head = 1");
    let beside = format!("{beside}[part.head]\norigin = \"bought\"\nmass = \"1 g\"\n");
    assert_eq!(loosened(&beside), "light loosened subject: head mass → tower mass");
}

#[test]
fn a_requirement_that_is_gone_or_about_something_else() {
    let gone = "light loosened requirement: at least 100 g, at most 900 g, by test → ";
    check(LIGHT, "", gone);
    check("\"head\"", "\"gate\"", "light loosened subject: head mass → gate mass");
}

/// The cost is kept of an order for as many as its requirement asks.
#[test]
fn a_cost_whose_requirement_went_was_there_before() {
    let ten = super::SCANNER.replace("at-most = \"110 EUR\"", "at-most = \"110 EUR\"\nbuilds = 10");
    let without = super::SCANNER.split("[requirement.cost-ceiling]").next().expect("the rest");
    let change = super::impact(Some(&super::assessed(&ten)), &super::assessed(without));
    let costs: Vec<_> =
        change.budgets.iter().filter(|budget| budget.quantity.as_str() == "cost").collect();
    assert_eq!(costs.iter().map(|cost| cost.builds).collect::<Vec<_>>(), [1, 10]);
    for cost in costs {
        assert!(cost.before.is_some() && cost.before == cost.after, "{cost:?}");
    }
}
