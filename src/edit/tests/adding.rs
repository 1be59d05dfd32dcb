//! New records in files of every layout.

use super::*;

#[test]
fn a_result_says_all_that_is_known_of_it() {
    insta::assert_snapshot!(added("", "gate-soak-3", &soak()), @r#"
    [evidence.gate-soak-3]
    part     = "film-gate"
    quantity = "temperature"
    value    = "38.4 °C ± 1.2 K"
    verifies = ["gate-stays-cool"]
    ambient  = "22 °C ± 0.5 K"
    steady   = "0.6 K/h"
    method   = "test"
    on       = 2026-10-02
    by       = "Ines Okafor"
    files    = ["/logs/gate-soak-3.csv"]
    with     = ["led-panel", "lamp-house"]
    except   = { rubber-foot = "far from any heat" }
    variant  = "travel"
    samples  = 2
    revision = "8e1d0aa"
    effort   = "4 h"
    [evidence.gate-soak-3.seal]
    film-gate = "g5f0c91 m77ab02"
    led-panel = "s41d7e0"
    "#);
}

#[test]
fn trials_and_inspections_have_results_of_their_own() {
    let trials = NewResult::Trials { passed: 59, of: 60 };
    let trials = NewEvidence { samples: Some(3), ..NewEvidence::of("film-carrier".into(), trials) };
    let text = added("", "feed-1", &NewRecord::Evidence(trials.into()));
    let looked = NewEvidence::of("scanner".into(), NewResult::Outcome(Outcome::Fail));
    let looked = NewEvidence { verifies: ids(&["no-sharp-edges"]), ..looked };
    insta::assert_snapshot!(added(&text, "edges-1", &NewRecord::Evidence(looked.into())), @r#"
    [evidence.feed-1]
    part   = "film-carrier"
    trials = { passed = 59, of = 60, samples = 3 }

    [evidence.edges-1]
    part     = "scanner"
    verifies = ["no-sharp-edges"]
    outcome  = "fail"
    "#);
}

#[test]
fn other_kinds_are_written_in_the_same_manner() {
    let decision = NewRecord::Decision(NewDecision {
        on: Some(day("2026-08-02")),
        title: Some("Opal glass for the diffuser, not acrylic".to_owned()),
        why: Some("Glass keeps its colour.".to_owned()),
        by: None,
        parts: ids(&["diffuser"]),
        rejected: vec!["Acrylic: yellows above 60 °C.".to_owned(), "Ground \"glass\".".to_owned()],
        replaces: ids(&["acrylic-diffuser"]),
    });
    let glare = NewRecord::Item(NewItem {
        title: Some("Glare".to_owned()),
        note: None,
        opened: Some(day("2026-09-20")),
        parts: ids(&["led-panel"]),
        blocks: ids(&["even-light"]),
        after: ids(&["diffuser-trial"]),
        due: Some("1.0.0".parse().unwrap()),
        effort: Some("2 d".parse().unwrap()),
    });
    let text = added(&added("", "opal-glass", &decision), "led-glare", &glare);
    insta::assert_snapshot!(added(&text, "heavier-first-batch", &waiver()), @r#"
    [decision.opal-glass]
    on       = 2026-08-02
    title    = "Opal glass for the diffuser, not acrylic"
    why      = "Glass keeps its colour."
    parts    = ["diffuser"]
    rejected = ["Acrylic: yellows above 60 °C.", "Ground \"glass\"."]
    replaces = ["acrylic-diffuser"]

    [item.led-glare]
    title  = "Glare"
    opened = 2026-09-20
    parts  = ["led-panel"]
    blocks = ["even-light"]
    after  = ["diffuser-trial"]
    due    = "1.0.0"
    effort = "2 d"

    [waiver.heavier-first-batch]
    requirement  = "carry-mass"
    up-to        = "1250 g"
    until-before = "1.1.0"
    on           = 2026-10-05
    by           = "Marta Lindqvist"
    why          = "The lighter base comes with 1.1.0."
    "#);
}

#[test]
fn a_waiver_can_cover_a_release_check() {
    let at = |word: &str| At::new(Id::from(word), Span::default());
    let check = Waived::Check { check: at("price-age"), part: Some(at("felt-strip")) };
    let NewRecord::Waiver(waiver) = waiver() else { unreachable!("a waiver") };
    let waiver = NewWaiver { waived: check, up_to: None, on: None, by: None, ..waiver };
    insta::assert_snapshot!(added("", "felt-quote", &NewRecord::Waiver(waiver)), @r#"
    [waiver.felt-quote]
    check        = "price-age"
    part         = "felt-strip"
    until-before = "1.1.0"
    why          = "The lighter base comes with 1.1.0."
    "#);
}

#[test]
fn a_record_goes_behind_the_last_of_its_kind() {
    let text = r#"# What is open.

[item.glare]  # first
title = "Glare"
parts = [
    "led-panel",  # this one
]
# Seen again in May.

# Promises

# What it must weigh.
[requirement.carry-mass]
part = "scanner"
"#;
    insta::assert_snapshot!(added(text, "noise", &item("It hums")), @r#"
    # What is open.

    [item.glare]  # first
    title = "Glare"
    parts = [
        "led-panel",  # this one
    ]
    # Seen again in May.

    [item.noise]
    title  = "It hums"
    opened = 2026-09-20

    # Promises

    # What it must weigh.
    [requirement.carry-mass]
    part = "scanner"
    "#);
}

#[test]
fn a_remark_above_the_next_header_stays_there() {
    let text = "[item.glare]\ntitle = \"Glare\"\n# What it must weigh.\n[requirement.carry-mass]\n\
                part = \"scanner\"\n";
    insta::assert_snapshot!(added(text, "noise", &item("It hums")), @r#"
    [item.glare]
    title = "Glare"

    [item.noise]
    title  = "It hums"
    opened = 2026-09-20

    # What it must weigh.
    [requirement.carry-mass]
    part = "scanner"
    "#);
}

#[test]
fn the_manner_of_the_last_record_is_kept() {
    let plain = "[item.glare]\ntitle = \"Glare\"\nopened = 2026-01-02\n";
    assert!(added(plain, "noise", &item("It hums")).ends_with(
        "opened = 2026-01-02\n\n[item.noise]\ntitle = \"It hums\"\nopened = 2026-09-20\n"
    ));
    let aligned = "[item.glare]\ntitle  = \"Glare\"\nopened = 2026-01-02\n";
    assert!(
        added(aligned, "noise", &item("It hums"))
            .ends_with("\ntitle  = \"It hums\"\nopened = 2026-09-20\n")
    );
}

#[test]
fn seals_and_carried_results_belong_to_their_evidence() {
    let text = r#"[evidence.gate-soak-2]
part = "film-gate"
outcome = "pass"
[evidence.gate-soak-2.seal]
film-gate = "g5f0c91"
[[evidence.gate-soak-2.carries-over]]
part = "film-gate"
seal = "g771c01"
why = "another chamfer"

[part.film-gate]
origin = "printed"
"#;
    let looked = NewEvidence::of("scanner".into(), NewResult::Outcome(Outcome::Pass));
    let text = added(text, "edges-1", &NewRecord::Evidence(looked.into()));
    assert!(text.contains("why = \"another chamfer\"\n\n[evidence.edges-1]\npart = \"scanner\"\noutcome = \"pass\"\n\n[part.film-gate]"), "{text}");
}

#[test]
fn line_ends_and_the_missing_last_one_are_kept() {
    let item = item("It hums");
    let check = |text: &str, expected: &str| assert_eq!(added(text, "noise", &item), expected);
    let new = "[item.noise]\ntitle  = \"It hums\"\nopened = 2026-09-20";
    let new_crlf = new.replace('\n', "\r\n");
    check("", &format!("{new}\n"));
    check("\u{feff}", &format!("\u{feff}{new}\n"));
    check("# Remarks", &format!("# Remarks\n\n{new}"));
    check("# Remarks\n\n\n", &format!("# Remarks\n\n\n{new}\n"));
    check("# Remarks\n  ", &format!("# Remarks\n  \n{new}"));
    check("# Remarks\r\n", &format!("# Remarks\r\n\r\n{new_crlf}\r\n"));
    check(
        "\u{feff}# Remarks\r\n[part.a]",
        &format!("\u{feff}# Remarks\r\n[part.a]\r\n\r\n{new_crlf}"),
    );
    check(
        "\u{feff}[item.a]\r\n[part.a]\r\n",
        &format!("\u{feff}[item.a]\r\n\r\n{new_crlf}\r\n\r\n[part.a]\r\n"),
    );
}

#[test]
fn records_in_other_forms_have_neighbours_too() {
    // Keys at the top of a file end with its first header.
    let dotted = "item.glare.title = \"Glare\"\nitem.glare.opened = 2026-01-02\npart.a = {}\n";
    let upside_down = "[item.glare.no]\na = 1\n\n[item]\n[part.a]\n";
    let below = "[item]\nglare = { title = \"Glare\" }\nhum.title = \"Hum\"\n\n[part.a]\n";
    let new = "[item.noise]\ntitle  = \"It hums\"\nopened = 2026-09-20\n";
    assert_eq!(added(dotted, "noise", &item("It hums")), format!("{dotted}\n{new}"));
    let expected = below.replace("\n\n[part", &format!("\n\n{new}\n[part"));
    assert_eq!(added(below, "noise", &item("It hums")), expected);
    let expected = upside_down.replace("[part", &format!("\n{new}\n[part"));
    assert_eq!(added(upside_down, "noise", &item("It hums")), expected);
}

#[test]
fn what_cannot_be_added_is_refused() {
    let check = |text: &str, id: &str| {
        refused(add_record(text, Role::Records, &id.into(), &item("It hums")))
    };
    insta::assert_snapshot!(check("[item.hum]\n", "hum"), @"
    [item.hum] is there already
    choose another id
    ");
    insta::assert_snapshot!(check("item.hum.title = \"a\"", "hum"), @"
    [item.hum] is there already
    choose another id
    ");
    insta::assert_snapshot!(check("", "It Hums"), @"the id `It Hums` is not kebab-case (small letters, digits, single hyphens, a letter first)");
    insta::assert_snapshot!(check("", "given"), @"the id `given` is a reserved word");
    insta::assert_snapshot!(check("item = { hum = {} }", "noise"), @"
    `item.ID` is written in a form that nothing can be added to
    write it as a table of its own: [item.ID]
    ");
    insta::assert_snapshot!(check("[part.a]\nmass = 31 g\n", "noise"), @"
    line 2 is no TOML: string values must be quoted, expected literal string
    mend it first
    ");
}

#[test]
fn a_record_that_would_be_wrong_is_not_written() {
    let check = |record| refused(add_record("", Role::Records, &"a".into(), &record));
    let of = |evidence: NewEvidence| check(NewRecord::Evidence(evidence.into()));
    let NewRecord::Evidence(soak) = soak() else { unreachable!("evidence") };
    let heavy = NewEvidence { ambient: Some("5 kg".parse().unwrap()), ..(*soak).clone() };
    insta::assert_snapshot!(of(heavy), @"the record would be wrong: this is a mass, where a temperature is wanted");
    let more = NewResult::Trials { passed: 7, of: 6 };
    insta::assert_snapshot!(of(NewEvidence { result: more, ..(*soak).clone() }), @"the record would be wrong: 7 of 6 trials cannot have passed");
    let sealed = NewEvidence { seal: vec![("a".into(), "nonsense!".to_owned())], ..*soak };
    insta::assert_snapshot!(of(sealed), @"
    the record would be wrong: this is no seal
    leave seals to the tool; delete this one to take a new one
    ");
    insta::assert_snapshot!(check(item(" ")), @"the record would be wrong: the text is empty");
}

#[test]
fn what_was_wrong_before_is_no_hindrance() {
    let text = "[part.a]\ncolour = \"red\"\n\n[part.b]\ncolour = \"red\"\n";
    assert!(added(text, "noise", &item("It hums")).starts_with(text));
}

#[test]
fn keys_stand_in_the_order_of_the_reference() {
    let order: Vec<_> = parse::vocabulary().into_iter().map(|key| (key.table, key.key)).collect();
    let NewRecord::Evidence(soak) = soak() else { unreachable!("evidence") };
    let text = Some("text".to_owned());
    let soak = NewEvidence { title: text.clone(), note: text, ..*soak };
    for record in [NewRecord::Evidence(soak.into()), item("It hums"), waiver()] {
        let table = record.kind().word();
        let place = |key| order.iter().position(|known| *known == (table.to_owned(), key));
        let places: Vec<_> = record.pairs().iter().map(|(key, _)| place(*key)).collect();
        assert!(places.iter().all(Option::is_some), "{table}: {places:?}");
        assert!(places.is_sorted(), "{table}: {places:?}");
    }
}

#[test]
fn odd_letters_are_escaped_and_others_are_not() {
    // The escapes are those of TOML 1.0.0, "String".
    let title = "a \"b\" \\c\nd\te\r\u{8}\u{7f}\u{85} ± °C 日本 👍";
    let text = added("", "odd", &item(title));
    let expected = r#"title  = "a \"b\" \\c\nd\te\r\u0008\u007F\u0085 ± °C 日本 👍""#;
    assert_eq!(text.lines().nth(1), Some(expected));
}

#[test]
fn a_small_design_keeps_its_records_in_the_manifest() {
    let text =
        "[design]\nname = \"lantern\"\ntop = \"scanner\"\nnext = \"1.0.0\"\ncurrency = \"EUR\"\n";
    let after = add_record(text, Role::Manifest, &"noise".into(), &item("It hums")).unwrap();
    let new = "\n[item.noise]\ntitle = \"It hums\"\nopened = 2026-09-20\n";
    assert_eq!(after, format!("{text}{new}"));
}
