//! Requirements that are shown by evidence, judged.

use super::{assessed_with, found_with};
use crate::evidence::{NotCounting, Revision, RevisionSeals};
use crate::fixture;
use crate::verdict::{Judged, Unproven, Verdict};

const SCANNER: &str = r#"
[ambient]
low = "5 °C"
high = "35 °C"
[part.scanner]
origin = "assembled"
contains = { gate = 1, lamp = 2 }
[part.gate]
origin = "printed"
mass = "31 g"
[part.lamp]
origin = "bought"
mass = "100 g"
setting = { drive = "350 mA" }
[variant.travel]
drop = ["lamp"]
"#;

/// `rest` of a scanner whose results were all won on the revision `bench`: it as it is.
fn text(rest: &str) -> String {
    format!("{SCANNER}{}", rest.replace("method = ", "revision = \"bench\"\nmethod = "))
}

fn bench() -> RevisionSeals {
    [("bench".to_owned(), Revision::of(fixture::design(SCANNER)))].into_iter().collect()
}

/// The first requirement.
fn judged_of(text: &str) -> Judged {
    assessed_with(text, &bench(), "1.0.0").judged.remove(0)
}

fn found(text: &str) -> Vec<String> {
    found_with("evidence-current", text, &bench(), "1.0.0")
}

/// A requirement on the gate's temperature with the keys `asked`, and results of it.
fn gate(asked: &str, results: &[(&str, &str)]) -> String {
    let head =
        format!("[requirement.cool]\npart = \"gate\"\nquantity = \"temperature\"\n{asked}\n");
    let result = |(index, (value, keys)): (usize, &(&str, &str))| {
        format!(
            "[evidence.soak-{index}]\npart = \"gate\"\nquantity = \"temperature\"\n\
             value = \"{value}\"\nsteady = \"0.5 K/h\"\nmethod = \"test\"\n{keys}\n"
        )
    };
    let head = head.replace("method = \"test\"", "method=\"test\"");
    text(&(head + &results.iter().enumerate().map(result).collect::<String>()))
}

const BY_TEST: &str = "method = \"test\"\nat-most = ";

fn at_most(limit: &str, results: &[(&str, &str)]) -> Judged {
    judged_of(&gate(&format!("{BY_TEST}\"{limit}\""), results))
}

/// EN 60950-1, 1.4.12 (read in a restatement): T ≤ Tmax + Tamb − Tma. A part for at most 105 °C in a
/// product for 40 °C may reach 88 °C on a bench at 23 °C.
#[test]
fn a_temperature_is_carried_to_the_highest_ambient() {
    let at = |value: &str| {
        let asked = format!("{BY_TEST}\"105 °C\"");
        let warm = gate(&asked, &[(value, "ambient = \"23 °C\"")]);
        judged_of(&warm.replacen("high = \"35 °C\"", "high = \"40 °C\"", 1))
    };
    assert_eq!(at("88 °C").verdict, Verdict::Pass);
    assert!(at("88 °C").bounds[0].left.abs() < 1e-9);
    assert_eq!(at("88.1 °C").verdict, Verdict::Fail);
}

/// JCGM 100:2008, 5.1.2: independent uncertainties add as squares. √(1.2² + 0.5²) K = 1.3 K.
#[test]
fn the_uncertainty_of_the_ambient_is_carried_too() {
    let soak = [("38.4 °C ± 1.2 K", "ambient = \"22 °C ± 0.5 K\"")];
    let judged = at_most("53 °C", &soak);
    assert!((judged.bounds[0].value - 273.15 - 51.4).abs() < 1e-9);
    assert!((judged.expanded_u - 1.3).abs() < 1e-9);
    assert_eq!(judged.verdict, Verdict::Pass);
    assert_eq!(at_most("52 °C", &soak).verdict, Verdict::Edge);
}

#[test]
fn a_lower_limit_is_judged_at_the_lowest_ambient() {
    let asked = "method = \"test\"\nat-least = \"20 °C\"";
    let at = |value: &str| judged_of(&gate(asked, &[(value, "ambient = \"22 °C\"")])).verdict;
    assert_eq!(at("37.1 °C"), Verdict::Pass);
    assert_eq!(at("36.9 °C"), Verdict::Fail);
}

/// Touch temperatures are judged as measured, not corrected (EN 60950-1, read in a restatement).
#[test]
fn a_temperature_that_is_judged_as_measured_is_not_carried() {
    for rule in ["as-measured", "regulated"] {
        let asked = format!("ambient-rule = \"{rule}\"\n{BY_TEST}\"45 °C\"");
        let judged = judged_of(&gate(&asked, &[("44 °C", "")]));
        assert_eq!((judged.verdict, judged.bounds[0].value), (Verdict::Pass, 44.0 + 273.15));
    }
}

#[test]
fn what_cannot_be_carried_or_was_not_steady_is_no_evidence() {
    let why = |results: &[(&str, &str)]| at_most("60 °C", results).unproven;
    assert_eq!(why(&[("38 °C", "")]), Some(Unproven::NotCounting(NotCounting::NoAmbient)));
    let rising = |rate: &str| {
        let asked = format!("{BY_TEST}\"60 °C\"");
        let text = gate(&asked, &[("38 °C", "ambient = \"22 °C\"")]);
        judged_of(&text.replace("0.5 K/h", rate))
    };
    assert_eq!(rising("2 K/h").verdict, Verdict::Pass, "IEC 61010-1's practice allows 2 K in 1 h");
    assert_eq!(rising("2.1 K/h").unproven, Some(Unproven::NotCounting(NotCounting::NotSteady)));
}

#[test]
fn the_worst_current_result_counts_until_it_is_set_aside() {
    let [good, bad] = [("38 °C", "ambient = \"22 °C\""), ("50 °C", "ambient = \"22 °C\"")];
    let judged = at_most("60 °C", &[good, bad]);
    assert_eq!(judged.verdict, Verdict::Fail);
    assert_eq!(judged.evidence.expect("evidence").decisive, Some(1));
    let aside = ("50 °C", "ambient = \"22 °C\"\nset-aside = \"the thermocouple fell off\"");
    assert_eq!(at_most("60 °C", &[good, aside]).verdict, Verdict::Pass);
}

#[test]
fn a_result_of_a_variant_counts_for_that_variant_alone() {
    let travel = ("38 °C", "ambient = \"22 °C\"\nvariant = \"travel\"");
    let method = crate::record::Method::Test;
    assert_eq!(at_most("60 °C", &[travel]).unproven, Some(Unproven::NoEvidence(method)));
}

#[test]
fn a_result_by_another_method_does_not_count() {
    let text = gate(&format!("{BY_TEST}\"60 °C\""), &[("38 °C", "ambient = \"22 °C\"")]);
    let by_analysis = text.replace("method = \"test\"", "method = \"analysis\"");
    let method = crate::record::Method::Test;
    assert_eq!(judged_of(&by_analysis).unproven, Some(Unproven::NoEvidence(method)));
}

const EDGES: &str = "[requirement.no-sharp-edges]\npart = \"scanner\"\nmethod=\"inspection\"\n";

fn inspected(outcomes: &[&str]) -> String {
    let result = |(index, outcome): (usize, &&str)| {
        format!(
            "[evidence.edges-{index}]\npart = \"scanner\"\nverifies = [\"no-sharp-edges\"]\n\
             outcome = \"{outcome}\"\nmethod = \"inspection\"\n"
        )
    };
    text(&(EDGES.to_owned() + &outcomes.iter().enumerate().map(result).collect::<String>()))
}

#[test]
fn any_failure_outweighs_any_pass() {
    assert_eq!(judged_of(&inspected(&["pass"])).verdict, Verdict::Pass);
    assert_eq!(judged_of(&inspected(&["pass", "fail", "pass"])).verdict, Verdict::Fail);
}

#[test]
fn what_was_overtaken_is_stale_and_what_is_unpinned_shows_nothing() {
    let stale = inspected(&["pass"]).replacen("350 mA", "0.4 A", 1);
    assert_eq!(judged_of(&stale).verdict, Verdict::Stale);
    assert!(judged_of(&stale).is_in_the_way());
    assert_eq!(found(&stale), ["`edges-0` is stale: `lamp` (settings)"]);
    let unpinned = inspected(&["pass"]).replace("revision = \"bench\"\n", "");
    assert_eq!(judged_of(&unpinned).unproven, Some(Unproven::Unpinned));
    assert_eq!(found(&unpinned), ["`edges-0` does not say which revision was on the bench"]);
    let elsewhere = inspected(&["pass"]).replace("\"bench\"", "\"fa11ed\"");
    assert_eq!(judged_of(&elsewhere).unproven, Some(Unproven::Undecidable));
    assert_eq!(found(&elsewhere), [""; 0], "not decidable here is no finding");
}

/// A requirement of 77 trials, and results of `passed` and `of`.
fn tried(results: &[(u64, u64)]) -> Judged {
    let head = "[requirement.feeds]\npart = \"gate\"\nsuccess = \"95 %\"\nconfidence = \"90 %\"\n\
        trials = 77\nmethod=\"demonstration\"\n";
    let result = |(index, (passed, of)): (usize, &(u64, u64))| {
        format!(
            "[evidence.feed-{index}]\npart = \"gate\"\ntrials = {{ passed = {passed}, of = {of} }}\n\
             method = \"demonstration\"\n"
        )
    };
    let text =
        text(&(head.to_owned() + &results.iter().enumerate().map(result).collect::<String>()));
    judged_of(&text)
}

/// 95 % at 90 %: 45 trials without a failure, 77 with one (both common in handbooks of reliability;
/// the bounds themselves are checked against a statistics library in `evidence::trials`).
#[test]
fn trials_are_judged_when_the_number_fixed_beforehand_is_reached() {
    assert!(matches!(tried(&[(60, 60)]).unproven, Some(Unproven::SoFar { wanted: 77, .. })));
    assert_eq!(tried(&[(60, 60), (17, 17)]).verdict, Verdict::Pass);
    assert_eq!(tried(&[(59, 60), (17, 17)]).verdict, Verdict::Pass);
    assert_eq!(tried(&[(59, 60), (16, 17)]).verdict, Verdict::Fail, "a failure is kept");
    let shown = tried(&[(59, 60), (17, 17)]).evidence.and_then(|used| used.trials);
    assert!(shown.expect("trials").at_least >= 0.95);
}

fn weighed(evidence: &str) -> Judged {
    judged_of(&text(&format!(
        "[requirement.light]\npart = \"scanner\"\nquantity = \"mass\"\nat-most = \"240 g\"\n{evidence}"
    )))
}

/// 31 g + 2 × 100 g = 231 g; 2 × 105 g + 31 g = 241 g.
#[test]
fn a_current_result_stands_in_for_what_lies_beneath_it() {
    assert_eq!(weighed("").verdict, Verdict::Pass);
    let lamp = "[evidence.scale]\npart = \"lamp\"\nquantity = \"mass\"\nvalue = \"105 g\"\n\
        method = \"test\"\n";
    let judged = weighed(lamp);
    assert!((judged.bounds[0].value - 0.241).abs() < 1e-12);
    assert_eq!(judged.verdict, Verdict::Fail);
    let whole = weighed(&lamp.replace("\"lamp\"", "\"scanner\"").replace("105 g", "239 g ± 0.5 g"));
    assert!((whole.bounds[0].value - 0.239).abs() < 1e-12);
    assert!((whole.expanded_u - 0.0005).abs() < 1e-12);
    let text = text(&format!(
        "[requirement.light]\npart = \"scanner\"\nquantity = \"mass\"\nat-most = \"240 g\"\n{lamp}"
    ));
    let stale = judged_of(&text.replacen("350 mA", "0.4 A", 1));
    assert!((stale.bounds[0].value - 0.231).abs() < 1e-12, "the roll-up is back");
}

#[test]
fn the_check_names_what_is_wrong_with_a_result() {
    let asked = format!("{BY_TEST}\"60 °C\"");
    let sound = [("38 °C ± 1 K", "ambient = \"22 °C\"")];
    assert_eq!(found(&gate(&asked, &sound)), [""; 0]);
    let unsteady = gate(&asked, &sound).replace("steady = \"0.5 K/h\"\n", "");
    assert_eq!(found(&unsteady), ["`soak-0` does not say whether the temperature was steady"]);
    let pair = [sound[0], ("42 °C ± 1 K", "ambient = \"22 °C\"")];
    assert_eq!(
        found(&gate(&asked, &pair)),
        ["`soak-0` and `soak-1` differ by more than both are sure"]
    );
    let near = "heat-path = [{ to = \"lamp\", resistance = \"5 K/W\" }]\norigin = \"printed\"";
    let near = gate(&asked, &sound).replacen("origin = \"printed\"", near, 1);
    assert_eq!(found(&near), ["`soak-0` leaves out what lies on its heat paths: `lamp`"]);
}

#[test]
fn an_overtaken_result_is_no_finding_beside_a_current_or_later_one() {
    let two = inspected(&["pass", "pass"]).replacen("350 mA", "0.4 A", 1);
    assert_eq!(found(&two), ["`edges-1` is stale: `lamp` (settings)"]);
    let now = fixture::design(&two);
    let facets = crate::facet::table(&now);
    let covered = crate::evidence::covered(&now, &now.evidence[1]);
    let seal: String = crate::evidence::seal_text(&facets, &now, &covered)
        .into_iter()
        .map(|(part, seal)| format!("{part} = \"{seal}\"\n"))
        .collect();
    let (first, second) = two.split_once("[evidence.edges-1]").expect("two results");
    let second = second.replace("revision = \"bench\"\n", "");
    let mended = format!("{first}[evidence.edges-1]{second}[evidence.edges-1.seal]\n{seal}");
    assert_eq!(found(&mended), [""; 0]);
    assert_eq!(judged_of(&mended).verdict, Verdict::Pass);
}

/// 5 W over 3 K/W are 50 °C at 35 °C ambient; measured 60 °C at 22 °C would be 73 °C there. The figures of
/// the network are exact, the result is sure to 1 K.
#[test]
fn a_result_beside_which_another_value_is_computed_is_told() {
    let warm = |value: &str, method: &str| {
        let gate = gate(&format!("{method}at-most = \"90 °C\""), &[(value, "ambient = \"22 °C\"")]);
        gate.replace(
            "mass = \"31 g\"",
            "mass = \"31 g\"\nheat = \"5 W\"\n\
             heat-path = [{ to = \"ambient\", resistance = \"3 K/W\" }]",
        )
    };
    let told = "`soak-0` and what is computed for `cool` differ by more than both are sure";
    assert_eq!(found(&warm("60 °C ± 1 K", "")), [told]);
    assert_eq!(judged_of(&warm("60 °C ± 1 K", "")).verdict, Verdict::Pass, "analysis is asked for");
    assert_eq!(found(&warm("37.5 °C ± 1 K", "")), [""; 0], "50.5 °C at 35 °C");
    assert_eq!(found(&warm("60 °C ± 1 K", "method = \"test\"\n")), [""; 0], "the result counts");
}
