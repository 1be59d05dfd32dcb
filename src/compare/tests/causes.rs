//! Why verdicts turn: only a change of the thing itself is the design's fault.

use super::{SCANNER, between, changed, looked_at, other_gate, verdicts, with_result};

fn check(replacements: &[(&str, &str)], expected: &str) {
    let after = changed(replacements);
    assert_eq!(verdicts(&between(SCANNER, &after)).trim_end(), expected);
}

const FAILS_BY_DESIGN: &str = "carry-mass pass → fail by Design, newly failing";
const FAILS_BY_KNOWLEDGE: &str = "carry-mass pass → fail by Knowledge, newly failing";
const FAILS_BY_REQUIREMENT: &str = "carry-mass pass → fail by Requirement, newly failing";

#[test]
fn another_part_is_the_design() {
    check(&[("P-1", "P-2"), ("\"200 g\"", "\"260 g\"")], FAILS_BY_DESIGN);
}

#[test]
fn more_of_a_part_is_the_design() {
    check(&[("screw = 4", "screw = 40")], FAILS_BY_DESIGN);
}

#[test]
fn a_new_part_is_the_design() {
    let lamp = "[part.lamp]\norigin = \"bought\"\nmass = \"90 g\"\noffer = [{ supplier = \
                \"light-shop\", price = \"1 EUR\" }]\n[part.gate]";
    check(&[("gate = 1", "gate = 1, lamp = 1"), ("[part.gate]", lamp)], FAILS_BY_DESIGN);
}

#[test]
fn a_better_figure_is_knowledge() {
    check(&[("\"200 g\"", "\"260 g measured\"")], FAILS_BY_KNOWLEDGE);
}

#[test]
fn a_figure_where_there_was_none_is_knowledge() {
    let before = changed(&[("mass = \"300 g\"", "")]);
    let found = verdicts(&between(&before, &changed(&[("\"300 g\"", "\"500 g\"")])));
    assert_eq!(found, "carry-mass unproven → fail by Knowledge, newly failing\n");
    let found = verdicts(&between(&before, SCANNER));
    assert_eq!(found, "carry-mass unproven → pass by Knowledge\n");
    let found = verdicts(&between(SCANNER, &before));
    assert_eq!(found, "carry-mass pass → unproven by Knowledge\n");
}

#[test]
fn a_new_part_without_a_figure_is_the_design() {
    let lamp = "[part.lamp]\norigin = \"bought\"\noffer = [{ supplier = \"light-shop\", price = \
                \"1 EUR\" }]\n[part.gate]";
    check(
        &[("gate = 1", "gate = 1, lamp = 1"), ("[part.gate]", lamp)],
        "carry-mass pass → unproven by Design",
    );
}

/// 840 g at the amounts that were there before is beyond the limit, 724 g is not.
#[test]
fn knowledge_counts_at_the_amounts_that_were_there_before() {
    let heavier = ("\"200 g\"", "\"260 g measured\"");
    check(&[heavier, ("screw = 4", "screw = 5")], FAILS_BY_KNOWLEDGE);
    let a_little = ("\"5 g\"", "\"6 g measured\"");
    check(&[a_little, ("screw = 4", "screw = 40")], FAILS_BY_DESIGN);
}

/// Both together go beyond the limit, neither does alone: without the other screws it would hold.
#[test]
fn what_knowledge_alone_does_not_reach_is_the_design() {
    let figure = ("\"200 g\"", "\"235 g measured\"");
    let design = ("screw = 4", "screw = 12");
    check(&[figure], "");
    check(&[design], "");
    check(&[figure, design], FAILS_BY_DESIGN);
}

#[test]
fn a_lower_limit_is_the_requirement() {
    check(&[("\"800 g\"", "\"700 g\"")], FAILS_BY_REQUIREMENT);
    check(
        &[("at-most = \"800 g\"", "at-most = \"800 g\"\nmargin = \"100 g\"")],
        "carry-mass pass → thin by Requirement",
    );
}

#[test]
fn a_lower_limit_does_not_excuse_a_heavier_part() {
    let heavier = [("P-1", "P-2"), ("\"200 g\"", "\"260 g\"")];
    check(&[heavier[0], heavier[1], ("\"800 g\"", "\"790 g\"")], FAILS_BY_DESIGN);
}

/// 810 g ± 60 g lies on both sides of the limit, 810 g ± 2 g beyond it.
#[test]
fn a_figure_that_is_known_more_closely_is_knowledge() {
    let before = changed(&[("\"200 g\"", "\"245 g ± 30 g\"")]);
    let after = before.replace("± 30 g", "± 1 g");
    let found = verdicts(&between(&before, &after));
    assert_eq!(found, "carry-mass edge → fail by Knowledge, newly failing\n");
}

#[test]
fn another_coverage_factor_is_a_rule() {
    let before = changed(&[("\"200 g\"", "\"235 g ± 4 g\"")]);
    let rule = "[rule]\ncoverage-factor = 3\nunstated = { estimated = \"20 %\" }\n";
    let found = verdicts(&between(&before, &format!("{rule}{before}")));
    assert_eq!(found, "carry-mass pass → edge by Requirement\n");
}

#[test]
fn growth_that_the_manifest_allows_is_a_rule() {
    let allowance = "[allowance]\nmass = { estimated = \"20 %\" }\n";
    let after = format!("{allowance}{SCANNER}");
    assert_eq!(verdicts(&between(SCANNER, &after)), format!("{FAILS_BY_REQUIREMENT}\n"));
}

#[test]
fn another_method_is_the_requirement() {
    check(
        &[("at-most = \"800 g\"", "at-most = \"800 g\"\nmethod = \"test\"")],
        "carry-mass pass → unproven by Requirement",
    );
}

#[test]
fn a_price_is_the_design() {
    check(&[("\"40 EUR\"", "\"50 EUR\"")], "cost-ceiling pass → fail by Design, newly failing");
    check(
        &[("[supplier.light-shop]", "[supplier.light-shop]\nprices = \"net\"\ntax = \"20 %\"")],
        "cost-ceiling pass → fail by Design, newly failing",
    );
}

#[test]
fn a_lighter_part_mends_by_design_and_a_better_figure_by_knowledge() {
    let heavy = changed(&[("\"200 g\"", "\"260 g\"")]);
    let found = verdicts(&between(&heavy, SCANNER));
    assert_eq!(found, "carry-mass fail → pass by Knowledge\n");
    let found = verdicts(&between(&heavy, &changed(&[("P-1", "P-2")])));
    assert_eq!(found, "carry-mass fail → pass by Design\n");
}

/// What a figure is known of says nothing of a tax.
#[test]
fn a_tax_is_the_design_also_where_a_figure_is_another() {
    check(
        &[
            ("[supplier.light-shop]", "[supplier.light-shop]\nprices = \"net\"\ntax = \"20 %\""),
            ("\"200 g\"", "\"201 g\""),
        ],
        "cost-ceiling pass → fail by Design, newly failing",
    );
}

/// The parcel, the limit from which on it is free, a part of another price that keeps below that limit.
#[test]
fn what_an_order_costs_is_the_design() {
    let before = "[part.scanner]\norigin = \"bought\"\n[[part.scanner.offer]]\n\
        supplier = \"shop\"\nprice = \"30 EUR\"\n[supplier.shop]\nshipping = \"4 EUR\"\n\
        free-over = \"30 EUR\"\n[requirement.batch]\npart = \"scanner\"\n\
        quantity = \"order-cost\"\nat-most = \"32 EUR\"\n";
    let turned = |was: &str, is: &str| verdicts(&between(before, &before.replace(was, is)));
    let fails = "batch pass → fail by Design, newly failing\n";
    assert_eq!(turned("free-over = \"30 EUR\"", ""), fails);
    assert_eq!(turned("price = \"30 EUR\"", "price = \"29 EUR\""), fails);
    assert_eq!(turned("shipping = \"4 EUR\"", "shipping = \"9 EUR\""), "");
}

/// No part's record is another, and yet its power, or the work at it.
#[test]
fn a_rail_is_the_design_and_the_time_that_a_step_takes_is_knowledge() {
    let before = changed(&[("mpn = \"P-1\"", "mpn = \"P-1\"\ndraws = { main = \"1 A\" }")]);
    let before = format!(
        "{before}[rail.main]\nvoltage = \"5 V\"\n[step.mount]\nmakes = {{ scanner = 1 }}\n\
         time = \"9 min\"\n[requirement.cool]\npart = \"scanner\"\nquantity = \"power\"\n\
         at-most = \"11 W\"\n[requirement.quick]\npart = \"scanner\"\n\
         quantity = \"assembly-time\"\nat-most = \"10 min\"\n"
    );
    let found = verdicts(&between(&before, &before.replace("5 V", "6 V")));
    assert_eq!(found, "cool pass → fail by Design, newly failing\n");
    let found = verdicts(&between(&before, &before.replace("9 min", "12 min")));
    assert_eq!(found, "quick pass → fail by Knowledge, newly failing\n");
    let twice = before.replace("time = \"9 min\"", "time = \"9 min\"\ntimes = 2");
    let found = verdicts(&between(&before, &twice));
    assert_eq!(found, "quick pass → fail by Design, newly failing\n");
}

const WAIVER: &str = "[waiver.first-batch]\nrequirement = \"carry-mass\"\nup-to = \"850 g\"\n\
                      until-before = \"1.1.0\"\non = 2026-10-05\nby = \"Ada\"\nwhy = \"fits\"\n";

#[test]
fn a_waiver_that_came_or_went_is_the_requirement() {
    let heavy = changed(&[("\"200 g\"", "\"250 g\"")]);
    let waived = format!("{heavy}{WAIVER}");
    assert_eq!(verdicts(&between(&heavy, &waived)), "carry-mass fail → waived by Requirement\n");
    let found = verdicts(&between(&waived, &heavy));
    assert_eq!(found, "carry-mass waived → fail by Requirement, newly failing\n");
}

#[test]
fn what_goes_beyond_a_waiver_is_what_moved_the_value() {
    let heavy = changed(&[("\"200 g\"", "\"250 g\"")]);
    let waived = format!("{heavy}{WAIVER}");
    let found = verdicts(&between(&waived, &waived.replace("screw = 4", "screw = 40")));
    assert_eq!(found, "carry-mass waived → fail by Design, newly failing\n");
    let found = verdicts(&between(&waived, &waived.replace("\"250 g\"", "\"290 g\"")));
    assert_eq!(found, "carry-mass waived → fail by Knowledge, newly failing\n");
}

#[test]
fn a_should_have_and_what_is_not_due_are_never_newly_failing() {
    let limit = "at-most = \"800 g\"";
    let should = changed(&[(limit, "at-most = \"800 g\"\npriority = \"should\"")]);
    let heavier = |text: &str| text.replace("P-1", "P-2").replace("\"200 g\"", "\"260 g\"");
    let found = verdicts(&between(&should, &heavier(&should)));
    assert_eq!(found, "carry-mass pass → fail by Design\n");
    let later = changed(&[(limit, "at-most = \"800 g\"\ndue = \"2.0.0\"")]);
    assert_eq!(verdicts(&between(&later, &heavier(&later))), "");
}

#[test]
fn a_new_requirement_is_the_requirement() {
    let more = "[requirement.light]\npart = \"head\"\nquantity = \"mass\"\nat-most = \"1 g\"\n";
    let found = verdicts(&between(SCANNER, &format!("{SCANNER}{more}")));
    assert_eq!(found, "light - → fail by Requirement, newly failing\n");
}

#[test]
fn at_least_limits_mirror_at_most_ones() {
    let stiff = changed(&[("at-most = \"800 g\"", "at-least = \"700 g\"")]);
    let lighter = |to: &str| stiff.replace("\"200 g\"", to);
    let found = verdicts(&between(&stiff, &lighter("\"150 g measured\"")));
    assert_eq!(found, "carry-mass pass → fail by Knowledge, newly failing\n");
    let found = verdicts(&between(&stiff, &lighter("\"150 g\"").replace("P-1", "P-2")));
    assert_eq!(found, "carry-mass pass → fail by Design, newly failing\n");
}

/// The smallest of all figures is no more than what is known of it: below its limit it fails whatever is
/// missing.
#[test]
fn of_the_smallest_what_is_below_its_limit_fails_anyhow() {
    let before = "[quantity.room]\nunit = \"mm\"\nroll-up = \"min\"\nexpected = [\"bought\"]\n[part.scanner]\n\
        origin = \"assembled\"\ncontains = { gate = 1, lamp = 1 }\n[part.gate]\n\
        origin = \"printed\"\nroom = \"5 mm\"\n[part.lamp]\norigin = \"bought\"\n\
        [requirement.roomy]\npart = \"scanner\"\nquantity = \"room\"\nat-least = \"4 mm\"\n";
    let found = verdicts(&between(before, &before.replace("\"5 mm\"", "\"3 mm measured\"")));
    assert_eq!(found, "roomy unproven → fail by Knowledge, newly failing\n");
}

/// An optional part whose figure is taken out is the same part.
#[test]
fn an_optional_part_without_a_figure_is_knowledge() {
    let cover = "[part.cover]\norigin = \"printed\"\nmass = \"10 g\"\n";
    let more = "gate = 1, cover = { optional = true }";
    let before = format!("{}{cover}", changed(&[("gate = 1", more)]));
    let found = verdicts(&between(&before, &before.replace("mass = \"10 g\"\n", "")));
    assert_eq!(found, "carry-mass pass → unproven by Knowledge\n");
}

/// Evidence goes stale by a part that stood beside the one that the requirement is about.
#[test]
fn what_overtakes_evidence_is_the_design() {
    let sealed = looked_at(SCANNER);
    let other = other_gate(&sealed);
    assert_eq!(verdicts(&between(&sealed, &other)), "quiet pass → stale by Design\n");
    assert_eq!(verdicts(&between(&other, &sealed)), "quiet stale → pass by Design\n");
    let failed = sealed.replacen("outcome = \"pass\"", "outcome = \"fail\"", 1);
    let found = verdicts(&between(&sealed, &failed));
    assert_eq!(found, "quiet pass → fail by Knowledge, newly failing\n");
}

/// The gate is another one in all of these but the last, and what is new is the look at it.
#[test]
fn what_a_new_result_turns_is_knowledge() {
    let overtaken = other_gate(&looked_at(SCANNER));
    let again = |outcome: &str| with_result(&overtaken, "look-again", outcome);
    let found = verdicts(&between(&overtaken, &again("fail")));
    assert_eq!(found, "quiet stale → fail by Knowledge, newly failing\n");
    assert_eq!(verdicts(&between(&overtaken, &again("pass"))), "quiet stale → pass by Knowledge\n");
    // What counted was overtaken on the way: the other gate is to blame.
    let found = verdicts(&between(&looked_at(SCANNER), &again("fail")));
    assert_eq!(found, "quiet pass → fail by Design, newly failing\n");
    let set_aside = looked_at(SCANNER)
        .replace("outcome = \"pass\"", "outcome = \"pass\"\nset-aside = \"dark\"");
    let found = verdicts(&between(&looked_at(SCANNER), &set_aside.replace("P-1", "P-2")));
    assert_eq!(found, "quiet pass → unproven by Knowledge\n");
}
