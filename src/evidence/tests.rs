//! Results against designs that moved on.

use std::fmt::Write;

use proptest::prelude::*;

use super::{
    How, Revision, RevisionSeals, Standing, Standings, Undecidable, covered, disagreements,
    seal_text, standings,
};
use crate::design::Design;
use crate::facet::{self, Untold};
use crate::fixture;

/// A gate that is tested with a lamp; the scanner holds both and a foot.
const SCANNER: &str = r#"
[part.scanner]
origin = "assembled"
contains = { gate-unit = 1, led-panel = 1, foot = 4 }
[part.gate-unit]
origin = "assembled"
version = "1.0.0"
contains = { gate = 1, rail = 2, shade = { count = 1, optional = true } }
[part.gate]
title = "Film gate"
origin = "printed"
material = "petg"
mesh = { file = "gate.stl", unit = "mm", walls = "1.2 mm" }
size = "84 x 60 x 9 mm"
mass = "31 g"
dimension = { slot = "5.00 mm +0.05/-0.00" }
setting = { tension = "2 N" }
hazard = ["sharp"]
heat-path = [{ to = "inside-air", resistance = "5 K/W" }]
[part.rail]
origin = "bought"
maker = "Railworks"
mpn = "R-8"
[part.shade]
origin = "cut"
[part.led-panel]
origin = "bought"
version = "1.2.0"
mpn = "LP-40"
heat = "6 W"
setting = { drive-current = "350 mA" }
heat-path = [{ to = "inside-air", resistance = "5.2 K/W" }]
[[part.led-panel.offer]]
supplier = "lamp-shop"
price = "38.50 EUR"
[part.foot]
origin = "bought"
heat-path = [{ to = "inside-air", resistance = "90 K/W" }]
[node.inside-air]
heat-path = [{ to = "ambient", resistance = "2.4 K/W" }]
[material.petg]
density = "1.27 g/cm³"
[supplier.lamp-shop]
[variant.travel]
drop = ["led-panel"]
"#;

const SOAK: &str = r#"
[evidence.gate-soak]
part = "gate-unit"
quantity = "temperature"
value = "38.4 °C ± 1.2 K"
ambient = "22 °C"
steady = "0.6 K/h"
method = "test"
with = ["led-panel"]
"#;

fn text(records: &str, mesh: &str) -> String {
    let manifest = fixture::MANIFEST;
    format!("\n== tagworthy.toml\n{manifest}\n== parts.toml\n{records}\n== gate.stl\n{mesh}")
}

fn design(records: &str) -> std::sync::Arc<Design> {
    fixture::design(&text(records, "solid gate"))
}

fn standings_of(design: &Design, revisions: &RevisionSeals) -> Standings {
    standings(design, facet::table(design), revisions, None)
}

/// The seal that the tool would write for the last result of `records`.
fn seal_of(records: &str) -> String {
    let design = design(records);
    let covered = covered(&design, design.evidence.last().expect("a result"));
    let mut seal = String::new();
    for (part, text) in seal_text(&facet::table(&design), &design, &covered) {
        let _ = writeln!(seal, "{part} = \"{text}\"");
    }
    seal
}

/// The scanner with a soak that is sealed as it is.
fn sealed() -> String {
    let records = format!("{SCANNER}{SOAK}");
    let seal = seal_of(&records);
    format!("{records}[evidence.gate-soak.seal]\n{seal}")
}

fn standing(records: &str) -> String {
    told(&design(records), &RevisionSeals::default())
}

/// The standing of the last result, in words.
fn told(design: &Design, revisions: &RevisionSeals) -> String {
    let standings = standings_of(design, revisions);
    let stands = standings.of(design.evidence.len() - 1);
    match &stands.standing {
        Standing::Current if stands.carried_over.is_empty() => "current".into(),
        Standing::Current => format!("current by {:?}", stands.carried_over),
        Standing::Stale(changed) | Standing::Contradiction(changed) => {
            let how = |how: &How| match how {
                How::Facets(facets) => {
                    facets.iter().map(|facet| facet.word()).collect::<Vec<_>>().join(", ")
                }
                How::Gone => "gone".into(),
                How::New => "new".into(),
            };
            let told =
                changed.iter().map(|changed| format!("{} {}", changed.part, how(&changed.how)));
            told.collect::<Vec<_>>().join("; ")
        }
        other => format!("{other:?}"),
    }
}

/// The standing after `from` in the records is written `to`.
fn after(from: &str, to: &str) -> String {
    let sealed = sealed();
    assert!(sealed.contains(from), "`{from}` stands in the fixture");
    standing(&sealed.replacen(from, to, 1))
}

#[test]
fn a_seal_covers_the_part_what_it_holds_and_what_stood_with_it() {
    let seal = seal_of(&format!("{SCANNER}{SOAK}"));
    let parts: Vec<&str> = seal.lines().filter_map(|line| line.split(' ').next()).collect();
    assert_eq!(parts, ["gate", "gate-unit", "led-panel", "rail", "shade"]);
    let excepted =
        SOAK.to_owned() + "except = { gate-unit = \"only its frame\", rail = \"cold\" }\n";
    let seal = seal_of(&format!("{SCANNER}{excepted}"));
    assert!(seal.starts_with("led-panel = ") && seal.lines().count() == 1, "{seal}");
}

#[test]
fn each_physical_facet_of_a_covered_part_makes_it_stale() {
    assert_eq!(standing(&sealed()), "current");
    let moved = fixture::design(&text(&sealed(), "solid other gate"));
    assert_eq!(told(&moved, &RevisionSeals::default()), "gate geometry");
    assert_eq!(after("walls = \"1.2 mm\"", "walls = \"2 mm\""), "gate material");
    assert_eq!(after("mpn = \"LP-40\"", "mpn = \"LP-60\""), "led-panel identity");
    assert_eq!(after("5.00 mm", "5.10 mm"), "gate dimensions");
    assert_eq!(after("350 mA", "0.4 A"), "led-panel settings");
    assert_eq!(after("rail = 2", "rail = 3"), "gate-unit composition");
}

#[test]
fn what_came_or_went_is_named() {
    let came = after("with = [\"led-panel\"]", "with = [\"led-panel\", \"foot\"]");
    assert_eq!(came, "foot new");
    let gone = sealed().replacen(", shade = { count = 1, optional = true }", "", 1).replacen(
        "[part.shade]\norigin = \"cut\"\n",
        "",
        1,
    );
    assert_eq!(standing(&gone), "gate-unit composition; shade gone");
    // A part that is still there and no longer on the bench is covered by the seal alone.
    assert_eq!(after("with = [\"led-panel\"]", "with = []"), "current");
}

/// The lamp stood beside the gate when it was measured, and is no part of the design any more.
#[test]
fn what_went_and_does_not_matter_is_excepted() {
    let gone = sealed().replacen("led-panel = 1, ", "", 1);
    let (before, lamp) = gone.split_once("[part.led-panel]").expect("the lamp");
    let (_, rest) = lamp.split_once("[part.foot]").expect("the foot");
    let gone = format!("{before}[part.foot]{rest}")
        .replacen("with = [\"led-panel\"]\n", "", 1)
        .replacen("[variant.travel]\ndrop = [\"led-panel\"]\n", "", 1);
    assert_eq!(standing(&gone), "led-panel gone");
    let excepted = gone.replacen(
        "method = \"test\"",
        "method = \"test\"\nexcept = { led-panel = \"stood far off\" }",
        1,
    );
    assert_eq!(standing(&excepted), "current");
}

#[test]
fn a_later_state_can_be_carried_over() {
    let changed = sealed().replacen("350 mA", "0.4 A", 1);
    let design_now = design(&changed);
    let table = facet::table(&design_now);
    let panel = design_now.part("led-panel").expect("the panel");
    let carried = format!(
        "[[evidence.gate-soak.carries-over]]\npart = \"led-panel\"\nseal = \"{}\"\n\
         why = \"the soak ran at 0.4 A anyway\"\n",
        facet::seal(table.of(&design_now, panel))
    );
    assert_eq!(standing(&format!("{changed}{carried}")), "current by [\"led-panel\"]");
    let further = format!("{changed}{carried}").replacen("0.4 A", "0.5 A", 1);
    assert_eq!(standing(&further), "led-panel settings");
    let other = format!("{changed}{carried}").replacen("rail = 2", "rail = 3", 1);
    assert_eq!(standing(&other), "gate-unit composition");
}

#[test]
fn a_result_that_says_nothing_of_its_bench_is_unpinned() {
    assert_eq!(standing(&format!("{SCANNER}{SOAK}")), "Unpinned");
    let aside = format!("{SCANNER}{SOAK}set-aside = \"the thermocouple fell off\"\n");
    assert_eq!(standing(&aside), "SetAside");
}

/// The scanner with a soak of the revision `abc`.
fn named() -> String {
    format!("{SCANNER}{SOAK}revision = \"abc\"\n")
}

fn revisions(records: &str) -> RevisionSeals {
    [("abc".to_owned(), Revision::of(design(records)))].into_iter().collect()
}

#[test]
fn a_revision_is_sealed_by_computing_it() {
    let unknown = Standing::Undecidable(Undecidable::Revision("abc".into()));
    assert_eq!(standing(&named()), format!("{unknown:?}"));
    assert_eq!(told(&design(&named()), &revisions(SCANNER)), "current");
    let before = SCANNER.replacen("350 mA", "300 mA", 1);
    assert_eq!(told(&design(&named()), &revisions(&before)), "led-panel settings");
}

#[test]
fn a_seal_that_its_revision_does_not_bear_out_is_at_odds_with_itself() {
    let both = sealed().replacen("steady", "revision = \"abc\"\nsteady", 1);
    assert_eq!(told(&design(&both), &revisions(SCANNER)), "current");
    let before = SCANNER.replacen("350 mA", "300 mA", 1);
    let standings = standings_of(&design(&both), &revisions(&before));
    assert!(matches!(standings.of(0).standing, Standing::Contradiction(_)));
    assert_eq!(RevisionSeals::demands(&design(&both), false), [""; 0], "its seal is enough");
    assert_eq!(RevisionSeals::demands(&design(&both), true), ["abc"]);
}

#[test]
fn a_mesh_that_is_not_there_cannot_be_told_from() {
    let without = sealed().replacen("file = \"gate.stl\"", "file = \"lost.stl\"", 1);
    assert_eq!(standing(&without), untold(Untold::NotThere));
    let and_more = without.replacen("350 mA", "0.4 A", 1);
    assert_eq!(standing(&and_more), "led-panel settings");
}

/// The gate's geometry cannot be compared.
fn untold(why: Untold) -> String {
    format!("{:?}", Standing::Undecidable(Undecidable::Geometry(why, vec!["gate".into()])))
}

/// The standing of a soak that was sealed when the gate's mesh was `then`, now that it is `now`.
fn after_mesh(then: &str, now: &str) -> String {
    let unsealed = format!("{SCANNER}{SOAK}");
    let bench = fixture::design(&text(&unsealed, then));
    let covered = covered(&bench, &bench.evidence[0]);
    let seal = seal_text(&facet::table(&bench), &bench, &covered).into_iter();
    let seal: String = seal.map(|(part, text)| format!("{part} = \"{text}\"\n")).collect();
    let records = format!("{unsealed}[evidence.gate-soak.seal]\n{seal}");
    told(&fixture::design(&text(&records, now)), &RevisionSeals::default())
}

#[test]
fn a_large_file_that_was_not_fetched_makes_nothing_stale() {
    let [cube, long] = [[20.0; 3], [20.0, 20.0, 30.0]].map(fixture::cuboid_stl);
    let [pointer, other] = [&cube, &long].map(|content| fixture::pointer_to(content));
    assert_eq!(after_mesh(&pointer, &pointer), "current", "its pointer is the same");
    assert_eq!(after_mesh(&pointer, &other), untold(Untold::NotAtHand));
    assert_eq!(after_mesh(&cube, &other), untold(Untold::NotAtHand), "it was at hand before");
    assert_eq!(after_mesh(&other, &cube), untold(Untold::NotSealed), "it is at hand now");
    assert_eq!(after_mesh(&cube, &long), "gate geometry", "both are at hand");
}

#[test]
fn the_same_triangles_in_another_file_are_no_change() {
    let cube = fixture::cuboid_stl([20.0; 3]);
    let renamed = cube.replacen("solid", "solid renamed", 1);
    assert_eq!(after_mesh(&cube, &renamed), "current");
}

#[test]
fn what_is_known_to_be_another_is_stale_whatever_is_not_fetched() {
    let records = sealed().replacen("350 mA", "0.4 A", 1);
    let here = fixture::design(&text(&records, &fixture::pointer_to("a mesh")));
    assert_eq!(told(&here, &RevisionSeals::default()), "led-panel settings");
}

#[test]
fn a_seal_without_geometry_is_completed_by_its_revision() {
    let cube = fixture::cuboid_stl([20.0; 3]);
    let unsealed = format!("{SCANNER}{SOAK}revision = \"abc\"\n");
    let bench = fixture::design(&text(&unsealed, &fixture::pointer_to(&cube)));
    let covered = covered(&bench, &bench.evidence[0]);
    let seal = seal_text(&facet::table(&bench), &bench, &covered).into_iter();
    let seal: String = seal.map(|(part, text)| format!("{part} = \"{text}\"\n")).collect();
    let records = format!("{unsealed}[evidence.gate-soak.seal]\n{seal}");
    let fetched = Revision::of(fixture::design(&text(&unsealed, &cube)));
    let revisions = [("abc".to_owned(), fetched)].into_iter().collect();
    assert_eq!(told(&fixture::design(&text(&records, &cube)), &revisions), "current");
    let longer = fixture::cuboid_stl([20.0, 20.0, 30.0]);
    assert_eq!(told(&fixture::design(&text(&records, &longer)), &revisions), "gate geometry");
}

#[test]
fn a_temperature_that_forgot_a_part_on_its_heat_paths_says_so() {
    let left_out = |records: &str| {
        let design = design(records);
        let stands = standings_of(&design, &RevisionSeals::default()).of(0).clone();
        stands.left_out.iter().map(|part| design.id(*part).to_string()).collect::<Vec<_>>()
    };
    assert_eq!(left_out(&sealed()), ["foot"], "over the air inside");
    let excepted = SOAK.to_owned() + "except = { foot = \"far from any heat\" }\n";
    assert_eq!(left_out(&format!("{SCANNER}{excepted}")), [""; 0]);
    let weighed = sealed().replacen("\"temperature\"", "\"mass\"", 1).replacen(
        "\"38.4 °C ± 1.2 K\"",
        "\"31 g\"",
        1,
    );
    assert_eq!(left_out(&weighed), [""; 0]);
}

#[test]
fn results_that_differ_by_more_than_both_are_sure_disagree() {
    let pair = |other: &str, ambient: &str| {
        let again = SOAK
            .replacen("gate-soak", "gate-soak-again", 1)
            .replacen("38.4 °C ± 1.2 K", other, 1)
            .replacen("22 °C", ambient, 1);
        let records = format!("{SCANNER}{SOAK}revision = \"abc\"\n{again}revision = \"abc\"\n");
        let design = design(&records);
        disagreements(&design, &standings_of(&design, &revisions(SCANNER))).len()
    };
    // √(1.2² + 0.9²) = 1.5.
    assert_eq!(pair("39.8 °C ± 0.9 K", "22 °C"), 0);
    assert_eq!(pair("40.0 °C ± 0.9 K", "22 °C"), 1);
    assert_eq!(pair("46.0 °C ± 0.9 K", "30 °C"), 0, "above its own ambient it is the same");
}

#[test]
fn the_build_of_a_variant_covers_what_is_in_it() {
    let travel =
        SOAK.replacen("part = \"gate-unit\"", "part = \"scanner\"\nvariant = \"travel\"", 1);
    let seal = seal_of(&format!("{SCANNER}{travel}"));
    assert!(!seal.contains("led-panel"), "{seal}");
    assert!(seal.contains("foot"), "{seal}");
}

/// Changes that are none of the thing itself.
const NOT_PHYSICAL: [(&str, &str); 9] = [
    ("title = \"Film gate\"", "title = \"Gate\"\nnote = \"new\""),
    ("mass = \"31 g\"", "mass = \"35 g ± 1 g measured\""),
    ("hazard = [\"sharp\"]", "hazard = [\"moving\"]"),
    ("38.50 EUR", "42 EUR"),
    ("version = \"1.2.0\"", "version = \"2.0.0\""),
    ("version = \"1.0.0\"", "version = \"1.0.3\""),
    ("heat = \"6 W\"", "heat = \"7 W\""),
    ("5.2 K/W", "5.4 K/W"),
    ("1.27 g/cm³", "1.3 g/cm³"),
];

/// Changes of covered parts.
const PHYSICAL: [(&str, &str); 8] = [
    ("material = \"petg\"", ""),
    ("walls = \"1.2 mm\"", "walls = \"1.6 mm\""),
    ("size = \"84 x 60 x 9 mm\"", "size = \"84 x 60 x 8 mm\""),
    ("+0.05/-0.00", "+0.10/-0.00"),
    ("tension = \"2 N\"", "tension = \"3 N\""),
    ("mpn = \"R-8\"", "mpn = \"R-9\""),
    ("origin = \"cut\"", "origin = \"printed\""),
    ("optional = true", "optional = false"),
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn only_a_change_of_the_thing_itself_makes_a_result_stale(
        said in prop::sample::subsequence(NOT_PHYSICAL.to_vec(), 0..=NOT_PHYSICAL.len()),
        done in prop::sample::subsequence(PHYSICAL.to_vec(), 0..=PHYSICAL.len()),
    ) {
        let records = said.iter().chain(&done).fold(sealed(), |records, (from, to)| {
            assert!(records.contains(from), "`{from}` stands in the fixture");
            records.replacen(from, to, 1)
        });
        let standing = standing(&records);
        prop_assert_eq!(standing == "current", done.is_empty(), "{}", standing);
    }
}
