//! What `ready` and `upgrade` see of the past.

use crate::workshop::{Workshop, parts};

/// What `ready` finds by the check `code`, the remarks on lines of their own.
fn finds(shop: &Workshop, arguments: &[&str], code: &str) -> bool {
    let output = shop.run(&[&["ready"], arguments].concat());
    String::from_utf8(output.stdout).unwrap().contains(code)
}

#[test]
fn an_export_is_older_than_its_source_in_the_order_of_commits() {
    let shop = Workshop::new();
    assert!(!finds(&shop, &["--at", "HEAD"], "export-order"), "one commit changed both");
    shop.0.write("parts/gate.scad", "cube(6);\n");
    assert!(finds(&shop, &[], "export-order"), "on disk");
    assert!(!finds(&shop, &["--staged"], "export-order"), "not in the index yet");
    shop.0.commit("Larger");
    assert!(finds(&shop, &["--at", "HEAD"], "export-order"));
    assert!(!finds(&shop, &["--at", "HEAD~1"], "export-order"));
    shop.0.write("parts/gate.stl", "solid six\nendsolid six\n");
    assert!(!finds(&shop, &[], "export-order"), "exported anew, on disk");
    shop.0.commit("Export");
    assert!(!finds(&shop, &["--at", "HEAD"], "export-order"));
}

/// ISO 10303-21: the header holds a time stamp, the data section the geometry.
#[test]
fn an_exchange_file_with_another_time_stamp_overtakes_nothing() {
    let shop = Workshop::new();
    let step = |day: &str, radius: &str| {
        format!(
            "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\n\
             FILE_NAME('gate','2026-{day}T00:00:00',(''),(''),'','','');\n\
             FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\n\
             #1=CARTESIAN_POINT('',({radius},0.,0.));\nENDSEC;\nEND-ISO-10303-21;\n"
        )
    };
    let records = parts("1.0.0", "5 mm").replace("gate.scad", "gate.step");
    shop.0.write("parts/scanner.toml", records).write("parts/gate.step", step("01-01", "5."));
    shop.0.write("parts/gate.stl", "solid five\nendsolid five\n").commit("Exchange");
    shop.0.write("parts/gate.step", step("02-01", "5."));
    assert!(!finds(&shop, &[], "export-order"), "saved again, on disk");
    shop.0.write("parts/gate.step", step("02-02", "5.")).commit("Saved again");
    assert!(!finds(&shop, &["--at", "HEAD"], "export-order"));
    shop.0.write("parts/gate.step", step("02-02", "6.")).commit("Larger");
    assert!(finds(&shop, &["--at", "HEAD"], "export-order"));
}

#[test]
fn a_part_that_is_another_than_at_the_last_release_says_so_by_its_version() {
    let shop = Workshop::new();
    shop.says(&["release", "0.1.0"]);
    shop.with_gate("1.0.0", "6 mm");
    assert!(finds(&shop, &["0.2.0", "--at", "HEAD"], "version-raised"));
    assert!(!finds(&shop, &["0.1.0", "--at", "v0.1.0"], "version-raised"), "its own past");
    shop.with_gate("1.1.0", "6 mm");
    assert!(!finds(&shop, &["0.2.0", "--at", "HEAD"], "version-raised"));
}

#[test]
fn a_release_on_another_branch_is_no_past() {
    let shop = Workshop::new();
    shop.0.git(&["checkout", "--quiet", "-b", "side"]);
    shop.with_gate("1.1.0", "6 mm").prepare("0.5.0").says(&["release", "0.5.0"]);
    shop.0.git(&["checkout", "--quiet", "main"]);
    let told = shop.fails(&["release"]);
    assert!(told.contains("there is no release before HEAD"), "{told}");
}

#[test]
fn an_upgrade_tells_what_to_print_and_what_to_do() {
    let shop = Workshop::new();
    shop.says(&["release", "0.1.0"]);
    shop.with_gate("1.1.0", "6 mm");
    for from in ["0.1.0", "v0.1.0", "HEAD~1"] {
        let told = shop.says(&["upgrade", from]);
        assert!(told.contains("make 1 part"), "{told}");
        assert!(told.contains("better; the old one fits too"), "{told}");
    }
    assert!(shop.says(&["upgrade", "0.1.0", "0.1.0"]).contains("nothing to do"));
    let missing = shop.fails(&["upgrade", "0.7.0"]);
    assert!(missing.contains("there is no release 0.7.0: no tag v0.7.0\n"), "{missing}");
    assert!(!missing.contains("refs/tags"), "{missing}");
}
