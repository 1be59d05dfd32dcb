//! Why verdicts on computed figures turn, and by whose figures.

use super::{between, shown, verdicts};

/// A lamp that warms the air about it, by a rail, with a gap beside it.
const LAMP: &str = r#"
[ambient]
high = "35 °C"
[part.scanner]
origin = "assembled"
contains = { lamp = 1, gate = 1 }
[part.lamp]
origin = "bought"
mpn = "L-1"
heat = "5 W"
heat-path = [{ to = "ambient", resistance = "3 K/W" }]
draws = { five-volt = { mean = "1 A" } }
[part.gate]
origin = "printed"
dimension = { slot = "5 mm ± 0.1 mm" }
formula = { gap = "slot - 4 mm" }
[rail.five-volt]
voltage = "5 V"
rating = "1.5 A"
[requirement.cool]
part = "lamp"
quantity = "temperature"
at-most = "55 °C"
[requirement.gap]
part = "gate"
quantity = "gap"
at-most = "1.2 mm"
decide = "worst-case"
[requirement.reserve]
rail = "five-volt"
margin = "10 %"
"#;

fn check(replacements: &[(&str, &str)], expected: &str) {
    let replace = |text: String, (from, to): &(&str, &str)| text.replace(from, to);
    let after = replacements.iter().fold(LAMP.to_owned(), replace);
    assert_eq!(verdicts(&between(LAMP, &after)).trim_end(), expected);
}

#[test]
fn a_better_figure_is_knowledge_and_another_part_the_design() {
    check(&[("\"5 W\"", "\"8 W\"")], "cool pass → fail by Knowledge, newly failing");
    check(&[("\"5 W\"", "\"8 W\""), ("L-1", "L-2")], "cool pass → fail by Design, newly failing");
    check(&[("\"5 mm", "\"5.5 mm")], "gap pass → fail by Design, newly failing");
}

#[test]
fn more_loads_are_the_design() {
    let overloaded = "reserve pass → fail by Design, newly failing";
    // Two lamps side by side, n·Q through R/n, are as warm as one.
    check(&[("lamp = 1", "lamp = 2")], overloaded);
    check(&[("rating = \"1.5 A\"", "rating = \"0.9 A\"")], overloaded);
}

#[test]
fn another_limit_or_ambient_is_the_requirement() {
    check(&[("\"55 °C\"", "\"45 °C\"")], "cool pass → fail by Requirement, newly failing");
    check(
        &[("high = \"35 °C\"", "high = \"45 °C\"")],
        "cool pass → fail by Requirement, newly failing",
    );
}

/// A supply that is derated by the air around it, which a node leads to the outside.
const DERATED: &str = r#"
[ambient]
high = "35 °C"
[part.scanner]
origin = "assembled"
contains = { lamp = 1, supply = 1 }
[part.lamp]
origin = "bought"
mpn = "L-1"
heat = "10 W"
heat-path = [{ to = "air", resistance = "1 K/W" }]
draws = { five-volt = "1 A" }
[part.supply]
origin = "bought"
mpn = "S-1"
heat-path = [{ to = "air", resistance = "1 K/W" }]
[node.air]
heat-path = [{ to = "ambient", resistance = "1 K/W" }]
[rail.five-volt]
voltage = "5 V"
rating = "1.5 A"
derate = { from = "40 °C", by = "2 %/K", at = "supply" }
[requirement.reserve]
rail = "five-volt"
margin = "10 %"
"#;

/// At 45 °C the rail carries 1.35 A, at 65 °C 0.75 A: neither limit nor rating was touched.
#[test]
fn what_derates_a_rail_is_no_other_limit() {
    let turned = |from: &str, to: &str| {
        assert!(DERATED.contains(from));
        verdicts(&between(DERATED, &DERATED.replace(from, to)))
    };
    let out = "\"ambient\", resistance = \"1 K/W\"";
    let by_design = "reserve pass → fail by Design, newly failing\n";
    let by_knowledge = "reserve pass → fail by Knowledge, newly failing\n";
    assert_eq!(turned(out, "\"ambient\", resistance = \"3 K/W\""), by_design);
    let measured = "\"ambient\", resistance = \"3 K/W measured\"";
    assert_eq!(turned(out, measured), by_knowledge);
    assert_eq!(turned("heat = \"10 W\"", "heat = \"30 W\""), by_knowledge);
    let other = "mpn = \"L-2\"\nheat = \"30 W\"";
    assert_eq!(turned("mpn = \"L-1\"\nheat = \"10 W\"", other), by_design);
    let warmer = turned("high = \"35 °C\"", "high = \"55 °C\"");
    assert_eq!(warmer, "reserve pass → fail by Requirement, newly failing\n");
    let more = turned("margin = \"10 %\"", "margin = \"30 %\"");
    assert_eq!(more, "reserve pass → thin by Requirement\n");
}

/// 3 K/W: 3 W more are 9 K more.
#[test]
fn the_difference_is_shared_out_among_the_parts_that_moved_it() {
    let impact = between(LAMP, &LAMP.replace("\"5 W\"", "\"8 W\""));
    let lines = shown(&impact);
    let moved = lines.lines().find(|line| line.starts_with("lamp temperature"));
    assert_eq!(moved, Some("lamp temperature 50 °C → 59 °C: lamp 9 K"));
}

/// 1 A of 1.5 A, and 0.3 A more where the fan is wanted: 1.6 A with it after the lamp got 0.3 A more.
#[test]
fn a_figure_with_all_optional_parts_is_compared_with_one_that_has_them() {
    let fan = "[part.fan]\norigin = \"bought\"\ndraws = { five-volt = \"0.3 A\" }\n";
    let before = LAMP.replace("gate = 1 }", "gate = 1, fan = { optional = true } }") + fan;
    let impact = between(&before, &before.replace("mean = \"1 A\"", "mean = \"1.3 A\""));
    let lines = shown(&impact);
    let moved = lines.lines().find(|line| line.starts_with("five-volt peak-current"));
    assert_eq!(moved, Some("five-volt peak-current 1.3 A → 1.6 A: lamp 0.3 A"));
}
