//! Requirements of small designs, judged.

mod evidence_based;

use std::sync::Arc;

use semver::Version;

use super::{Assessed, Documents, LastRelease, Occasion, Past, Unproven, Verdict, demands};
use crate::assess;
use crate::evidence::RevisionSeals;
use crate::fixture;
use crate::record::Method;

/// The design in `text`, judged for `release`.
pub(super) fn assessed(text: &str, release: &str) -> Assessed {
    assessed_with(text, &RevisionSeals::default(), release)
}

/// The same with the designs that were on the bench.
pub(super) fn assessed_with(text: &str, revisions: &RevisionSeals, release: &str) -> Assessed {
    judged_for(text, revisions, occasion(release))
}

fn occasion(release: &str) -> Occasion {
    Occasion::new(Version::parse(release).expect("a version"), jiff::civil::date(2026, 10, 20))
}

fn judged_for(text: &str, revisions: &RevisionSeals, occasion: Occasion) -> Assessed {
    let design = fixture::design(text);
    let files = fixture::files(text);
    let wanted = demands(&design, &files.entries).into_iter();
    let texts = wanted.filter_map(|path| Some((path.clone(), files.bytes(&path)?.clone())));
    let documents = Documents { texts: texts.collect(), entries: Arc::clone(&files.entries) };
    assess::judge(&design, revisions, &documents, occasion)
}

/// What the check `code` finds in the design in `text` after the past.
pub(super) fn found_after(code: &str, text: &str, past: Past, release: &str) -> Vec<String> {
    let occasion = Occasion { past: Arc::new(past), ..occasion(release) };
    let findings = judged_for(text, &RevisionSeals::default(), occasion).findings.into_iter();
    findings.filter(|found| found.check.0 == code).map(|found| found.message).collect()
}

/// What the check `code` finds in the design in `is`, where 0.9.0 was the design in `was`.
pub(super) fn found_since(code: &str, was: &str, is: &str, release: &str) -> Vec<String> {
    let (version, tag) = (Version::new(0, 9, 0), "v0.9.0".to_owned());
    let last = Some(LastRelease { version, tag, design: fixture::design(was) });
    found_after(code, is, Past { last, ..Past::default() }, release)
}

/// What the check `code` finds in the design in `text`, waivers left out.
pub(super) fn found(code: &str, text: &str, release: &str) -> Vec<String> {
    found_with(code, text, &RevisionSeals::default(), release)
}

/// The same with the designs that were on the bench.
pub(super) fn found_with(
    code: &str,
    text: &str,
    revisions: &RevisionSeals,
    release: &str,
) -> Vec<String> {
    let findings = assessed_with(text, revisions, release).findings.into_iter();
    findings.filter(|found| found.check.0 == code).map(|found| found.message).collect()
}

const SCANNER: &str = "[part.scanner]\norigin = \"assembled\"\ncontains = { body = 1 }\n\
    [part.body]\norigin = \"printed\"\n";

/// The only requirement of a scanner whose body has the mass `mass`, and what is said of it.
fn judged(mass: &str, requirement: &str, release: &str) -> super::Judged {
    let text = format!(
        "{SCANNER}mass = \"{mass}\"\n[requirement.light]\npart = \"scanner\"\n{requirement}\n"
    );
    assessed(&text, release).judged.remove(0)
}

fn verdict(mass: &str, requirement: &str) -> Verdict {
    judged(mass, &format!("quantity = \"mass\"\n{requirement}"), "1.0.0").verdict
}

#[test]
fn a_requirement_is_judged_on_the_roll_up() {
    assert_eq!(verdict("450.00 g", "at-most = \"450 g\""), Verdict::Pass);
    assert_eq!(verdict("450.01 g", "at-most = \"450 g\""), Verdict::Fail);
    assert_eq!(verdict("449 g ± 2 g", "at-most = \"450 g\""), Verdict::Edge);
    assert_eq!(verdict("449 g ± 2 g", "at-most = \"450 g\"\ndecide = \"simple\""), Verdict::Pass);
    assert_eq!(verdict("440 g ± 2 g", "at-most = \"450 g\"\nmargin = \"5 %\""), Verdict::Thin);
    assert_eq!(verdict("427.5 g", "at-most = \"450 g\"\nmargin = \"5 %\""), Verdict::Pass);
    assert_eq!(verdict("449 g", "at-least = \"450 g\""), Verdict::Fail);
    assert_eq!(verdict("452 g", "equals = \"450 g\"\nwithin = \"1 g\""), Verdict::Fail);
}

#[test]
fn of_two_limits_the_decisive_one_comes_first() {
    let both = "quantity = \"mass\"\nat-least = \"400 g\"\nat-most = \"500 g\"\nmargin = \"20 g\"";
    let low = judged("410 g", both, "1.0.0");
    assert_eq!((low.verdict, low.bounds[0].side), (Verdict::Thin, super::Side::AtLeast));
    let high = judged("510 g", both, "1.0.0");
    assert_eq!((high.verdict, high.bounds[0].side), (Verdict::Fail, super::Side::AtMost));
    assert!((high.bounds[0].left - -0.010).abs() < 1e-12);
}

#[test]
fn what_has_to_be_shown_by_evidence_is_unproven_until_then() {
    let inspected = judged("1 g", "method = \"inspection\"", "1.0.0");
    assert_eq!(inspected.unproven, Some(Unproven::NoEvidence(Method::Inspection)));
    let tested =
        judged("900 g", "quantity = \"mass\"\nat-most = \"1 g\"\nmethod = \"test\"", "1.0.0");
    assert_eq!(tested.unproven, Some(Unproven::NoEvidence(Method::Test)), "no roll-up stands in");
    assert!(tested.is_in_the_way());
}

#[test]
fn what_lacks_a_figure_is_unproven_and_says_so() {
    let order = judged("1 g", "quantity = \"order-cost\"\nat-most = \"10 EUR\"", "1.0.0");
    assert_eq!(order.unproven, Some(Unproven::Incomplete), "nobody sells its material");
    let nothing = judged("1 g", "quantity = \"heat\"\nat-most = \"1 W\"", "1.0.0");
    assert_eq!(nothing.unproven, Some(Unproven::NoFigure));
}

#[test]
fn an_incomplete_sum_may_fail_and_never_passes() {
    let text = |limit: &str| {
        format!(
            "[part.scanner]\norigin = \"assembled\"\ncontains = {{ body = 1, lamp = 1 }}\n\
             [part.body]\norigin = \"printed\"\nmass = \"300 g\"\n[part.lamp]\norigin = \"bought\"\n\
             [requirement.light]\npart = \"scanner\"\nquantity = \"mass\"\n{limit}\n"
        )
    };
    let at = |limit: &str| assessed(&text(limit), "1.0.0").judged.remove(0);
    assert_eq!(at("at-most = \"250 g\"").verdict, Verdict::Fail);
    assert_eq!(at("at-most = \"450 g\"").unproven, Some(Unproven::Incomplete));
    assert_eq!(at("at-least = \"450 g\"").unproven, Some(Unproven::Incomplete), "it may grow");
    assert_eq!(at("at-least = \"250 g\"").unproven, Some(Unproven::Incomplete));
}

/// The smallest of all can only become smaller.
#[test]
fn an_incomplete_minimum_may_fail_from_below() {
    let at = |limit: &str| {
        let text = format!(
            "[quantity.reach]\nunit = \"mm\"\nroll-up = \"min\"\nexpected = [\"bought\"]\n\
             [part.scanner]\norigin = \"assembled\"\ncontains = {{ arm = 1, hand = 1 }}\n\
             [part.arm]\norigin = \"bought\"\nreach = \"90 mm\"\n[part.hand]\norigin = \"bought\"\n\
             [requirement.far]\npart = \"scanner\"\nquantity = \"reach\"\n{limit}\n"
        );
        assessed(&text, "1.0.0").judged.remove(0).verdict
    };
    assert_eq!(at("at-least = \"100 mm\""), Verdict::Fail);
    assert_eq!(at("at-least = \"80 mm\""), Verdict::Unproven);
    assert_eq!(at("at-most = \"80 mm\""), Verdict::Unproven);
}

#[test]
fn an_upper_limit_holds_with_all_options() {
    let text = |cover: &str, limit: &str| {
        format!(
            "[part.scanner]\norigin = \"assembled\"\ncontains.body = 1\n\
             contains.cover = {{ count = 1, optional = true }}\n\
             [part.body]\norigin = \"printed\"\nmass = \"300 g\"\n\
             [part.cover]\norigin = \"printed\"\n{cover}\n\
             [requirement.light]\npart = \"scanner\"\nquantity = \"mass\"\n{limit}\n"
        )
    };
    let at = |cover: &str, limit: &str| assessed(&text(cover, limit), "1.0.0").judged.remove(0);
    let with = at("mass = \"100 g\"", "at-most = \"350 g\"");
    assert_eq!((with.verdict, with.by_options, with.bounds[0].value), (Verdict::Fail, true, 0.4));
    let both = at("mass = \"100 g\"", "at-most = \"250 g\"");
    assert_eq!((both.verdict, both.by_options), (Verdict::Fail, false));
    let least = at("mass = \"100 g\"", "at-least = \"350 g\"");
    assert_eq!((least.verdict, least.by_options), (Verdict::Fail, false), "without the cover");
    assert_eq!(at("", "at-most = \"350 g\"").unproven, Some(Unproven::Incomplete));
    assert_eq!(at("", "at-least = \"250 g\"").verdict, Verdict::Pass, "nobody needs the cover");
}

/// Semantic Versioning 2.0.0, 11: 1.0.0-alpha < -alpha.1 < -alpha.beta < -beta < -beta.2 < -beta.11
/// < -rc.1 < 1.0.0.
#[test]
fn a_requirement_counts_from_the_release_that_it_is_due_at() {
    let order = [
        "1.0.0-alpha",
        "1.0.0-alpha.1",
        "1.0.0-alpha.beta",
        "1.0.0-beta",
        "1.0.0-beta.2",
        "1.0.0-beta.11",
        "1.0.0-rc.1",
        "1.0.0",
    ];
    for (at, release) in order.iter().enumerate() {
        for (due_at, due) in order.iter().enumerate() {
            let requirement = format!("quantity = \"mass\"\nat-most = \"1 g\"\ndue = \"{due}\"");
            let judged = judged("2 g", &requirement, release);
            let expected = if due_at > at { Verdict::Later } else { Verdict::Fail };
            assert_eq!(judged.verdict, expected, "due {due}, release {release}");
            assert_eq!(judged.beneath, Verdict::Fail);
        }
    }
}

fn waived(mass: &str, waiver: &str, release: &str) -> super::Judged {
    let requirement = format!(
        "quantity = \"mass\"\nat-most = \"450 g\"\n[waiver.first-batch]\nrequirement = \"light\"\n\
         why = \"the lighter lid comes later\"\n{waiver}"
    );
    judged(mass, &requirement, release)
}

#[test]
fn a_waiver_covers_until_its_end_and_up_to_its_value() {
    let until = "until-before = \"1.1.0\"";
    let covered = waived("470 g", until, "1.0.0");
    assert_eq!((covered.verdict, covered.beneath), (Verdict::Waived, Verdict::Fail));
    assert!(!covered.is_in_the_way());
    assert_eq!(waived("470 g", until, "1.1.0-rc.1").verdict, Verdict::Waived);
    assert_eq!(waived("470 g", until, "1.1.0").verdict, Verdict::Fail);
    assert_eq!(waived("440 g", until, "1.0.0").verdict, Verdict::Pass);
    let up_to = "until-before = \"1.1.0\"\nup-to = \"475 g\"";
    assert_eq!(waived("475 g", up_to, "1.0.0").verdict, Verdict::Waived);
    assert_eq!(waived("470 g ± 5 g", up_to, "1.0.0").verdict, Verdict::Waived);
    assert_eq!(waived("471 g ± 5 g", up_to, "1.0.0").verdict, Verdict::Fail, "476 g are possible");
    assert_eq!(waived("476 g", up_to, "1.0.0").verdict, Verdict::Fail);
}

#[test]
fn a_waiver_up_to_a_value_needs_a_value() {
    let requirement = |up_to: &str| {
        format!(
            "quantity = \"mass\"\nat-most = \"450 g\"\nmethod = \"test\"\n\
             [waiver.first-batch]\nrequirement = \"light\"\nwhy = \"no balance at hand\"\n\
             until-before = \"1.1.0\"\n{up_to}"
        )
    };
    assert_eq!(judged("1 g", &requirement(""), "1.0.0").verdict, Verdict::Waived);
    let up_to = requirement("up-to = \"475 g\"");
    assert_eq!(judged("1 g", &up_to, "1.0.0").verdict, Verdict::Unproven);
}

#[test]
fn a_waiver_of_a_check_covers_its_findings_of_one_part() {
    let text = "[part.scanner]\norigin = \"printed\"\nsources = [\"a.step\"]\ncontains = { lid = 1 }\n\
        [part.lid]\norigin = \"printed\"\nsources = [\"b.step\"]\n\
        [waiver.lid-source]\ncheck = \"files-present\"\npart = \"lid\"\nuntil-before = \"1.1.0\"\n\
        why = \"drawn by hand\"\n";
    let covered = |release: &str| -> Vec<(String, bool)> {
        let findings = assessed(text, release).findings.into_iter();
        let files = findings.filter(|found| found.check.0 == "files-present");
        files.map(|found| (found.message, found.covered.is_some())).collect()
    };
    assert_eq!(
        covered("1.0.0"),
        [
            ("`b.step` is not there (of `lid`)".to_owned(), true),
            ("`a.step` is not there (of `scanner`)".to_owned(), false),
        ]
    );
    assert!(covered("1.1.0").iter().all(|(_, covered)| !covered));
}

#[test]
fn a_waiver_cannot_name_what_is_no_waivable_check() {
    let text = "[part.scanner]\norigin = \"bought\"\n[waiver.all]\ncheck = \"records-readable\"\n\
        until-before = \"9.0.0\"\nwhy = \"never\"\n";
    assert!(fixture::wrong(text).contains("there is no release check `records-readable`"));
}
