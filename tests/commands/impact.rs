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
    insta::assert_snapshot!(refused(&["--drop", "gate", "--swap", "gate=lamp"]), @r"
    tagworthy: `gate` is dropped and swapped
      --drop gate
             ^^^^
    ");
    let both = refused(&["HEAD~1..HEAD", "--drop", "gate"]);
    assert!(both.contains("cannot be used with"), "{both}");
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
