//! What holds for any files: no panic, places that are there, and a design that does not depend on
//! how its records are spread over files, ordered and spaced.

use std::collections::BTreeMap;

use proptest::prelude::*;

use crate::diagnostic::{Located, Severity};
use crate::fixture::{files, linked, reference_example};

/// The sections of the example's records (a header with its lines), by record.
fn sections() -> Vec<Vec<String>> {
    let (_, text) = reference_example();
    let mut records: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for section in format!("\n{text}").split("\n[").skip(1) {
        let header = section.trim_start_matches('[');
        let steps: Vec<&str> = header.split([']', '.']).take(2).collect();
        records.entry(steps.join(".")).or_default().push(format!("[{section}\n"));
    }
    records.into_values().collect()
}

/// How the records of the example are written down.
#[derive(Clone, Debug)]
struct Layout {
    records: Vec<Vec<String>>,
    file_of: Vec<usize>,
    spacing: Vec<&'static str>,
}

fn layout() -> impl Strategy<Value = Layout> {
    let sections = sections();
    let count = sections.len();
    let spacing = prop::sample::select(vec!["\n", " \n", "\r\n", "\n\n", " # a comment\n", "\t\n"]);
    (
        Just(sections).prop_shuffle(),
        prop::collection::vec(0..4_usize, count),
        prop::collection::vec(spacing, 1..30),
        any::<bool>(),
    )
        .prop_map(|(mut records, file_of, spacing, backwards)| {
            for record in records.iter_mut().filter(|_| backwards) {
                // Tables of one record may stand in any order; lists of tables may not.
                if !record.iter().any(|section| section.starts_with("[[")) {
                    record.reverse();
                }
            }
            Layout { records, file_of, spacing }
        })
}

/// The fixture of the design in that layout.
fn written(layout: &Layout) -> String {
    let (manifest, _) = reference_example();
    let mut texts = vec![String::new(); 4];
    let mut spacing = layout.spacing.iter().cycle();
    for (record, file) in layout.records.iter().zip(&layout.file_of) {
        for line in record.iter().flat_map(|section| section.lines()) {
            texts[*file].push_str(line);
            texts[*file].push_str(spacing.next().copied().unwrap_or("\n"));
        }
    }
    let mut fixture = format!("\n== tagworthy.toml\n{manifest}");
    for (index, text) in texts.iter().enumerate() {
        fixture.push_str(&format!("\n== parts/{index}.toml\n{text}"));
    }
    fixture
}

/// The design without the places of its records.
fn placeless(fixture: &str) -> String {
    let linked = linked(fixture);
    let errors: Vec<&Located> = linked
        .diagnostics
        .iter()
        .filter(|found| found.diagnostic.severity == Severity::Error)
        .collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let debug = format!("{:?}", linked.design.expect("it has no errors"));
    let mut placeless = String::with_capacity(debug.len());
    for (index, piece) in debug.split("Span { start: ").enumerate() {
        let rest = piece.split_once(" }").filter(|_| index > 0).map_or(piece, |(_, rest)| rest);
        placeless.push_str(rest);
    }
    (0..4).fold(placeless, |text, index| text.replace(&format!("parts/{index}.toml"), "parts"))
}

/// Whether every diagnostic of the fixture points into its file.
fn check_places(fixture: &str) -> Result<(), TestCaseError> {
    let files = files(fixture);
    for found in &linked(fixture).diagnostics {
        let length = files.bytes(&found.path).map_or(0, |bytes| bytes.len());
        prop_assert!(found.diagnostic.span.range().end <= length, "{found:?}");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_design_does_not_depend_on_its_layout(layout in layout()) {
        let (manifest, records) = reference_example();
        let plain = format!("\n== tagworthy.toml\n{manifest}\n== parts/0.toml\n{records}");
        prop_assert_eq!(placeless(&plain), placeless(&written(&layout)));
    }

    #[test]
    fn ids_that_change_places_make_no_panic(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>()), 1..12),
    ) {
        let (manifest, records) = reference_example();
        let text = format!("\n== tagworthy.toml\n{manifest}\n== parts/0.toml\n{records}");
        let is_word = |c: char| c.is_ascii_alphanumeric() || c == '-';
        let mut pieces: Vec<&str> = text.split_inclusive(|c: char| !is_word(c)).collect();
        for (a, b) in changes {
            let (a, b) = (a.index(pieces.len()), b.index(pieces.len()));
            pieces.swap(a, b);
        }
        check_places(&pieces.concat().replace("== tagworthy", "== _"))?;
        check_places(&pieces.concat())?;
    }
}
