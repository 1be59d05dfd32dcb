//! `item`, `waive` and `decide`.

use crate::bench::Bench;

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
