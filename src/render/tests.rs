//! What readers see, over small designs. The snapshots are screens: read them as one who waits for
//! them.

use std::sync::Arc;

use super::page::Page;
use super::{json, layout, markdown, text};
use crate::compare;
use crate::diagnostic::{Located, Span};
use crate::fileset::RepoPath;
use crate::fixture;
use crate::record::Event;
use crate::report::samples::{LANTERN, assessed, lantern_with_a_heavier_lamp, misfit};
use crate::report::{
    self, Between, Broken, CheckReport, Checklist, DiagnosticRow, FindingRow, ImpactReport, Moment,
    Place, Source, check, checklist, diagnostics,
};
use crate::verdict::Assessed;

macro_rules! screen {
    ($name:literal, $page:expr, $width:literal) => {
        insta::assert_snapshot!($name, plain(&$page, $width))
    };
}

/// What is left when the styles are taken out; no line may be wider than the screen.
pub(super) fn plain(page: &Page, width: usize) -> String {
    let shown = anstream::adapter::strip_str(&text::text(page, width)).to_string();
    for line in shown.lines() {
        assert!(unicode_width::UnicodeWidthStr::width(line) <= width, "too wide: {line}");
        assert_eq!(line, line.trim_end());
    }
    shown
}

pub(super) fn at() -> Place {
    Place::Revision("3f2c9ab".into())
}

/// Everything stands on line 7 here: the lines of files are another room's matter.
pub(super) fn on_line_7(_: &RepoPath, _: Span) -> usize {
    7
}

fn source(place: Place) -> Source<'static> {
    Source { place, lines: &on_line_7 }
}

fn lantern() -> Checklist {
    let mut assessed = assessed(LANTERN);
    assessed.findings.push(misfit(&assessed));
    checklist(&assessed, at(), &on_line_7)
}

#[test]
fn a_checklist() {
    let page = layout::checklist(&lantern());
    screen!("checklist_120", page, 120);
    screen!("checklist_80", page, 80);
    screen!("checklist_60", page, 60);
    insta::assert_snapshot!("checklist_markdown", markdown::markdown(&page));
    insta::assert_snapshot!("checklist_json", json::json("checklist", &lantern()));
}

#[test]
fn a_checklist_with_nothing_in_the_way() {
    let design = r#"
        [part.scanner]
        origin = "bought"
        mass = "900 g ± 4 g measured"
        [requirement.carry-mass]
        part = "scanner"
        quantity = "mass"
        at-most = "1 kg"
        [waiver.licence-to-choose]
        check = "licence"
        until-before = "1.1.0"
        on = 2026-10-05
        by = "Ada"
        why = "the co-author is at sea"
        "#;
    screen!(
        "ready_80",
        layout::checklist(&checklist(&assessed(design), Place::WorkingTree, &on_line_7)),
        80
    );
}

#[test]
fn a_verdict_has_a_colour_beside_its_word() {
    let styled = text::text(&layout::checklist(&lantern()), 80);
    let line = styled.lines().find(|line| line.contains("even-light")).expect("a row");
    assert_eq!(
        line.trim_end(),
        "  \u{1b}[31;1munproven\u{1b}[0m   \u{1b}[1meven-light\u{1b}[0m                         by test"
    );
}

fn checked(text: &str) -> CheckReport {
    check(Vec::new(), Some(&assessed(text)), Place::Index, &on_line_7)
}

#[test]
fn budgets_and_findings() {
    let page = layout::check(&checked(LANTERN));
    screen!("check_80", page, 80);
    screen!("check_60", page, 60);
    insta::assert_snapshot!("check_markdown", markdown::markdown(&page));
}

const MISWRITTEN: &str = r#"
[part.scanner]
origin = "asembled"
titel = "Scanner"
contains = { scrw = 4 }
[part.screw]
origin = "bought"
mass = "12 kgg"
"#;

fn rows_of(text: &str) -> Vec<DiagnosticRow> {
    let files = fixture::files(text);
    let found: Vec<Located> = fixture::linked(text).diagnostics;
    diagnostics(&found, &|path: &RepoPath| files.bytes(path).map(Arc::clone))
}

#[test]
fn parts_that_nothing_holds_are_named() {
    let spares = |count: usize| {
        let spare = |n| format!("[part.spare-{n}]\norigin = \"bought\"\n");
        let spares = (1..=count).map(spare).collect::<String>();
        let report = checked(&format!("[part.scanner]\norigin = \"bought\"\n{spares}"));
        let shown = plain(&layout::check(&report), 80);
        let (_, told) = shown.split_once("in no build\n").unwrap_or_default();
        told.lines().next().unwrap_or_default().trim().to_owned()
    };
    assert_eq!(spares(1), "spare-1: in no assembly of the product");
    assert!(spares(60).starts_with("spare-1, spare-10, "), "{}", spares(60));
}

#[test]
fn records_that_cannot_be_read() {
    let report = check(rows_of(MISWRITTEN), None, Place::WorkingTree, &on_line_7);
    screen!("unreadable_80", layout::check(&report), 80);
    screen!("unreadable_60", layout::check(&report), 60);
    insta::assert_snapshot!("unreadable_markdown", markdown::markdown(&layout::check(&report)));
    insta::assert_snapshot!("unreadable_json", json::json("check", &report));
}

#[test]
fn a_long_line_is_trimmed_around_what_is_wrong() {
    let text = format!(
        "[part.scanner]\norigin = \"bought\" # {}\ncontains = {{ {}bolt = 1 }}",
        "x".repeat(300),
        " ".repeat(200)
    );
    screen!(
        "long_line_80",
        layout::check(&check(rows_of(&text), None, Place::Index, &on_line_7)),
        80
    );
}

#[test]
fn very_many_diagnostics_are_counted() {
    let rows = vec![rows_of(MISWRITTEN).remove(0); 60];
    let page = layout::check(&check(rows, None, Place::WorkingTree, &on_line_7));
    assert!(plain(&page, 80).contains("\nand 10 more; mend these first\n"));
    assert!(markdown::markdown(&page).contains("\n- and 10 more; mend these first\n"));
}

fn change() -> (Assessed, Assessed) {
    (assessed(LANTERN), assessed(&lantern_with_a_heavier_lamp()))
}

fn heavier() -> ImpactReport {
    let (before, after) = change();
    let source = |name: &str| source(Place::Revision(name.into()));
    let sources = (Some(source("main")), source("brighter-lamp"));
    let change = compare::impact(Some(&before), &after);
    report::impact(&change, Between { before: Some(&before), after: &after }, None, sources)
}

#[test]
fn the_impact_of_a_change() {
    let page = layout::impact(&heavier());
    screen!("impact_80", page, 80);
    screen!("impact_60", page, 60);
    insta::assert_snapshot!("impact_markdown", markdown::markdown(&page));
    insta::assert_snapshot!("impact_json", json::json("impact", &heavier()));
}

/// Seven sorts of screws, each one more in the steps than in the list of the variant.
#[test]
fn very_many_findings_of_a_variant_are_counted() {
    let sorts = || 1..=7;
    let part = |n: u8| format!("[part.screw-{n}]\norigin = \"bought\"\n");
    let listed: String = sorts().map(|n| format!("screw-{n} = 2, ")).collect();
    let fewer: String = sorts().map(|n| format!("screw-{n} = 1, ")).collect();
    let text = format!(
        "[part.scanner]\norigin = \"assembled\"\ncontains = {{ {listed} }}\n{}\
         [variant.travel]\nchange = {{ scanner = {{ {fewer} }} }}\n\
         [step.all]\nuses = {{ {listed} }}\nmakes = {{ scanner = 1 }}\n",
        sorts().map(part).collect::<String>()
    );
    let page = layout::checklist(&checklist(&assessed(&text), at(), &on_line_7));
    let shown = markdown::markdown(&page);
    assert!(shown.contains("steps-match: `screw-5` is listed"), "{shown}");
    assert!(!shown.contains("steps-match: `screw-6` is listed"), "{shown}");
    assert!(shown.contains("2 more, which tagworthy ready --variant travel lists"), "{shown}");
}

#[test]
fn very_many_findings_that_are_gone_are_counted() {
    let before = assessed(LANTERN);
    let mut report = heavier();
    let gone = checklist(&before, at(), &on_line_7).findings;
    // Each in words of its own: what is worded alike is told once.
    let worded =
        |(n, row): (usize, &FindingRow)| FindingRow { message: format!("{n}"), ..row.clone() };
    report.gone_findings = gone.iter().cycle().take(15).enumerate().map(worded).collect();
    let shown = plain(&layout::impact(&report), 80);
    let (_, gone) = shown.split_once("\nno longer found\n").expect("a section");
    assert!(gone.contains("\n  and 3 more\n"), "{gone}");
}

#[test]
fn a_design_is_new() {
    let after = assessed(LANTERN);
    let change = compare::impact(None, &after);
    let between = Between { before: None, after: &after };
    let report = report::impact(&change, between, None, (None, source(Place::Index)));
    screen!("impact_new_80", layout::impact(&report), 80);
}

#[test]
fn a_refused_commit() {
    let (before, after) = change();
    let between = Between { before: Some(&before), after: &after };
    let impact = compare::impact(Some(&before), &after);
    let newly_failing = impact.verdicts.iter().filter(|change| change.is_newly_failing());
    let event = Event::NewlyFailing;
    let broken: Vec<_> = newly_failing.map(|change| Broken { between, event, change }).collect();
    let page = layout::refusal(&report::refusal(&broken, between, Moment::Commit));
    screen!("refusal_80", page, 80);
    screen!("refusal_60", page, 60);
    let list = checklist(&after, at(), &on_line_7);
    let page = layout::refusal(&report::not_ready(&after, &list, Moment::Push));
    screen!("refusal_tag_80", page, 80);
    screen!("refusal_tag_60", page, 60);
    let note = report::note(&impact, between, &[]);
    screen!("note_80", layout::note(&note), 80);
    let unreadable =
        report::unreadable(rows_of(MISWRITTEN), &"tagworthy.toml".into(), None, Moment::Commit);
    screen!("refusal_unreadable_80", layout::refusal(&unreadable), 80);
}

/// A design whose every text means harm.
fn hostile() -> Checklist {
    let mut assessed = assessed(
        r#"
        [part.scanner]
        title = "\u001b]0;owned\u0007"
        origin = "bought"
        hazard = ["\u001b[2J\u202e <script>alert(1)</script>"]
        [item.link]
        title = "::error::[x](https://evil.example) @mention #12 **bold** `tick` | bar ![i](j) <b>"
        parts = ["scanner"]
        [item.lines]
        title = "one\ntwo\u200b\u2028::set-output name=a::b"
        "#,
    );
    let mut finding = misfit(&assessed);
    finding.message =
        "::warning::\u{9b}31m www.evil.example user@evil.example 0123abcd GH-7".into();
    finding.remedy = Some("1. ##[error] x".into());
    assessed.findings.push(finding);
    checklist(&assessed, at(), &on_line_7)
}

#[test]
fn untrusted_text_is_shown_and_does_nothing() {
    let report = hostile();
    let page = layout::checklist(&report);
    screen!("hostile_80", page, 80);
    insta::assert_snapshot!("hostile_markdown", markdown::markdown(&page));
    for width in 40..200 {
        for line in anstream::adapter::strip_str(&text::text(&page, width)).to_string().lines() {
            assert!(!line.trim_start().starts_with("::"), "a command: {line}");
            assert!(!line.chars().any(super::untrusted::is_hidden), "acts: {line:?}");
        }
    }
}

#[test]
fn json_keeps_what_it_makes_harmless() {
    let report = hostile();
    let text = json::json("checklist", &report);
    assert!(!text.chars().any(|c| c != '\n' && super::untrusted::is_hidden(c)));
    let value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(value["format"], 1);
    assert_eq!(value["report"], "checklist");
    assert_eq!(value["items"][0]["title"], "one\ntwo\u{200b}\u{2028}::set-output name=a::b");
    assert_eq!(value["ready"], false);
}

/// Lantern's lamp: heated through a path, held by a formula, drawing from a rail.
const LAMP: &str = r#"
[ambient]
low = "5 °C"
high = "35 °C"
[allowance]
mass = { estimated = "20 %" }
[part.scanner]
origin = "assembled"
contains = { lamp-house = 1, arm = 1 }
[part.lamp-house]
origin = "assembled"
contains = { led-panel = 1, screw-m3x8 = 14 }
[part.led-panel]
title = "Panel behind the film"
origin = "bought"
version = "1.2.0"
mass = "412 g ± 8 g measured"
heat = "5 W ± 0.2 W stated"
heat-path = [{ to = "ambient", resistance = "2 K/W ± 0.1 K/W calculated" }]
draws = { twelve-volt = { mean = "0.4 A", peak = "0.55 A ± 0.05 A" } }
[part.screw-m3x8]
origin = "bought"
designation = "ISO 4762 M3x8"
mass = "0.8 g stated"
[part.arm]
origin = "printed"
mass = "120 g ± 6 g"
dimension = { column = "90 mm ± 0.2 mm", seat = "28 mm ± 0.1 mm" }
formula = { working-distance = "column - seat" }
[rail.twelve-volt]
voltage = "12 V"
rating = "2 A"
[requirement.carry-mass]
part = "scanner"
quantity = "mass"
at-most = "600 g"
[requirement.in-focus]
part = "arm"
quantity = "working-distance"
equals = "62 mm"
within = "0.6 mm"
[requirement.supply-has-reserve]
rail = "twelve-volt"
margin = "20 %"
[evidence.soak]
part = "led-panel"
quantity = "temperature"
value = "34 °C ± 1 K"
ambient = "22 °C"
"#;

/// What is said of `name`, with the lines of the fixture.
fn said(name: &str, trials: Option<usize>) -> Result<report::Why, report::Unknown> {
    let files = fixture::files(LAMP);
    let lines = |path: &RepoPath, span: crate::diagnostic::Span| {
        let bytes = files.bytes(path).expect("a file of the fixture");
        bytes[..span.range().start].iter().filter(|byte| **byte == b'\n').count() + 1
    };
    report::why(&assessed(LAMP), name, trials, at(), &lines)
}

#[test]
fn why_down_to_every_input() {
    let page = |name: &str| layout::why(&said(name, Some(4_000)).expect("a name"));
    screen!("why_mass_80", page("carry-mass"), 80);
    screen!("why_mass_60", page("carry-mass"), 60);
    screen!("why_formula_80", page("arm.working-distance"), 80);
    screen!("why_temperature_80", page("led-panel.temperature"), 80);
    screen!("why_rail_80", page("supply-has-reserve"), 80);
    screen!("why_part_80", page("led-panel"), 80);
    insta::assert_snapshot!("why_markdown", markdown::markdown(&page("carry-mass")));
}

/// The line is the fixture's, counted by hand from its text.
#[test]
fn why_as_json_names_the_line_of_an_input() {
    let report = said("led-panel.mass", None).expect("a name");
    let value: serde_json::Value = serde_json::from_str(&json::json("why", &report)).expect("JSON");
    assert_eq!(value["report"], "why");
    let line = value["tree"]["written"]["line"].as_u64().expect("a line");
    let files = fixture::files(LAMP);
    let bytes = files.bytes(&RepoPath::from("tagworthy.toml")).expect("the manifest");
    let text = String::from_utf8_lossy(bytes).into_owned();
    let line = text.lines().nth(usize::try_from(line).expect("a line") - 1);
    assert_eq!(line, Some("mass = \"412 g ± 8 g measured\""));
}

/// √(0.2² + 0.1²)/√3 = 0.129 mm; the larger tolerance is 4/5 of the variance. A sum of two rectangles
/// is a trapezium, whose 95 % are narrower than a normal distribution's (JCGM 101:2008, 9.2).
#[test]
fn why_shares_the_variance_and_tries_it_at_random() {
    let report = said("arm.working-distance", Some(100_000)).expect("a name");
    let shares: Vec<_> =
        report.uncertainty.iter().map(|input| (input.share * 100.0).round()).collect();
    assert_eq!(shares, [80.0, 20.0]);
    let trials = report.trials.expect("trials");
    assert_eq!(trials.differs, ["interval"]);
}

/// The arm is 62 mm ± 0.6 mm away, and each remark says one thing once.
#[test]
fn why_of_two_limits_says_which_one_is_meant() {
    let remarks = said("in-focus", None).expect("a name").remarks;
    let left = |side: &str| remarks.iter().filter(|remark| remark.ends_with(side)).count();
    assert_eq!((left(", at least 61.4 mm"), left(", at most 62.6 mm")), (1, 1), "{remarks:?}");
    let worst = remarks.iter().filter(|remark| remark.contains(" at worst"));
    assert_eq!(worst.count(), 1, "{remarks:?}");
}

#[test]
fn why_nothing_bears_the_name() {
    let told = |name: &str| said(name, None).expect_err("no such name").to_string();
    assert_eq!(
        told("carry-mas"),
        "no requirement, part, rail or figure is called `carry-mas`\ndid you mean `carry-mass`?"
    );
    assert_eq!(
        told("led-panle.mass"),
        "no requirement, part, rail or figure is called `led-panle.mass`\ndid you mean `led-panel`?"
    );
    assert_eq!(
        told("soak"),
        "no requirement, part, rail or figure is called `soak`\nit is evidence, in tagworthy.toml"
    );
    assert_eq!(
        told("arm.masss"),
        "no requirement, part, rail or figure is called `arm.masss`\ndid you mean `mass`?"
    );
}
