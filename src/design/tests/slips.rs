//! Slips that show when the files of a design come together: a case is a heading `#### NAME`, the
//! files as fixtures have them, a line `--`, and what is told.

use crate::fixture::{files, linked, told};

/// Checks every case of `cases`, and that each of them is told something.
fn check(cases: &str) {
    for case in cases.split("#### ").skip(1) {
        let (name, rest) = case.split_once('\n').expect("a heading");
        let (text, expected) = rest.split_once("\n--\n").unwrap_or((rest, ""));
        let text = format!("\n{text}");
        let files = files(&text);
        let told = |found: &crate::diagnostic::Located| {
            let bytes = files.bytes(&found.path).expect("a file of the fixture");
            let text = std::str::from_utf8(bytes).expect("fixtures are text");
            format!("{}:{}", found.path, told(text, &found.diagnostic))
        };
        let found: Vec<_> = linked(&text).diagnostics.iter().map(told).collect();
        assert_eq!(found.join("\n"), expected.trim_end(), "{name}");
        assert!(!found.is_empty(), "{name}");
    }
}

#[test]
fn slips_of_records_are_named_where_they_stand() {
    check(include_str!("slips.txt"));
}

#[test]
fn slips_of_the_manifest_are_named_where_they_stand() {
    check(include_str!("manifest-slips.txt"));
}
