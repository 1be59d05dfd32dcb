//! Whatever is written lands in the records, with its place.

use std::collections::BTreeSet;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::super::{MOST_BYTES, MOST_RECOVERED_BYTES, Role, file};
use super::records;
use crate::diagnostic::{At, Span};
use crate::fixture::{reference_example, told};
use crate::quantity::Basis;
use crate::record::{Hazard, Setting};

/// Where the values stand that are written in `table`, lists and tables taken apart.
fn leaves(table: &DeTable<'_>, found: &mut Vec<Span>) {
    fn leaf(value: &Spanned<DeValue<'_>>, found: &mut Vec<Span>) {
        match value.get_ref() {
            DeValue::Table(table) => leaves(table, found),
            DeValue::Array(array) => array.iter().for_each(|element| leaf(element, found)),
            _ => found.push(Span::new(value.span().start, value.span().end)),
        }
    }
    table.values().for_each(|value| leaf(value, found));
}

/// The places that a record remembers, by its debug form.
fn places(debug: &str) -> BTreeSet<Span> {
    let spans = debug.split("Span { start: ").skip(1);
    let read = |span: &str| {
        let (start, rest) = span.split_once(", end: ")?;
        let (end, _) = rest.split_once(' ')?;
        Some(Span { start: start.parse().ok()?, end: end.parse().ok()? })
    };
    spans.filter_map(read).collect()
}

#[track_caller]
fn check_landed(text: &str, role: Role) {
    let parsed = file(text.as_bytes(), role);
    let wrong: Vec<_> = parsed.diagnostics.iter().map(|found| told(text, found)).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    let remembered = places(&format!("{:?}{:?}", parsed.manifest, parsed.records));
    let document = DeTable::parse(text).expect("it was read without an error");
    let mut written = Vec::new();
    leaves(document.get_ref(), &mut written);
    // These say something about the value beside them and are not kept by themselves.
    let aside = ["optional = ", "basis = ", "distribution = ", "plus-minus = ", "sigmas = "];
    let lost: Vec<_> = written
        .into_iter()
        .filter(|span| !remembered.contains(span))
        .filter(|span| !aside.iter().any(|key| text[..span.range().start].ends_with(key)))
        .map(|span| &text[span.range()])
        .collect();
    assert!(lost.is_empty(), "{lost:?}");
}

#[test]
fn every_value_of_the_example_lands_with_its_place() {
    let (manifest, records) = reference_example();
    check_landed(&manifest, Role::Manifest);
    check_landed(&records, Role::Records);
}

/// What was written at a place.
fn written<'t, T>(text: &'t str, at: &At<T>) -> &'t str {
    &text[at.span.range()]
}

#[test]
fn values_of_a_part_are_what_was_written() {
    let (_, text) = reference_example();
    let parsed = records(&text);
    let part = |id: &str| {
        let found = parsed.records.parts.iter().find(|part| part.id.as_str() == id);
        found.expect("it is in the example")
    };
    let gate = part("film-gate");
    assert_eq!(written(&text, &gate.id), "film-gate");
    assert_eq!(written(&text, gate.version.as_ref().unwrap()), "\"2.1.0\"");
    assert_eq!(gate.hazards[0].value, Hazard::HotSurface);
    let (name, slot) = &gate.dimensions[0];
    assert_eq!((written(&text, name), written(&text, slot)), ("slot", "\"5.00 mm +0.05/-0.00\""));
    assert_eq!((slot.nominal.base, slot.upper, slot.lower), (0.005, 0.00005, 0.0));
    let lid = part("lid").mesh.as_ref().unwrap();
    assert_eq!((lid.unit_m.value, lid.infill.as_ref().unwrap().value), (0.001, 0.2));
    let settings = &part("led-panel").settings;
    assert!(matches!(&settings[0].1.value, Setting::Text(text) if text == "true"));
    assert!(matches!(&settings[1].1.value, Setting::Measure(current) if current.base == 0.35));
    let scanner = &part("scanner").contains;
    let names: Vec<_> = scanner.iter().map(|line| line.part.as_str()).take(3).collect();
    assert_eq!(names, ["cell", "dust-cover", "felt-strip"]);
    assert_eq!(scanner[0].places.len(), 2);
    assert!(scanner[1].optional && !scanner[0].optional);
    assert_eq!(scanner[2].amount.exact.to_string(), "0.35");
    let offer = &part("clamp-knob").offers[0];
    assert_eq!(offer.breaks.iter().map(|(from, _)| from.value).collect::<Vec<_>>(), [5, 20]);
    let (_, mass) = &part("arm").quantities[0];
    let mass = mass.as_ref().unwrap();
    assert_eq!(mass.figure.basis, Some(Basis::Stated));
    assert_eq!(mass.figure.spread.unwrap().half_width, 0.0005);
}

#[test]
fn a_byte_order_mark_is_no_slip_and_moves_no_place() {
    let text = "\u{feff}[part.lid]\norigin = \"printd\"\n";
    let found = records(text).diagnostics;
    assert_eq!(found.len(), 1);
    assert_eq!(&text[found[0].span.range()], "\"printd\"");
}

#[test]
fn a_file_in_another_encoding_is_one_diagnostic_and_its_records_are_there() {
    // "Gehäuse" and "±" in Latin-1.
    let text =
        b"[part.lid]\norigin = \"printed\"\ntitle = \"Geh\xe4use\"\nmass = \"31 g \xb1 1 g\"\n";
    let parsed = file(text, Role::Records);
    assert_eq!(parsed.diagnostics.len(), 1);
    assert_eq!(parsed.diagnostics[0].code.0, "not-utf-8");
    assert_eq!(text[parsed.diagnostics[0].span.range()], [0xe4]);
    assert_eq!(parsed.records.parts[0].id.as_str(), "lid");
}

#[test]
fn a_file_beyond_the_limit_is_one_diagnostic() {
    let found = file(&vec![b'#'; MOST_BYTES + 1], Role::Records).diagnostics;
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].code.0, "too-large");
    assert!(file(&vec![b'#'; MOST_BYTES], Role::Records).diagnostics.is_empty());
}

#[test]
fn a_table_of_names_has_an_end() {
    let many: String = (0..1_200).map(|index| format!("a{index} = \"3 mm\"\n")).collect();
    let parsed = records(&format!("[part.lid]\norigin = \"cut\"\n[part.lid.formula]\n{many}"));
    assert_eq!(parsed.diagnostics.len(), 1);
    assert_eq!(parsed.diagnostics[0].message, "`formula` holds at most 1000 names");
    assert_eq!(parsed.records.parts[0].formulas.len(), 1_000);
}

#[test]
fn a_large_file_is_read_to_its_end() {
    let filler = "# filler\n".repeat(MOST_RECOVERED_BYTES / 8);
    let lid = "[part.lid]\norigin = \"cut\"\n";
    let parsed = records(&format!("{filler}{lid}"));
    assert_eq!((parsed.records.parts.len(), parsed.diagnostics.len()), (1, 0));
}

/// Every line would be three complaints of the reader.
#[test]
fn of_a_large_file_that_is_no_toml_one_slip_is_told() {
    let told = |text: &str| {
        assert!(text.len() > MOST_RECOVERED_BYTES);
        let parsed = records(text);
        assert!(parsed.incomplete && parsed.records.parts.is_empty());
        let codes: Vec<_> = parsed.diagnostics.iter().map(|found| found.code.0).collect();
        codes.join(" ")
    };
    assert_eq!(told(&"=\n".repeat(MOST_BYTES / 2)), "not-toml");
    assert_eq!(told(&"[part.lid]\n".repeat(50_000)), "duplicate-key");
}
