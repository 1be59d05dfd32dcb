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

/// `/dev/full` is a device to which nothing can be written.
#[test]
#[cfg(target_os = "linux")]
fn an_output_that_is_lost_is_said_and_one_that_nobody_reads_is_not() {
    let bench = shop();
    let written_to = |output: std::process::Stdio| {
        let program = env!("CARGO_BIN_EXE_tagworthy");
        let mut command = bench.0.command(program, &bench.0.path());
        command.arg("steps").stdout(output).output().unwrap()
    };
    let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
    let lost = written_to(full.into());
    assert_eq!(lost.status.code(), Some(2));
    let told = String::from_utf8(lost.stderr).unwrap();
    assert!(told.starts_with("tagworthy: the output could not be written"), "{told}");
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    let unread = written_to(writer.into());
    assert_eq!((unread.status.code(), unread.stderr.len()), (Some(0), 0));
}
