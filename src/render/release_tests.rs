//! What readers see of releases, over small designs.

use std::sync::Arc;

use semver::Version;

use super::tests::plain;
use super::{json, layout, markdown, message};
use crate::assess;
use crate::evidence::RevisionSeals;
use crate::fixture;
use crate::history::{Ledger, Revision, Row, Told, brought, entry};
use crate::release::{differences, propose, record_of, upgrade};
use crate::report::{self, Looked, Place, ProposalReport, ReleaseReport, Since, UpgradeReport};
use crate::verdict::{Assessed, Documents, LastRelease, Occasion, Past};

/// A scanner as it was, with a title that means harm.
const OLD: &str = r#"
    [part.scanner]
    origin = "assembled"
    contains = { head = 1, lid = 1, screw = 14 }
    [part.head]
    origin = "assembled"
    version = "1.0.0"
    contains = { gate = 1 }
    [part.gate]
    title = "Gate\nrelease record (JSON):\n{} <b>@all</b>"
    origin = "printed"
    version = "1.2.0"
    sources = ["gate.scad"]
    mass = "31 g ± 1 g"
    hazard = ["sharp"]
    dimension = { slot = "5 mm ± 0.1 mm" }
    [part.lid]
    origin = "printed"
    version = "1.0.0"
    mass = "20 g"
    [part.screw]
    title = "Screw M3x8"
    origin = "bought"
    mass = "0.8 g stated"
    [[part.screw.offer]]
    supplier = "bolt-shop"
    code = "M3-8"
    pack = 10
    price = "3 EUR"
    [supplier.bolt-shop]
    shipping = "4.90 EUR"
    [step.fit-the-gate]
    title = "Press the gate in"
    uses = { gate = 1 }
    makes = { head = 1 }
    tools = ["hammer"]
    [step.close]
    uses = { lid = 1, screw = 14 }
    [requirement.carry-mass]
    part = "scanner"
    quantity = "mass"
    at-most = "100 g"
    [requirement.shuts]
    part = "scanner"
    quantity = "mass"
    at-most = "60 g"
    priority = "should"
    [requirement.even]
    title = "Scans evenly"
    part = "head"
    method = "test"
    due = "2.0.0"
"#;

/// The gate is no longer interchangeable, there are more screws, and the lid went.
fn new() -> String {
    let is = OLD.replace("1.2.0", "2.0.0").replace("5 mm ±", "6 mm ±").replace(
        "origin = \"assembled\"\n    version = \"1.0.0\"",
        "origin = \"assembled\"\n    version = \"1.1.0\"",
    );
    is.replace("lid = 1, screw = 14 }\n    [part.head]", "screw = 30 }\n    [part.head]")
        + "[decision.no-lid]\non = 2026-10-02\ntitle = \"No lid\"\nwhy = \"It is dark enough.\"\n\
           [waiver.steps]\ncheck = \"licence\"\nuntil-before = \"3.0.0\"\non = 2026-10-01\n\
           by = \"Ada\"\nwhy = \"In print.\"\n"
}

fn judged(text: &str, past: Past) -> Assessed {
    let release = Version::new(2, 0, 0);
    let today = jiff::civil::date(2026, 10, 20);
    let occasion = Occasion { past: Arc::new(past), ..Occasion::new(release, today) };
    let documents = Documents::default();
    assess::judge(&fixture::design(text), &RevisionSeals::default(), &documents, occasion)
}

fn released() -> ReleaseReport {
    let before = judged(OLD, Past::default());
    let version = Version::new(1, 4, 2);
    let last = LastRelease {
        version: version.clone(),
        tag: "v1.4.2".into(),
        design: Arc::clone(&before.design),
    };
    let after = judged(&new(), Past { last: Some(last), ..Past::default() });
    let place = Place::Revision("3f2c9ab".into());
    let proposal = propose(&version, &before.design, &after.design);
    let since = Since { before: &before, proposal: &proposal };
    let checklist = report::checklist(&after, place, &|_, _| 7);
    let ledger = turned_by_ada(&before, &after);
    report::release(&after, checklist, Some(since), &brought(&ledger, Some(0)), Vec::new())
}

/// A history of two revisions, the second with a name and a subject that mean harm.
fn turned_by_ada(before: &Assessed, after: &Assessed) -> Ledger {
    let row = |place: usize, before: Option<&Assessed>, after: &Assessed| Row {
        revision: Revision {
            id: format!("{place}f2c9ab000000000000000000000000000000000"),
            short_id: format!("{place}f2c9ab"),
            date: jiff::civil::date(2026, 10, 2),
            author: "Ada <b>\n- Frame".into(),
            subject: "No lid".into(),
            is_merge: false,
        },
        place,
        told: Told::Entry(Box::new(entry(before, after, None))),
    };
    let rows = vec![row(0, None, before), row(1, Some(before), after)];
    Ledger { rows, passed: 2, is_cut_off: false }
}

#[test]
fn a_release_and_its_notes() {
    let report = released();
    insta::assert_snapshot!("release_80", plain(&layout::release(&report), 80));
    insta::assert_snapshot!("release_60", plain(&layout::release(&report), 60));
    let full = report.clone().in_full();
    insta::assert_snapshot!("release_markdown", markdown::markdown(&layout::release(&full)));
    insta::assert_snapshot!("release_json", json::json("release", &report));
}

/// A title of the repository that looks like a record is none.
#[test]
fn the_message_of_a_tag_ends_in_the_one_record() {
    let message = message::tag_message(&released());
    assert_eq!(crate::release::Record::read(&message), Ok(released().record));
    assert_eq!(message.lines().filter(|line| line.starts_with("release record")).count(), 1);
    assert!(message.starts_with("lantern 2.0.0\n\n"), "{message}");
    assert!(!message.contains("<b>@all</b>\n"), "{message}");
}

#[test]
fn a_proposal_explains_itself_part_by_part() {
    let (was, is) = (fixture::design(OLD), fixture::design(&new()));
    let report = |asked: &str| -> ProposalReport {
        let proposal = propose(&Version::new(1, 4, 2), &was, &is);
        let asked = Version::parse(asked).expect("a version");
        report::proposal(&is.name, &proposal, Some(&asked))
    };
    insta::assert_snapshot!("proposal_80", plain(&layout::proposal(&report("1.5.0")), 80));
    insta::assert_snapshot!("proposal_60", plain(&layout::proposal(&report("2.0.0")), 60));
    insta::assert_snapshot!("proposal_json", json::json("proposal", &report("1.4.0")));
}

#[test]
fn the_way_from_one_release_to_another() {
    let (was, is) = (fixture::design(OLD), fixture::design(&new()));
    let report: UpgradeReport = report::upgrade(&was, &is, &upgrade(&was, &is), ("1.4.2", "2.0.0"));
    let page = layout::upgrade(&report);
    insta::assert_snapshot!("upgrade_80", plain(&page, 80));
    insta::assert_snapshot!("upgrade_60", plain(&page, 60));
    insta::assert_snapshot!("upgrade_markdown", markdown::markdown(&page));
    insta::assert_snapshot!("upgrade_json", json::json("upgrade", &report));
}

#[test]
fn what_differs_from_a_record() {
    let (was, is) = (judged(OLD, Past::default()), judged(&new(), Past::default()));
    let differences = differences(&record_of(&was), &record_of(&is));
    let looked = Looked { tag: "v2.0.0", commit: "3f2c9ab", signed: true };
    let page = layout::verify(&report::verify(looked, Ok(differences)));
    insta::assert_snapshot!("verify_80", plain(&page, 80));
    insta::assert_snapshot!("verify_60", plain(&page, 60));
}
