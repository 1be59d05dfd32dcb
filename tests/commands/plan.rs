//! `item`, `waive` and `decide`.

use crate::bench::Bench;
use crate::common::Scratch;

#[test]
fn items_are_opened_listed_and_closed() {
    let bench = Bench::new();
    let told = bench.says(&["item", "open", "The lamp hums", "--blocks", "carry-mass"]);
    assert!(told.starts_with("the-lamp-hums in "), "{told}");
    assert!(told.trim_end().ends_with("holds up carry-mass"), "{told}");
    let listed = bench.says(&["item", "list"]);
    assert!(listed.contains("lantern: 1 open item, 1 in the way of 1.0.0"), "{listed}");
    assert!(listed.contains("The lamp hums"), "{listed}");
    let told = bench.says(&["item", "close", "the-lamp-hums", "--result", "Rubber below it."]);
    assert!(told.trim_end().ends_with("closed; 0 left open"), "{told}");
    assert!(!bench.says(&["item", "list"]).contains("the-lamp-hums"));
    assert!(bench.says(&["item", "list", "--all"]).contains("Rubber below it."));
    let json = bench.says(&["item", "list", "--all", "--format", "json"]);
    assert!(json.contains("\"result\": \"Rubber below it.\""), "{json}");
    let again = bench.fails(&["item", "close", "the-lamp-hums", "--result", "a"]);
    assert!(again.contains("is closed already"), "{again}");
    let unknown = bench.fails(&["item", "close", "the-lamp-hum", "--result", "a"]);
    assert!(unknown.contains("did you mean `the-lamp-hums`?"), "{unknown}");
}

#[test]
fn a_waiver_lets_a_failing_requirement_through() {
    let bench = Bench::new();
    assert_eq!(bench.verdict("carry-mass"), "fail", "281 g of 200 g");
    let why = ["--until-before", "1.1.0", "--why", "The lighter lamp comes then."];
    let told = bench.says(&[&["waive", "carry-mass", "--up-to", "300 g"], &why[..]].concat());
    assert!(told.trim_end().ends_with("lets carry-mass through until before 1.1.0"), "{told}");
    assert_eq!(bench.verdict("carry-mass"), "waived");
    let wrong = bench.fails(&[&["waive", "carry-mass", "--up-to", "300 K"], &why[..]].concat());
    assert!(wrong.contains("nothing was written"), "{wrong}");
}

#[test]
fn a_waiver_that_lets_nothing_through_is_refused() {
    let bench = Bench::new();
    let scanner = bench.read("parts/scanner.toml").replace("\"31 g\"", "\"31 g ± 4 g\"");
    bench.0.write("parts/scanner.toml", scanner).commit("Not weighed well");
    let why = ["--why", "The lighter lamp comes then."];
    let ended = ["waive", "carry-mass", "--until-before", "1.0.0"];
    let told = bench.fails(&[&ended[..], &why[..]].concat());
    assert!(told.contains("a waiver until before 1.0.0 does not hold at 1.0.0"), "{told}");
    let waive = ["waive", "carry-mass", "--until-before", "1.1.0", "--up-to"];
    let told = bench.fails(&[&waive[..], &["284 g"], &why[..]].concat());
    assert!(
        told.contains("up to 284 g carry-mass is not let through: it is at 281.0 g ± 4.0 g"),
        "{told}"
    );
    assert!(told.contains("it takes --up-to \"285.0 g\""), "{told}");
    bench.says(&[&waive[..], &["285.0 g"], &why[..]].concat());
    assert_eq!(bench.verdict("carry-mass"), "waived");
    let told = bench.fails(&[
        "waive",
        "gate-light",
        "--until-before",
        "1.1.0",
        "--up-to",
        "50 g",
        "--why",
        "a",
    ]);
    assert!(told.contains("gate-light has no value that --up-to could be held against"), "{told}");
}

/// What was on the bench there is told from meshes.
#[test]
fn a_waiver_of_what_a_test_showed_is_held_against_the_result() {
    let scratch = Scratch::new();
    let run = |folder: &str, arguments: &[&str]| {
        let program = env!("CARGO_BIN_EXE_tagworthy");
        let folder = scratch.path().join(folder);
        scratch.command(program, &folder).args(arguments).output().unwrap()
    };
    assert!(run(".", &["demo", "lantern"]).status.success());
    let waive = ["waive", "gate-stays-cool", "--until-before", "1.1.0", "--why", "a", "--up-to"];
    let told =
        String::from_utf8(run("lantern", &[&waive[..], &["50 °C"]].concat()).stderr).unwrap();
    assert!(told.contains("it is at 51.4 °C ± 1.1 K\nit takes --up-to \"52."), "{told}");
    assert!(run("lantern", &[&waive[..], &["53 °C"]].concat()).status.success());
}

#[test]
fn a_waiver_that_falls_short_or_ended_is_named_beside_its_requirement() {
    let bench = Bench::new();
    let waiver = "[waiver.heavier]\nrequirement = \"carry-mass\"\nup-to = \"250 g\"\n\
                  until-before = \"1.1.0\"\nwhy = \"A lamp for now.\"\n";
    let one_line = |of: &[&str]| {
        let told = String::from_utf8(bench.run_in(".", of).stdout).unwrap();
        told.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    bench.0.write("design/waivers.toml", waiver);
    let short = "waiver heavier goes up to 250 g, and 281 g is needed";
    for of in [["ready"].as_slice(), &["why", "carry-mass"]] {
        assert!(one_line(of).contains(short), "{}", one_line(of));
    }
    let ended = "waiver heavier held until before 1.1.0";
    assert!(one_line(&["ready", "1.1.0"]).contains(ended), "{}", one_line(&["ready", "1.1.0"]));
}

#[test]
fn a_decision_is_written_down_with_its_reason() {
    let bench = Bench::new();
    let words = ["decide", "Opal glass", "--why", "It keeps its colour.", "--part", "lamp"];
    let told = bench.says(&words);
    assert!(told.starts_with("opal-glass in ") && told.trim_end().ends_with("decided"), "{told}");
    bench.says(&["check"]);
    let told = bench.says(&["decide", "Acrylic", "--why", "Light.", "--replaces", "opal-glass"]);
    assert!(told.trim_end().ends_with("in place of opal-glass"), "{told}");
    let unknown = bench.fails(&["decide", "Tin", "--why", "Cheap.", "--part", "lmp"]);
    assert!(unknown.contains("did you mean `lamp`?"), "{unknown}");
}
