//! Parts, budgets and findings.

use super::{SCANNER, assessed, between, changed, shown};
use crate::compare::impact;

#[test]
fn a_heavier_panel_is_followed_to_the_top() {
    let after = changed(&[("P-1", "P-2"), ("\"200 g\"", "\"220 g\""), ("1.2.0", "1.3.0")]);
    insta::assert_snapshot!(shown(&between(SCANNER, &after)), @r"
    panel Changed: identity, interface, figures; 1.2.0 → 1.3.0; scanner → head → panel; carry-mass, cost-ceiling
    scanner mass 720 g → 760 g: panel 40 g
    ");
}

#[test]
fn a_part_that_takes_the_place_of_another() {
    let after = changed(&[
        ("panel = 2", "opal-panel = 2"),
        ("[part.panel]", "[part.opal-panel]"),
        ("\"40 EUR\"", "\"48 EUR\""),
    ]);
    insta::assert_snapshot!(shown(&between(SCANNER, &after)), @r"
    head Changed: composition; 1.0.0 → 1.0.0; scanner → head; carry-mass, cost-ceiling
    opal-panel Added: identity, interface, figures, offers; - → 1.2.0; scanner → head → opal-panel; carry-mass, cost-ceiling
    panel Removed: identity, interface, figures, offers; 1.2.0 → -; scanner → head → panel; carry-mass, cost-ceiling
    scanner cost 100.20 EUR → 116.20 EUR: opal-panel 96.00 EUR, panel -80.00 EUR
    cost-ceiling pass → fail by Design, newly failing
    + bill-complete: nothing says what `opal-panel` is called where it is sold
    + bill-complete: the offer of `light-shop` for `opal-panel` has no code
    - bill-complete: nothing says what `panel` is called where it is sold
    - bill-complete: the offer of `light-shop` for `panel` has no code
    ");
}

/// Fed from a better rail, in a warmer room, by a dearer dollar: no part says so.
#[test]
fn what_parts_stand_on_is_told_where_it_is_another() {
    let text = |voltage: &str, paths: &str, creep: &str, shipping: &str, high: &str| {
        format!(
            "{SCANNER}[rail.five-volt]\nvoltage = \"{voltage}\"\n[node.inside]\n\
             heat-path = [{{ to = \"ambient\", resistance = \"{paths}\" }}]\n\
             [supplier.glass-shop]\nshipping = \"{shipping}\"\n"
        )
        .replacen(
            '\n',
            &format!("\n[given]\ncreep = \"{creep}\"\n[ambient]\nhigh = \"{high}\"\n"),
            1,
        )
    };
    let before = text("5 V", "2 K/W", "1 mm", "4 EUR", "35 °C");
    let told = |after: &str| {
        let told = between(&before, after).ground.into_iter();
        told.map(|it| format!("{} {} {}", it.kind.word(), it.id, it.how.word())).collect::<Vec<_>>()
    };
    assert_eq!(told(&text("5000 mV", "2 K/W", "0.1 cm", "4.00 EUR", "35 °C")), [""; 0]);
    assert_eq!(
        told(&text("6 V", "3 K/W", "2 mm", "5 EUR", "40 °C")),
        [
            "rail five-volt changed",
            "node inside changed",
            "constant creep changed",
            "supplier glass-shop changed",
            "rule ambient changed"
        ]
    );
    let renamed = before.replace("rail.five-volt", "rail.five");
    assert_eq!(told(&renamed), ["rail five added", "rail five-volt removed"]);
}

#[test]
fn a_version_that_no_longer_fits_is_a_new_finding() {
    let before = changed(&[("panel = 2", "panel = { count = 2, version = \"^1.2\" }")]);
    let after = before.replace("1.2.0", "2.0.0");
    insta::assert_snapshot!(shown(&between(&before, &after)), @r"
    panel Changed: interface; 1.2.0 → 2.0.0; scanner → head → panel; carry-mass, cost-ceiling
    + versions-fit: scanner → head → panel: `panel` is 2.0.0, `head` takes ^1.2
    ");
    insta::assert_snapshot!(shown(&between(&after, &before)), @r"
    panel Changed: interface; 2.0.0 → 1.2.0; scanner → head → panel; carry-mass, cost-ceiling
    - versions-fit: scanner → head → panel: `panel` is 2.0.0, `head` takes ^1.2
    ");
}

#[test]
fn without_a_state_before_everything_is_new() {
    insta::assert_snapshot!(shown(&impact(None, &assessed(SCANNER))), @r"
    gate Added: identity, settings, figures, offers; - → -; scanner → head → gate; carry-mass, cost-ceiling
    head Added: identity, composition, interface; - → 1.0.0; scanner → head; carry-mass, cost-ceiling
    panel Added: identity, interface, figures, offers; - → 1.2.0; scanner → head → panel; carry-mass, cost-ceiling
    scanner Added: identity, composition; - → -; ; carry-mass, cost-ceiling
    screw Added: identity, figures, offers; - → -; scanner → screw; carry-mass, cost-ceiling
    scanner cost - → 100.20 EUR: panel 80.00 EUR, gate 20.00 EUR, screw 0.20 EUR
    scanner mass - → 720 g: panel 400 g, gate 300 g, screw 20 g
    carry-mass - → pass by Requirement
    cost-ceiling - → pass by Requirement
    + bill-complete: the offer of `print-shop` for `gate` has no code
    + bill-complete: nothing says what `panel` is called where it is sold
    + bill-complete: the offer of `light-shop` for `panel` has no code
    + bill-complete: nothing says what `screw` is called where it is sold
    + bill-complete: the offer of `light-shop` for `screw` has no code
    + editable-source: `gate` names no source
    + licence: the manifest names no licence
    ");
}

#[test]
fn every_assembly_above_is_on_a_path() {
    let before = changed(&[(
        "contains = { head = 1, screw = 4 }",
        "contains = { head = 1, base = 1 }\n[part.base]\norigin = \"assembled\"\n\
         contains = { screw = 4, lid = 1 }\n[part.lid]\norigin = \"assembled\"\n\
         contains = { screw = 2 }",
    )]);
    let after = before.replace("\"5 g\"", "\"6 g\"");
    let impact = between(&before, &after);
    let paths: Vec<_> = impact.parts[0].reaches.iter().map(|path| path.len()).collect();
    assert_eq!(impact.parts.len(), 1);
    assert_eq!(paths, [3, 4], "scanner → base → screw, scanner → base → lid → screw");
}
