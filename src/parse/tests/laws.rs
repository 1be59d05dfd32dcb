//! What holds for any bytes.

use proptest::prelude::*;

use super::super::{Role, file};
use super::corpus::{nearly_manifest, nearly_records};

/// Reads `bytes` twice: no panic, every place in the file, the same result.
fn check(bytes: &[u8], role: Role) -> Result<(), TestCaseError> {
    let first = file(bytes, role);
    for found in &first.diagnostics {
        let span = found.span.range();
        prop_assert!(span.start <= span.end && span.end <= bytes.len(), "{found:?}");
        prop_assert!(!found.message.contains(char::is_control), "{found:?}");
        if let Ok(text) = std::str::from_utf8(bytes) {
            prop_assert!(text.get(span).is_some(), "{found:?} parts a character");
        }
    }
    let sorted = first.diagnostics.is_sorted_by_key(|found| found.span);
    prop_assert!(sorted, "{:?}", first.diagnostics);
    let again = file(bytes, role);
    prop_assert_eq!(format!("{first:?}"), format!("{again:?}"));
    Ok(())
}

proptest! {
    #[test]
    fn records_that_are_nearly_right(bytes in nearly_records()) {
        check(&bytes, Role::Records)?;
    }

    #[test]
    fn manifests_that_are_nearly_right(bytes in nearly_manifest()) {
        check(&bytes, Role::Manifest)?;
    }

    #[test]
    fn any_text(text in "\\PC*") {
        check(text.as_bytes(), Role::Records)?;
    }

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        check(&bytes, Role::Manifest)?;
    }

    #[test]
    fn pieces_of_toml(
        pieces in prop::collection::vec(
            prop::sample::select(vec![
                "[", "]", "[[", "]]", "{", "}", "=", ".", ",", "\n", "\"", "'", "\"\"\"", "part",
                "a", "origin", "\"cut\"", "1", "true", " ", "#", "\\", "\\u00b1", "mass", "2026-10-02",
            ]),
            0..60,
        ),
    ) {
        check(pieces.concat().as_bytes(), Role::Records)?;
    }
}

#[test]
fn nesting_and_length_are_bounded() {
    let many = 200_000;
    for text in [
        "[".repeat(many),
        format!("x = {}", "[".repeat(many)),
        format!("x = {}", "{a=".repeat(many)),
        format!("part{} = 1", ".a".repeat(many)),
        format!("[part{}]", ".a".repeat(many)),
        format!("{} = 1", "a".repeat(many)),
        "\"".repeat(many),
        "=\n".repeat(many),
    ] {
        let found = file(text.as_bytes(), Role::Records).diagnostics;
        assert!((1..=2).contains(&found.len()), "{}: {:?}", &text[..9], found.get(..3));
    }
}
