//! `bom` and `steps`, on a screen and for a spreadsheet.

use crate::bench::Bench;

const SHOP: &str = r#"
[[part.lamp.offer]]
supplier = "lamp-shop"
code = "-L250"
pack = 2
price = "9.90 EUR"
[supplier.lamp-shop]
shipping = "4 EUR"
[step.light-it]
title = "=Fit the lamp"
uses = { lamp = 2, gate = 1 }
"#;

fn shop() -> Bench {
    let bench = Bench::new();
    let lamp = crate::bench::lamp("L-250");
    bench.0.write("parts/lamp.toml", lamp + SHOP);
    bench
}

/// Three builds take two packs of two: 19.80, and 4.00 for the parcel.
#[test]
fn an_order_is_for_all_builds() {
    let bench = shop();
    let told = bench.says(&["bom", "--builds", "3"]);
    assert!(
        told.starts_with("lantern in the working tree: the order for 3 builds is from 23.80 EUR")
    );
    assert!(told.contains("1 left over") && told.contains("gate   nobody offers"), "{told}");
    let level = bench.says(&["bom", "--level"]);
    assert!(level.contains("level   part"), "{level}");
    let json = bench.says(&["bom", "--builds", "3", "--format", "json"]);
    assert!(json.contains("\"exact\": \"23.8\""), "{json}");
    assert!(bench.fails(&["bom", "--builds", "0"]).contains("--builds"));
    assert!(bench.fails(&["bom", "--variant", "travl"]).contains("there is no variant `travl`"));
}

#[test]
fn a_sheet_holds_no_formula() {
    let bench = shop();
    let sheet = bench.says(&["bom", "--format", "csv"]);
    assert!(sheet.contains(",lamp-shop,'-L250,1,9.9,\r\n"), "{sheet}");
    let steps = bench.says(&["steps", "--format", "csv"]);
    assert!(steps.contains("1,light-it,'=Fit the lamp,1,"), "{steps}");
    let refused = bench.fails(&["check", "--format", "csv"]);
    assert!(refused.contains("this is no list for a spreadsheet"), "{refused}");
}

#[test]
fn steps_that_use_too_much_are_told_and_found_by_the_checklist() {
    let bench = shop();
    let told = bench.says(&["steps"]);
    assert!(told.contains("`lamp` is listed × 1; steps use × 2 in `light-it`"), "{told}");
    let waived = ["--until-before", "1.1.0", "--why", "A spare lamp goes with it."];
    bench.says(&[&["waive", "--check", "steps-match", "--part", "lamp"], &waived[..]].concat());
    let told = bench.says(&["steps"]);
    assert!(told.contains("waived by"), "{told}");
}
