//! Command lines in, records out.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use clap::{Args, Parser};

use super::*;
use crate::cli::write::{DecideArgs, ItemCloseArgs, ItemOpenArgs, MeasureArgs, WaiveArgs};
use crate::edit::{NewRecord, add_record};
use crate::parse::Role;
use crate::record::Date;

/// A command by itself.
#[derive(Debug, Parser)]
struct Alone<T: Args> {
    #[command(flatten)]
    args: T,
}

fn args<T: Args>(words: &[&str]) -> Result<T, String> {
    let words = ["command"].iter().chain(words);
    let alone = Alone::<T>::try_parse_from(words).map_err(|error| error.to_string())?;
    Ok(alone.args)
}

fn today() -> Date {
    "2026-10-20".parse().unwrap()
}

fn measure(words: &[&str]) -> Result<Measured, String> {
    measured(&args::<MeasureArgs>(words)?, today()).map_err(|failure| failure.to_string())
}

fn written(record: &NewRecord) -> String {
    add_record("", Role::Records, &"a".into(), record).unwrap()
}

fn result(words: &[&str]) -> String {
    let Ok(Measured::Result(evidence)) = measure(words) else { panic!("{:?}", measure(words)) };
    written(&NewRecord::Evidence(evidence))
}

#[test]
fn a_value_is_a_result_of_today() {
    insta::assert_snapshot!(result(&["film-gate.temperature", "38.40 °C ± 1.2 K"]), @r#"
    [evidence.a]
    part     = "film-gate"
    quantity = "temperature"
    value    = "38.40 °C ± 1.2 K"
    method   = "test"
    on       = 2026-10-20
    "#);
}

#[test]
fn all_that_is_known_of_a_result_can_be_said() {
    let words = [
        "film-gate.temperature",
        "-3 °C",
        "--verifies",
        "stays-cool",
        "--ambient",
        "-22 °C ± 0.5 K",
        "--steady",
        "0.6 K/h",
        "--method",
        "analysis",
        "--on",
        "2026-10-02",
        "--by",
        "Ines",
        "--file",
        "a.csv",
        "--file",
        "b, c.csv",
        "--with",
        "led-panel,lamp-house",
        "--with",
        "base",
        "--except",
        "rubber-foot = far from any heat, a = b",
        "--variant",
        "travel",
        "--sample",
        "2",
        "--effort",
        "4 h",
        "--revision",
        "v0.9.0",
    ];
    insta::assert_snapshot!(result(&words), @r#"
    [evidence.a]
    part     = "film-gate"
    quantity = "temperature"
    value    = "-3 °C"
    verifies = ["stays-cool"]
    ambient  = "-22 °C ± 0.5 K"
    steady   = "0.6 K/h"
    method   = "analysis"
    on       = 2026-10-02
    by       = "Ines"
    files    = ["a.csv", "b, c.csv"]
    with     = ["led-panel", "lamp-house", "base"]
    except   = { rubber-foot = "far from any heat, a = b" }
    variant  = "travel"
    samples  = 2
    revision = "v0.9.0"
    effort   = "4 h"
    "#);
}

#[test]
fn trials_and_outcomes_are_of_a_part() {
    insta::assert_snapshot!(result(&["carrier", "--trials", "59/60", "--samples", "3"]), @r#"
    [evidence.a]
    part   = "carrier"
    trials = { passed = 59, of = 60, samples = 3 }
    on     = 2026-10-20
    "#);
    insta::assert_snapshot!(result(&["scanner", "--outcome", "fail", "--verifies", "no-sharp-edges"]), @r#"
    [evidence.a]
    part     = "scanner"
    verifies = ["no-sharp-edges"]
    outcome  = "fail"
    on       = 2026-10-20
    "#);
}

#[test]
fn a_result_is_carried_over_with_a_reason() {
    let words = ["film-gate", "--carries-over", "gate-soak-2", "--why", "another chamfer"];
    let Ok(Measured::CarriedOver { evidence, part, why }) = measure(&words) else {
        panic!("{:?}", measure(&words))
    };
    assert_eq!(
        (evidence.as_str(), part.as_str(), why.as_str()),
        ("gate-soak-2", "film-gate", "another chamfer")
    );
}

#[test]
fn what_cannot_be_meant_names_its_argument() {
    let check = |words: &[&str]| measure(words).expect_err("a refusal");
    insta::assert_snapshot!(check(&["gate.mass", "31 gg"]), @"VALUE: `31 gg`: unknown unit `gg`: did you mean `g`?");
    insta::assert_snapshot!(check(&["gate", "31 g"]), @"
    of which quantity of `gate` is 31 g the value?
    name it behind a dot: gate.mass
    ");
    insta::assert_snapshot!(check(&["gate.mass", "--outcome", "pass"]), @"
    a VALUE of `mass` is missing
    trials and outcomes are of a part: gate
    ");
    insta::assert_snapshot!(check(&["Gate.mass", "31 g"]), @"PART: the id `Gate` is not kebab-case (small letters, digits, single hyphens, a letter first)");
    insta::assert_snapshot!(check(&["gate", "--trials", "59 of 60"]), @"--trials: `59 of 60` is no PASSED/ALL such as 59/60");
    insta::assert_snapshot!(check(&["gate.mass", "31 g", "--on", "yesterday"]), @"--on: `yesterday` is no date such as 2026-10-02");
    insta::assert_snapshot!(check(&["gate.mass", "31 g", "--except", "foot"]), @"--except: `foot` is no PART=WHY: the reason is missing");
    insta::assert_snapshot!(check(&["gate.mass", "31 g", "--ambient", "22"]), @"--ambient: `22`: a unit is missing");
    assert!(check(&["gate.mass"]).contains("required"), "{}", check(&["gate.mass"]));
    assert!(check(&["gate.mass", "31 g", "--trials", "1/2"]).contains("cannot be used with"));
    assert!(check(&["gate", "--carries-over", "a"]).contains("--why"));
    assert!(check(&["gate.mass", "31 g", "--why", "a"]).contains("cannot be used with"));
    let both = ["gate", "--carries-over", "a", "--why", "b", "--by", "c"];
    assert!(check(&both).contains("cannot be used with"));
}

#[test]
fn items_are_opened_and_closed() {
    let words =
        ["It hums", "--part", "motor", "--blocks", "quiet", "--due", "1.0.0", "--effort", "2 d"];
    let new = new_item(&args::<ItemOpenArgs>(&words).unwrap(), today()).unwrap();
    insta::assert_snapshot!(written(&NewRecord::Item(new)), @r#"
    [item.a]
    title  = "It hums"
    opened = 2026-10-20
    parts  = ["motor"]
    blocks = ["quiet"]
    due    = "1.0.0"
    effort = "2 d"
    "#);
    let words = ["it-hums", "--result", "Rubber below it.", "--on", "2026-10-21"];
    let (id, on) = closing(&args::<ItemCloseArgs>(&words).unwrap(), today()).unwrap();
    assert_eq!((id.as_str(), on.to_string().as_str()), ("it-hums", "2026-10-21"));
}

#[test]
fn decisions_and_waivers_have_a_reason() {
    let words = [
        "Opal glass",
        "--why",
        "It keeps its colour.",
        "--rejected",
        "Acrylic, it yellows.",
        "--replaces",
        "b",
    ];
    let new = decision(&args::<DecideArgs>(&words).unwrap(), today()).unwrap();
    insta::assert_snapshot!(written(&NewRecord::Decision(new)), @r#"
    [decision.a]
    on       = 2026-10-20
    title    = "Opal glass"
    why      = "It keeps its colour."
    rejected = ["Acrylic, it yellows."]
    replaces = ["b"]
    "#);
    let both = ["--until-before", "1.1.0", "--why", "The lighter base comes then."];
    let waive = |words: &[&str]| {
        let words: Vec<&str> = words.iter().chain(&both).copied().collect();
        let new =
            waiver(&args::<WaiveArgs>(&words)?, today()).map_err(|failure| failure.to_string())?;
        Ok::<_, String>(written(&NewRecord::Waiver(new)))
    };
    insta::assert_snapshot!(waive(&["carry-mass", "--up-to", "1250 g"]).unwrap(), @r#"
    [waiver.a]
    requirement  = "carry-mass"
    up-to        = "1250 g"
    until-before = "1.1.0"
    on           = 2026-10-20
    why          = "The lighter base comes then."
    "#);
    insta::assert_snapshot!(waive(&["--check", "price-age", "--part", "felt"]).unwrap(), @r#"
    [waiver.a]
    check        = "price-age"
    part         = "felt"
    until-before = "1.1.0"
    on           = 2026-10-20
    why          = "The lighter base comes then."
    "#);
    assert!(waive(&[]).is_err());
    assert!(waive(&["carry-mass", "--check", "price-age"]).is_err());
    assert!(waive(&["carry-mass", "--part", "felt"]).is_err());
    assert!(waive(&["--check", "price-age", "--up-to", "1 g"]).is_err());
}
