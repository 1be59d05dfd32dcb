//! `impact`: ranges, one revision, and what nobody changed yet.

use std::process::Output;

use crate::bench::{Bench, lamp, resized};
use crate::common::Scratch;

#[test]
fn one_revision_is_held_against_its_first_parent() {
    let bench = Bench::new();
    let root = bench.head();
    let first = bench.says(&["impact", "--at", &root]);
    assert!(first.starts_with(&format!("lantern at {root}, new: 3 parts changed")), "{first}");
    bench.0.write("parts/lamp.toml", lamp("L-300")).commit("Another lamp");
    bench.0.write("parts/scanner.toml", resized()).commit("A wider gate");
    let told = bench.says(&["impact", "--at", "HEAD~1"]);
    assert!(told.contains("lamp   changed   identity"), "{told}");
    assert!(!told.contains("dimensions"), "{told}");
    let lone = bench.fails(&["impact", "HEAD~1"]);
    assert!(lone.contains("names one revision") && lone.contains("--at HEAD~1"), "{lone}");
}

/// The folder has a design of its own now; before, that of the root was the nearest one.
#[test]
fn a_design_below_another_is_new_where_it_comes() {
    let bench = Bench::new();
    let cart = "[design]\nname = \"cart\"\ntop = \"cart\"\nnext = \"0.1.0\"\ncurrency = \"EUR\"\n\
         records = [\"parts.toml\"]\n";
    bench.0.write("cart/tagworthy.toml", cart);
    bench.0.write("cart/parts.toml", "[part.cart]\norigin = \"machined\"\n").commit("A cart");
    let told = bench.says_in("cart", &["impact", "HEAD~1..HEAD"]);
    assert!(told.starts_with("cart ") && told.contains(", new: 1 part changed"), "{told}");
}

#[test]
fn values_are_tried_out_and_nothing_is_written() {
    let bench = Bench::new();
    let before = bench.0.git(&["status", "--porcelain"]);
    let told = bench.says(&["impact", "--set", "lamp.mass=150 g measured", "--drop", "gate"]);
    let headline = "lantern the working tree → lamp.mass=150 g measured, no gate: ";
    assert!(told.starts_with(headline), "{told}");
    assert!(told.contains("mass -131 g"), "31 g and 250 g are 150 g now: {told}");
    assert!(told.contains("carry-mass    fail       pass"), "{told}");
    assert_eq!(bench.0.git(&["status", "--porcelain"]), before);
    let staged = bench.says(&["impact", "--staged", "--set", "scanner.contains.lamp=2"]);
    assert!(staged.contains("mass +250 g"), "{staged}");
}

#[test]
fn what_cannot_be_tried_out_is_pointed_at() {
    let bench = Bench::new();
    let refused = |arguments: &[&str]| bench.fails(&[&["impact"], arguments].concat());
    insta::assert_snapshot!(refused(&["--set", "lamp.mass=12 gg"]), @r"
    tagworthy: unknown unit `gg`
      --set lamp.mass=12 gg
                         ^^
    did you mean `g`?
    ");
    insta::assert_snapshot!(refused(&["--set", "lamp.mas=12 g"]), @r"
    tagworthy: there is no key `mas` here
      --set lamp.mas=12 g
                 ^^^
    did you mean `mass`?
    ");
    insta::assert_snapshot!(refused(&["--set", "lamp.mass"]), @r"
    tagworthy: this is no PART.KEY=VALUE, as in led-panel.mass=500 g
      --set lamp.mass
            ^^^^^^^^^
    ");
    insta::assert_snapshot!(refused(&["--swap", "lamp=lantern"]), @r"
    tagworthy: there is no part `lantern`
      --swap lamp=lantern
                  ^^^^^^^
    known here: gate, lamp, scanner
    ");
    insta::assert_snapshot!(refused(&["--swap", "lmap=gate"]), @r"
    tagworthy: there is no part `lmap`
      --swap lmap=gate
             ^^^^
    did you mean `lamp`?
    ");
    insta::assert_snapshot!(refused(&["--drop", "gate", "--swap", "gate=lamp"]), @r"
    tagworthy: `gate` is dropped and swapped
      --drop gate
             ^^^^
    ");
    let both = refused(&["HEAD~1..HEAD", "--drop", "gate"]);
    assert!(both.contains("cannot be used with"), "{both}");
}

/// A bench with a cover in two makes, a hinge that it mates with, and a step that handles it.
fn with_a_cover() -> Bench {
    let bench = Bench::new();
    bench
        .0
        .write("parts/scanner.toml", SCANNER_WITH_COVER)
        .write("parts/cover.toml", cover("^1.4", ""));
    bench.0.commit("A cover").git(&["tag", "v0.10.0"]);
    bench
}

const SCANNER_WITH_COVER: &str = r#"
[part.scanner]
origin = "assembled"
contains = { lamp = 1, cover = 1, hinge = 1 }
[part.hinge]
origin = "bought"
version = "1.4.0"
mass = "5 g"
[step.close]
makes = { scanner = 1 }
uses = { cover = 1 }
caution = ["sharp"]
[variant.bare]
drop = ["hinge"]
[variant.open]
drop = ["cover"]
"#;

fn cover(range: &str, more: &str) -> String {
    format!(
        "[part.cover]\norigin = \"printed\"\nversion = \"1.0.0\"\nmass = \"20 g\"\n\
         fits = {{ hinge = \"{range}\" }}\n{more}"
    )
}

/// Semantic Versioning 2.0.0, 4 and 8: a break is a minor step before 1.0.0, and a major one later.
#[test]
fn the_version_that_a_change_asks_for_is_said_with_its_reason() {
    let bench = with_a_cover();
    bench.0.write("parts/cover.toml", cover("^2", "")).commit("Another hinge");
    let told = bench.says(&["impact", "--at", "HEAD"]);
    assert!(told.lines().next().unwrap().contains("1 part changed"), "{told}");
    assert!(told.replace("\n  ", " ").contains("asks for 0.11.0 or higher"), "{told}");
    let version = told.split("\nversion\n").nth(1).unwrap().split("\n\n").next().unwrap();
    insta::assert_snapshot!(version, @r"
    a break: 0.10.0 → 0.11.0 or higher; 1.0.0, which is being prepared, will do
    cover: fits hinge ^2, and no longer 1.4.0; breaks scanner
    raise cover from 1.0.0 to 2.0.0 or higher: fits hinge ^2, and no longer 1.4.0
    ");
    let markdown = bench.says(&["impact", "--at", "HEAD", "--format", "markdown"]);
    assert!(markdown.contains("- a break: 0.10.0 → 0.11.0 or higher; 1.0.0, which"), "{markdown}");
    let json = bench.says(&["impact", "--at", "HEAD", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let asked = &json["version"];
    let words = ["step", "last", "version", "next"].map(|key| asked[key].as_str().unwrap());
    assert_eq!(words, ["major", "0.10.0", "0.11.0", "1.0.0"]);
    assert_eq!(asked["unfit"], serde_json::Value::Null);
    assert_eq!(
        (&asked["parts"][0]["part"], &asked["parts"][0]["due"]),
        (&"cover".into(), &"2.0.0".into())
    );
    // From 1.0.0 on the same break is a major step, and the version that is prepared too low.
    bench.0.git(&["tag", "v1.0.0", "HEAD~1"]);
    let manifest = bench.0.path().join("tagworthy.toml");
    let raised =
        std::fs::read_to_string(&manifest).unwrap().replace("next = \"1.0.0\"", "next = \"1.1.0\"");
    std::fs::write(&manifest, raised).unwrap();
    bench.0.commit("Begin 1.1.0");
    let told = bench.says(&["impact", "v1.0.0..HEAD"]);
    assert!(
        told.contains(
            "a break: 1.0.0 → 2.0.0 or higher; 1.1.0, which is being prepared, is too low"
        ),
        "{told}"
    );
    let told = bench.says(&["impact", "--at", "HEAD"]);
    assert!(!told.contains("\nversion\n"), "another number alone asks for none: {told}");
}

#[test]
fn what_a_touched_step_warns_of_is_said() {
    let bench = with_a_cover();
    bench.0.write("parts/cover.toml", cover("^1.4", "dimension = { slot = \"5 mm\" }\n"));
    let told = bench.says(&["impact"]);
    assert!(told.contains("step touched   close"), "{told}");
    assert!(told.contains("sharp: sharp edges cut: deburr, or wear gloves (step close)"), "{told}");
}

#[test]
fn a_budget_that_moves_in_a_variant_alone_is_shown() {
    let bench = with_a_cover();
    bench.0.write("parts/cover.toml", cover("^1.4", "").replace("20 g", "30 g"));
    let told = bench.says(&["impact"]);
    let of = |name: &str| told.lines().any(|line| line.trim_start().starts_with(name));
    assert!(of("mass ") && !of("mass in bare") && !of("mass in open"), "{told}");
    let swap = SCANNER_WITH_COVER.replace("drop = [\"cover\"]", "drop = [\"lamp\"]");
    bench.0.write("parts/cover.toml", cover("^1.4", "")).write("parts/scanner.toml", swap);
    let told = bench.says(&["impact"]);
    let first = told.lines().next().unwrap();
    assert!(first.ends_with("the working tree: no part changed, mass in open -230 g"), "{first}");
    assert!(told.contains("through lamp -250 g, cover +20 g"), "{told}");
}

#[test]
fn a_value_that_was_typed_is_a_change_that_was_asked_for() {
    let bench = Bench::new();
    let told = bench.says(&["impact", "--set", "lamp.mass=150 g"]);
    assert!(told.contains("because the design was changed as asked"), "{told}");
    assert!(!told.contains("because more is known"), "{told}");
}

/// The example project with its history.
struct Lantern(Scratch);

impl Lantern {
    fn new() -> Self {
        let lantern = Self(Scratch::new());
        assert!(lantern.run(&["demo", "lantern"]).status.success());
        lantern
    }

    fn says(&self, columns: &str, arguments: &[&str]) -> String {
        let program = env!("CARGO_BIN_EXE_tagworthy");
        let mut command = self.0.command(program, &self.0.path().join("lantern"));
        let output = command.env("COLUMNS", columns).args(arguments).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let told = String::from_utf8(output.stdout).unwrap();
        let most = columns.parse().unwrap();
        let is_wide = |line: &&str| line.chars().count() > most;
        if !arguments.contains(&"markdown") {
            assert_eq!(told.lines().find(is_wide), None);
        }
        told
    }

    fn run(&self, arguments: &[&str]) -> Output {
        let program = env!("CARGO_BIN_EXE_tagworthy");
        self.0.command(program, &self.0.path()).args(arguments).output().unwrap()
    }
}

/// The screens that a reviewer of the example sees.
#[test]
fn what_changed_in_lantern() {
    let lantern = Lantern::new();
    let candidate = "v0.9.0..v1.0.0-rc.1";
    insta::assert_snapshot!("candidate_80", lantern.says("80", &["impact", candidate]));
    insta::assert_snapshot!("candidate_60", lantern.says("60", &["impact", candidate]));
    let markdown = ["impact", "v0.7.0...v0.8.0", "--format", "markdown"];
    insta::assert_snapshot!("travelling_markdown", lantern.says("80", &markdown));
    insta::assert_snapshot!("last_80", lantern.says("80", &["impact", "v1.0.0-rc.1..HEAD"]));
    let swap = ["impact", "--at", "v0.9.0", "--swap", "lid=short-lid", "--drop", "dust-cover"];
    insta::assert_snapshot!("what_if_80", lantern.says("80", &swap));
}
