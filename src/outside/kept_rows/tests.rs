//! The shape of a kept row has a version.

use twox_hash::XxHash3_128;

use super::*;
use crate::compare::{Cause, How};
use crate::facet::Facet;
use crate::history::{
    Decided, Entry, Figure, Less, PartTouched, Reading, Titled, Turn, Value as Worth,
};
use crate::record::Id;
use crate::store::Single;
use crate::verdict::{Side, Verdict};

const VERDICTS: [Verdict; 8] = [
    Verdict::Pass,
    Verdict::Thin,
    Verdict::Edge,
    Verdict::Fail,
    Verdict::Unproven,
    Verdict::Stale,
    Verdict::Waived,
    Verdict::Later,
];

/// A row with something of everything in it.
fn full() -> Entry {
    let id = |name: &str| Id::from(name);
    let titled = |name: &str| Titled { id: id(name), title: Some("Glare".to_owned()) };
    let touched = |how| PartTouched {
        part: id("lamp"),
        how,
        facets: Facet::ALL.to_vec(),
        facet_words: vec!["figures".to_owned()],
    };
    let reading = |verdict| Reading {
        requirement: id("carry-mass"),
        verdict,
        beneath: Verdict::Thin,
        value: Some(1.15),
        with_options: Some(1.17),
        by_options: true,
        expanded_u: 0.009,
        unit: "g".to_owned(),
        limits: vec![(Side::AtMost, 1.2), (Side::AtLeast, 0.1)],
        figure: Some((id("scanner"), id("mass"), 2)),
        shares: vec![(id("lamp"), 0.25)],
    };
    let turn = |cause| Turn {
        variant: Some(id("travel")),
        requirement: id("carry-mass"),
        before: Some(Verdict::Pass),
        after: None,
        cause,
        unit: "g".to_owned(),
        expanded_u: 0.009,
        shares: vec![(id("lamp"), 0.25)],
    };
    Entry {
        design: "lantern".to_owned(),
        release: "1.0.0".to_owned(),
        parts: [How::Added, How::Removed, How::Changed].map(touched).to_vec(),
        figures: vec![figure()],
        readings: VERDICTS.map(reading).to_vec(),
        turns: [Cause::Design, Cause::Knowledge, Cause::Requirement].map(turn).to_vec(),
        loosened: vec![Less {
            requirement: id("carry-mass"),
            what: "margin".to_owned(),
            before: "25 g".to_owned(),
            after: String::new(),
        }],
        opened: vec![titled("lamp-glare")],
        closed: vec![titled("fan-noise")],
        decided: vec![Decided { id: id("opal"), title: None, parts: vec![id("lamp")] }],
    }
}

fn figure() -> Figure {
    let worth = Worth {
        basic: 217.44,
        predicted: 220.5,
        expanded_u: 1.5,
        money: Some(("217.44".to_owned(), "220.5".to_owned())),
        is_lower_bound: true,
    };
    Figure {
        part: "scanner".into(),
        is_top: true,
        quantity: "cost".into(),
        builds: 1,
        unit: "EUR".to_owned(),
        before: None,
        after: Some(worth),
        shares: vec![("lamp".into(), 7.26)],
    }
}

/// Where this differs, rows of before are read in another way: raise [`history::VERSION`].
#[test]
fn the_shape_of_a_row_has_a_version() {
    let unreadable =
        Told::Unreadable { errors: 2, first: "parts/lamp.toml:1: no table".to_owned() };
    let kept: Vec<Kept> = [Some(Told::Entry(Box::new(full()))), Some(unreadable), Some(Told::Gone)]
        .into_iter()
        .chain([None])
        .map(|told| Kept { told, is_readable: true })
        .collect();
    let tree = [7; 20];
    let values: Vec<Value<'_>> = kept
        .iter()
        .map(|kept| Value {
            against: Some(tree.as_slice().into()),
            named: vec![("v0.3.0".into(), tree.as_slice().into())],
            kept: Cow::Borrowed(kept),
        })
        .collect();
    let folder = tempfile::tempdir().expect("there is room");
    let (file, key) =
        (Single::open(folder.path(), "rows"), Key::new(ContentKey::new(&[]), "ledger", ""));
    file.put(&key, &values);
    let back: Vec<Value<'static>> = file.get(&key).expect("it was kept");
    assert!(back.iter().zip(&kept).all(|(back, kept)| *back.kept == *kept));
    let digest = XxHash3_128::oneshot(&file.bytes(&key).expect("it was kept"));
    let (_, version) = history::VERSION.split_once('/').expect("it follows the program's");
    insta::assert_snapshot!(format!("{version}: {digest:032x}"), @"6: 7733313eaa42441c83f43c4e9a9857d9");
}
