//! What the manifest can ask to be refused at a commit, and how it is said.

use crate::workshop::{Workshop, lamp};

/// A workshop whose manifest guards `event` alone.
fn guarding(event: &str) -> Workshop {
    let workshop = Workshop::new();
    workshop.rule(&format!("[guard]\ncommit = [\"{event}\"]"));
    workshop
}

#[test]
fn more_that_is_known() {
    let workshop = guarding("newly-known-failing");
    workshop.write("parts/lamp.toml", &lamp("L-250", "350 g measured"));
    insta::assert_snapshot!(workshop.refuses(&["commit", "-qam", "Weighed at last"]));
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.lets(&["commit", "-qam", "Another lamp is another matter"]);
}

#[test]
fn a_failing_requirement_that_gets_worse() {
    let workshop = guarding("newly-worse");
    workshop.commit_lamp("L-350", "350 g");
    workshop.write("parts/lamp.toml", &lamp("L-450", "450 g"));
    insta::assert_snapshot!(workshop.refuses(&["commit", "-qam", "A still brighter lamp"]));
    workshop.write("parts/lamp.toml", &lamp("L-340", "340 g"));
    workshop.lets(&["commit", "-qam", "A step in the right direction"]);
}

/// Both fail by their mass; it is the scanner that gets worse, and the frame comes first by its name.
#[test]
fn of_two_that_fail_the_one_that_gets_worse_is_explained_by_its_own_parts() {
    let workshop = guarding("newly-worse");
    workshop.write(
        "parts/more.toml",
        "[requirement.frame-mass]\npart = \"frame\"\nquantity = \"mass\"\nat-most = \"800 g\"\n",
    );
    workshop.commit_lamp("L-350", "350 g");
    workshop.write("parts/lamp.toml", &lamp("L-450", "450 g"));
    workshop.change("parts/frame.toml", "900 g", "890 g");
    let said = workshop.refuses(&["commit", "-qam", "A brighter lamp, a lighter frame"]);
    assert!(said.contains("lamp") && said.contains("+100 g"), "{said}");
}

/// 5 W over 3 K/W are 50 °C at 35 °C ambient; 6 W are 53 °C.
#[test]
fn a_temperature_that_is_too_high_and_rises() {
    let workshop = guarding("newly-worse");
    workshop.rule("[ambient]\nlow = \"5 °C\"\nhigh = \"35 °C\"");
    let warm = |mpn: &str, heat: u32| {
        let paths = "heat-path = [{ to = \"ambient\", resistance = \"3 K/W\" }]";
        format!("{}heat = \"{heat} W\"\n{paths}\n", lamp(mpn, "250 g"))
    };
    workshop.write("parts/lamp.toml", &warm("L-250", 5));
    workshop.write(
        "parts/warm.toml",
        "[requirement.lamp-cool]\npart = \"lamp\"\nquantity = \"temperature\"\nat-most = \"45 °C\"\n",
    );
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "How warm it gets"]);
    workshop.write("parts/lamp.toml", &warm("L-251", 6));
    let said = workshop.refuses(&["commit", "-qam", "A brighter lamp"]);
    assert!(said.contains("lamp-cool"), "{said}");
}

#[test]
fn a_limit_within_the_uncertainty() {
    let workshop = guarding("newly-edge");
    workshop.write("parts/lamp.toml", &lamp("L-290", "290 g ± 20 g"));
    insta::assert_snapshot!(workshop.refuses(&["commit", "-qam", "A lamp of some weight"]));
    workshop.write("parts/lamp.toml", &lamp("L-270", "270 g ± 20 g"));
    workshop.lets(&["commit", "-qam", "A lighter one"]);
}

#[test]
fn evidence_that_is_overtaken() {
    let workshop = guarding("newly-stale");
    workshop.write(
        "parts/look.toml",
        "[requirement.quiet]\npart = \"lamp\"\nmethod = \"inspection\"\n",
    );
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "It must be quiet"]);
    let look = ["measure", "lamp", "--verifies", "quiet", "--outcome", "pass"];
    let output = workshop.tagworthy(&[&look[..], &["--method", "inspection"]].concat());
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "It is"]);
    workshop.write("parts/lamp.toml", &lamp("L-251", "250 g"));
    insta::assert_snapshot!(workshop.refuses(&["commit", "-qam", "Another make"]));
}

#[test]
fn a_figure_that_is_left_out() {
    let workshop = guarding("newly-incomplete");
    workshop.write("parts/lamp.toml", "[part.lamp]\norigin = \"bought\"\nmpn = \"L-251\"\n");
    insta::assert_snapshot!(workshop.refuses(&["commit", "-qam", "Not weighed yet"]));
}

#[test]
fn two_requirements_come_with_a_way_out_each() {
    let workshop = Workshop::new();
    let scanner = workshop.read("parts/scanner.toml");
    let further =
        "[requirement.lamp-mass]\npart = \"lamp\"\nquantity = \"mass\"\nat-most = \"300 g\"\n";
    workshop.write("parts/scanner.toml", &format!("{scanner}\n{further}"));
    workshop.lets(&["commit", "-qam", "A promise more"]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    let said = workshop.refuses(&["commit", "-qam", "A brighter lamp"]);
    insta::assert_snapshot!(said);
    // What is proposed is what helps.
    for requirement in ["carry-mass", "lamp-mass"] {
        let waive =
            said.split("tagworthy ").find(|rest| rest.starts_with(&format!("waive {requirement}")));
        let up_to = waive.and_then(|rest| rest.split('"').nth(1)).unwrap();
        let waive =
            ["waive", requirement, "--up-to", up_to, "--until-before", "1.1.0", "--why", "a trial"];
        let output = workshop.tagworthy(&waive);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    }
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "With two concessions"]);
}

#[test]
fn several_kinds_at_once() {
    let workshop = Workshop::new();
    workshop.rule("[guard]\ncommit = [\"newly-failing\", \"newly-edge\"]");
    let scanner = workshop.read("parts/scanner.toml");
    let further =
        "[requirement.lamp-mass]\npart = \"lamp\"\nquantity = \"mass\"\nat-most = \"360 g\"\n";
    workshop.write("parts/scanner.toml", &format!("{scanner}\n{further}"));
    workshop.lets(&["commit", "-qam", "A promise more"]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g ± 20 g"));
    insta::assert_snapshot!(workshop.refuses(&["commit", "-qam", "A brighter lamp"]));
}

#[test]
fn a_should_have_is_never_refused() {
    let workshop = Workshop::new();
    workshop.change("parts/scanner.toml", "at-most", "priority = \"should\"\nat-most");
    workshop.lets(&["commit", "-qam", "It would be nice"]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.lets(&["commit", "-qam", "A brighter lamp"]).contains("carry-mass"));
}

#[test]
fn a_text_of_the_repository_does_not_act_on_the_terminal() {
    let workshop = Workshop::new();
    let slip = "[part.lamp]\norigin = \"b\\u001b[31mought\"\n::error::= \"250 g\"\n";
    workshop.write("parts/lamp.toml", slip);
    let said = workshop.refuses(&["commit", "-qam", "Harm"]);
    assert!(!said.contains('\u{1b}'), "{said}");
    assert!(!said.lines().any(|line| line.trim_start().starts_with("::")), "{said}");
}
