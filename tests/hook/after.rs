//! What is said after the fact: one line where a budget moved, and nothing twice.

use crate::workshop::{Workshop, lamp};

#[test]
fn a_commit_is_told_once() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    let said = workshop.lets(&["commit", "-qam", "A lamp that fits"]);
    insta::assert_snapshot!(said, @"lantern: mass +10 g (now 1160 g)");
}

#[test]
fn a_commit_past_the_hook_is_told_afterwards() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    let said = workshop.lets(&["commit", "--no-verify", "-qam", "Past the hook"]);
    insta::assert_snapshot!(said, @"tagworthy: lantern: mass +100 g (now 1250 g); carry-mass pass → fail");
}

#[test]
fn what_does_not_concern_the_design_is_not_told() {
    let workshop = Workshop::new();
    workshop.write("notes.txt", "measure the lamp");
    workshop.lets(&["add", "."]);
    assert_eq!(workshop.lets(&["commit", "-qm", "Notes"]), "");
    assert_eq!(workshop.lets(&["commit", "--no-verify", "--allow-empty", "-qm", "Nothing"]), "");
    assert_eq!(workshop.lets(&["checkout", "-q", "HEAD~1"]), "");
}

#[test]
fn a_cherry_pick_and_a_revert_are_told() {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-qb", "lamp"]);
    workshop.commit_lamp("L-260", "260 g");
    workshop.lets(&["checkout", "-q", "main"]);
    let said = workshop.lets(&["cherry-pick", "lamp"]);
    assert!(said.contains("tagworthy: lantern: mass +10 g (now 1160 g)"), "{said}");
    let said = workshop.lets(&["revert", "--no-edit", "HEAD"]);
    assert!(said.contains("tagworthy: lantern: mass -10 g (now 1150 g)"), "{said}");
}

#[test]
fn another_branch_is_told() {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-qb", "lamp"]);
    workshop.commit_lamp("L-260", "260 g");
    let said = workshop.lets(&["checkout", "-q", "main"]);
    assert_eq!(said, "tagworthy: lantern: mass -10 g (now 1150 g)\n");
    let said = workshop.lets(&["switch", "-q", "lamp"]);
    assert_eq!(said, "tagworthy: lantern: mass +10 g (now 1160 g)\n");
    assert_eq!(workshop.lets(&["checkout", "-q", "main", "--", "parts/lamp.toml"]), "");
    assert_eq!(workshop.lets(&["checkout", "-qf", "lamp"]), "");
}

#[test]
fn records_that_can_no_longer_be_read_are_told() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", "[part.lamp]\n");
    let said = workshop.lets(&["commit", "--no-verify", "-qam", "A slip"]);
    assert_eq!(said, "tagworthy: the records can no longer be read (tagworthy.toml)\n");
}

#[test]
fn a_bisection_goes_on() {
    let workshop = Workshop::new();
    for grams in [251, 252, 253, 254] {
        workshop.commit_lamp("L-250", &format!("{grams} g"));
    }
    workshop.lets(&["bisect", "start", "HEAD", "HEAD~4"]);
    let said = workshop.lets(&["bisect", "good"]);
    assert!(said.contains("lantern: mass"), "{said}");
    workshop.lets(&["bisect", "reset"]);
}

#[test]
fn a_pull_is_told() {
    let workshop = Workshop::new();
    let shared = workshop.shared();
    let other = workshop.scratch.folder("other");
    workshop.lets(&["clone", "-q", shared.to_str().unwrap(), other.to_str().unwrap()]);
    workshop.commit_lamp("L-260", "260 g");
    workshop.lets(&["push", "-q", "origin", "main"]);
    let workshop = Workshop { folder: other, ..workshop };
    workshop.install(&[]);
    let said = workshop.lets(&["pull", "-q"]);
    assert_eq!(said, "tagworthy: lantern: mass +10 g (now 1160 g)\n");
}

#[test]
fn an_index_that_changed_while_it_was_judged_is_told() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    workshop.lets(&["add", "."]);
    // Another hand stages a heavier lamp after the judgement, before git reads the index again.
    let shim = workshop.read(".git/hooks/pre-commit");
    let heavier = workshop.scratch.folder("heavier.toml");
    std::fs::write(&heavier, lamp("L-350", "350 g")).unwrap();
    let meddling = format!(
        "cp '{}' parts/lamp.toml\nGIT_INDEX_FILE=.git/index git add parts/lamp.toml\n",
        heavier.display()
    );
    let meddled = shim.replace("    *-0) exit 0 ;;", &format!("    *-0) {meddling} exit 0 ;;"));
    assert_ne!(shim, meddled);
    workshop.write(".git/hooks/pre-commit", &meddled);
    let said = workshop.lets(&["commit", "-qm", "A lamp that fits"]);
    assert!(said.contains("the index changed while it was judged"), "{said}");
    assert!(said.contains("carry-mass pass → fail"), "{said}");
}
