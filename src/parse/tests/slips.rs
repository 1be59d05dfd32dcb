//! Every kind of slip, with what the designer is told: the cases lie in text files, a case a
//! heading `#### NAME`, the file as written, a line `--`, and what is told.

use super::super::{Role, file};
use crate::fixture::told;

/// Checks every case of `cases`, and that each of them is told something.
fn check(cases: &str, role: Role) {
    for case in cases.split("#### ").skip(1) {
        let (name, rest) = case.split_once('\n').expect("a heading");
        let (text, expected) = rest.split_once("\n--\n").unwrap_or((rest, ""));
        let found = file(text.as_bytes(), role).diagnostics;
        let found: Vec<_> = found.iter().map(|diagnostic| told(text, diagnostic)).collect();
        assert_eq!(found.join("\n"), expected.trim_end(), "{name}");
        assert!(!found.is_empty(), "{name}");
    }
}

#[test]
fn slips_of_records_are_named_where_they_stand() {
    check(include_str!("slips.txt"), Role::Records);
}

#[test]
fn slips_of_the_manifest_are_named_where_they_stand() {
    check(include_str!("manifest-slips.txt"), Role::Manifest);
}
