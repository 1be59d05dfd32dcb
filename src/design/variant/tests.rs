//! Variants beside the same designs written out by hand.

use std::sync::Arc;

use crate::design::Design;
use crate::evaluate::StandIns;
use crate::evaluate::figures;
use crate::fixture::{design, wrong};

/// A scanner with two lids to choose from; what the records hold besides.
fn scanner(more: &str) -> String {
    format!(
        r#"
[part.scanner]
origin = "assembled"
contains = {{ lid = 1, base = 1, lamp-house = 1, screw = 14 }}
[part.base]
origin = "printed"
mass = "520 g ± 6 g"
heat-path = [{{ to = "lid", resistance = "3 K/W" }}, {{ to = "ambient", resistance = "2 K/W" }}]
formula.lidded = "mass + lid.mass"
[part.lid]
origin = "printed"
version = "1.0.0"
mass = "90 g"
[part.short-lid]
origin = "printed"
mass = "60 g"
[part.lamp-house]
origin = "assembled"
contains = {{ led-panel = 1, screw = 4 }}
[part.led-panel]
origin = "bought"
mass = "400 g"
[part.screw]
origin = "bought"
mass = "0.8 g"
[step.close]
uses = {{ lid = 1, screw = 2 }}
time = "5 min"
[step.light]
uses = {{ led-panel = 1, screw = 4 }}
makes = {{ lamp-house = 1 }}
time = "9 min"
[requirement.carry-mass]
part = "scanner"
quantity = "mass"
at-most = "1 kg"
[requirement.lid-mass]
part = "lid"
quantity = "mass"
at-most = "80 g"
[requirement.panel-mass]
part = "led-panel"
quantity = "mass"
at-most = "1 kg"
{more}"#
    )
}

fn variant(more: &str) -> Arc<Design> {
    design(&scanner(&format!("[variant.travel]\n{more}")))
        .as_variant("travel")
        .expect("it is there")
}

/// Every budget by names, with its parts' shares: what two designs can be compared by.
fn budgets(design: &Design) -> Vec<String> {
    budgets_by(design, str::to_owned)
}

/// The same with parts by other names, in the order of these.
fn budgets_by(design: &Design, name: impl Fn(&str) -> String) -> Vec<String> {
    let figures = figures(None, design, &StandIns::default());
    let budgets = figures.budgets.iter().map(|(subject, budget)| {
        let terms = budget.contributions();
        let mut terms: Vec<_> = terms
            .map(|one| format!("{} {:?}", name(design.id(one.part).as_str()), one.total))
            .collect();
        terms.sort();
        let (part, quantity) = (name(design.id(subject.part).as_str()), &subject.quantity);
        format!("{part} {quantity} {:?} {terms:?}", budget.total)
    });
    let mut budgets: Vec<String> = budgets.collect();
    budgets.sort();
    budgets
}

#[test]
fn a_variant_is_the_design_that_could_be_written_by_hand() {
    let travel = variant(
        "drop = [\"lamp-house\"]\nswap = { lid = \"short-lid\" }\nchange.scanner.screw = 8\n",
    );
    let by_hand = design(
        &scanner("")
            .replace(
                "contains = { lid = 1, base = 1, lamp-house = 1, screw = 14 }",
                "contains = { short-lid = 1, base = 1, screw = 8 }",
            )
            .replace("to = \"lid\"", "to = \"short-lid\"")
            .replace("lid.mass", "short-lid.mass")
            .replace("part = \"lid\"", "part = \"short-lid\"")
            .replace("uses = { lid = 1", "uses = { short-lid = 1"),
    );
    let of_gone = |text: &String| !text.starts_with("led-panel");
    let by_hand: Vec<String> = budgets(&by_hand).into_iter().filter(of_gone).collect();
    assert_eq!(budgets(&travel), by_hand);
    let base = travel.record(travel.part("base").expect("a part"));
    assert_eq!(base.heat_paths[0].to.as_str(), "short-lid");
    assert_eq!(base.formulas[0].1.as_str(), "mass + short-lid.mass");
    let asked: Vec<&str> = travel.requirements.iter().map(|held| held.id.as_str()).collect();
    assert_eq!(asked, ["carry-mass", "lid-mass"], "the panel is gone with its house");
    let done: Vec<&str> = travel.steps.iter().map(|held| held.id.as_str()).collect();
    assert_eq!(done, ["close"]);
}

#[test]
fn a_variant_with_an_identical_part_has_the_same_budgets() {
    let text = scanner("[variant.travel]\nswap = { lid = \"short-lid\" }\n")
        .replace("mass = \"60 g\"", "mass = \"90 g\"\nversion = \"1.0.0\"");
    let base = design(&text);
    let travel = base.as_variant("travel").expect("it is there");
    let one_lid = |id: &str| id.replace("short-lid", "lid");
    assert_eq!(budgets_by(&travel, one_lid), budgets_by(&base, one_lid));
    assert_ne!(budgets(&travel), budgets(&base));
}

#[test]
fn a_variant_that_changes_nothing_is_the_design_and_shares_it() {
    let base = design(&scanner("[variant.travel]\ntitle = \"The same\"\n"));
    let travel = base.as_variant("travel").expect("it is there");
    assert_eq!(budgets(&base), budgets(&travel));
    let shared = base.parts.iter().zip(&travel.parts);
    assert!(shared.into_iter().all(|(one, other)| Arc::ptr_eq(&one.record, &other.record)));
}

#[test]
fn both_of_a_pair_can_change_places_and_a_part_can_come_in_addition() {
    let travel = variant("change.scanner = { short-lid = 2, screw = 0 }\n");
    let held = |design: &Design, part: &str| {
        let links = &design.links[design.top.index()];
        let part = design.part(part).expect("a part");
        links.iter().find(|link| link.child == part).map(|link| link.amount.to_string())
    };
    assert_eq!(held(&travel, "short-lid").as_deref(), Some("2"));
    assert_eq!(held(&travel, "screw"), None);
    let exchanged = variant(
        "swap = { lid = \"base\", base = \"lid\" }\nchange.scanner = { lid = 3, base = 2 }\n",
    );
    assert_eq!(held(&exchanged, "lid").as_deref(), Some("2"));
    assert_eq!(held(&exchanged, "base").as_deref(), Some("3"));
}

#[test]
fn steps_of_a_variant_count_in_it_alone() {
    let text = scanner("[variant.travel]\n[step.paper]\nvariant = \"travel\"\ntime = \"2 min\"\n");
    let base = design(&text);
    let travel = base.as_variant("travel").expect("it is there");
    let minutes = |design: &Design| {
        let figures = figures(None, design, &StandIns::default());
        let time = figures.budgets.iter().find(|(of, _)| of.quantity == *"assembly-time");
        time.map(|(_, budget)| budget.total.basic / 60.0)
    };
    assert_eq!((minutes(&base), minutes(&travel)), (Some(14.0), Some(16.0)));
}

/// The lid is closed with fewer screws: by a step of its own, in the place of the first one.
#[test]
fn a_step_can_be_left_out_of_a_variant_and_done_otherwise() {
    let of_travel = "[variant.travel]\nskip = [\"close\"]\nchange.scanner.screw = 8\n\
         [step.close-with-few]\nvariant = \"travel\"\n\
         uses = { lid = 1, base = 1, lamp-house = 1, screw = 8 }\n";
    let base = design(&scanner(of_travel));
    let travel = base.as_variant("travel").expect("it is there");
    let done = |design: &Design| {
        let steps = design.steps.iter().filter(|step| design.is_of_build(step.variant.as_ref()));
        steps.map(|step| step.id.to_string()).collect::<Vec<_>>()
    };
    assert!(done(&base).contains(&"close".to_owned()), "{:?}", done(&base));
    assert!(!done(&base).contains(&"close-with-few".to_owned()));
    assert!(!done(&travel).contains(&"close".to_owned()), "{:?}", done(&travel));
    assert!(done(&travel).contains(&"close-with-few".to_owned()));
    let misspelt = wrong(&scanner("[variant.travel]\nskip = [\"clsoe\"]\n"));
    assert!(misspelt.contains("there is no step `clsoe`"), "{misspelt}");
}

#[test]
fn what_a_variant_cannot_change_is_reported() {
    insta::assert_snapshot!(wrong(&scanner(r#"
[part.cord]
origin = "bought"
[variant.a]
drop = ["scanner", "lid"]
swap = { lid = "short-lid", base = "base" }
[variant.b.change.scanner]
short-lid = 0
lid = "0.3 m"
[variant.c]
drop = ["screw"]
change.scanner.screw = 3
[variant.d]
swap = { lid = "led-panel", screw = "cord" }
change.scanner.cord = "0.2 m"
[part.arm]
origin = "printed"
formula.reach = "2 * lid.depth"
[part.lid.value]
depth = "9 mm"
"#)), @r"
    tagworthy.toml:56: dangling-reference: in this variant nothing here is called `short-lid.depth`
    tagworthy.toml:57: bad-value: `scanner` is the whole product
    tagworthy.toml:58: contradiction: `lid` is dropped and swapped
    tagworthy.toml:58: contradiction: `base` takes its own place
    tagworthy.toml:60: bad-value: `scanner` contains no `short-lid`
    tagworthy.toml:61: mixed-amounts: `lid` is a length here and pieces elsewhere
    tagworthy.toml:64: contradiction: `screw` is dropped, and has an amount here
    tagworthy.toml:65: dangling-reference: in this variant nothing here is called `led-panel.depth`
    tagworthy.toml:67: mixed-amounts: `cord` is a length here and pieces elsewhere
    ");
}
