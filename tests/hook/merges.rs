//! Merges: with and without conflicts, forward, squashed, of many.

use crate::workshop::{Workshop, lamp, without_ids};

/// Two branches, each within the limit: a heavier lamp on `lamp`, a heavier frame on `main`.
fn parted() -> Workshop {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-qb", "lamp"]);
    workshop.write("parts/lamp.toml", &lamp("L-290", "290 g"));
    workshop.lets(&["commit", "-qam", "A brighter lamp"]);
    workshop.lets(&["checkout", "-q", "main"]);
    workshop.change("parts/frame.toml", "900 g", "940 g");
    workshop.change("parts/frame.toml", "mass", "material = \"steel\"\nmass");
    workshop.write("parts/material.toml", "[material.steel]\ndensity = \"7.85 g/cm³\"\n");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "A stiffer frame"]);
    workshop
}

#[test]
fn two_sides_that_break_a_limit_together_are_refused() {
    let workshop = parted();
    insta::assert_snapshot!(workshop.refuses(&["merge", "-q", "--no-edit", "lamp"]));
    assert!(workshop.refuses(&["commit", "-qm", "All the same"]).contains("carry-mass"));
    workshop.write("parts/lamp.toml", &lamp("L-255", "255 g"));
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Both, with a lighter lamp"]);
    assert_eq!(workshop.scratch.git_line(&["rev-list", "--count", "--min-parents=2", "HEAD"]), "1");
}

#[test]
fn a_merge_goes_past_the_hook_as_it_says() {
    let workshop = parted();
    workshop.refuses(&["merge", "-q", "--no-edit", "lamp"]);
    workshop.lets(&["commit", "--no-verify", "-qm", "Merged all the same"]);
}

#[test]
fn a_merge_that_fits_is_told_once() {
    let workshop = parted();
    workshop.lets(&["checkout", "-q", "lamp"]);
    workshop.write("parts/lamp.toml", &lamp("L-255", "255 g"));
    workshop.lets(&["commit", "-qam", "A lighter lamp"]);
    workshop.lets(&["checkout", "-q", "main"]);
    let said = workshop.lets(&["merge", "-q", "--no-edit", "lamp"]);
    assert_eq!(without_ids(&said).matches("lantern: mass").count(), 1, "{said}");
}

#[test]
fn a_merge_with_conflicts_is_judged_when_it_is_committed() {
    let workshop = parted();
    workshop.lets(&["checkout", "-q", "lamp"]);
    workshop.change("parts/frame.toml", "900 g", "905 g");
    workshop.lets(&["commit", "-qam", "Another frame"]);
    let output = workshop.git(&["merge", "-q", "main"]);
    assert!(!output.status.success(), "there is a conflict");
    workshop.write(
        "parts/frame.toml",
        "[part.frame]\norigin = \"machined\"\nmaterial = \"steel\"\nmass = \"940 g\"\n",
    );
    workshop.lets(&["add", "."]);
    let said = workshop.refuses(&["commit", "-qm", "Merged"]);
    assert!(said.contains("carry-mass"), "{said}");
}

#[test]
fn a_merge_forward_is_told_and_not_judged() {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-qb", "lamp"]);
    workshop.commit_lamp("L-350", "350 g");
    workshop.lets(&["checkout", "-q", "main"]);
    let said = workshop.lets(&["merge", "-q", "--ff-only", "lamp"]);
    insta::assert_snapshot!(said, @"tagworthy: lantern: mass +100 g (now 1250 g); carry-mass pass → fail");
}

#[test]
fn a_squashed_merge_is_judged_as_a_commit() {
    let workshop = parted();
    workshop.lets(&["merge", "-q", "--squash", "lamp"]);
    assert!(workshop.refuses(&["commit", "-qm", "Squashed"]).contains("carry-mass"));
}

#[test]
fn a_merge_of_many_is_judged() {
    let workshop = parted();
    for branch in ["one", "two"] {
        workshop.lets(&["checkout", "-q", "-b", branch, "main"]);
        workshop.write(&format!("{branch}.txt"), branch);
        workshop.lets(&["add", "."]);
        workshop.lets(&["commit", "-qm", branch]);
    }
    workshop.lets(&["checkout", "-q", "main"]);
    let said = workshop.refuses(&["merge", "-q", "--no-edit", "one", "two", "lamp"]);
    assert!(said.contains("this merge breaks 1 requirement"), "{said}");
}

#[test]
fn a_merge_that_is_continued_is_judged() {
    let mut workshop = parted();
    workshop.scratch.set("GIT_EDITOR", "true");
    workshop.refuses(&["merge", "-q", "--no-edit", "lamp"]);
    assert!(workshop.refuses(&["merge", "--continue"]).contains("carry-mass"));
    workshop.write("parts/lamp.toml", &lamp("L-255", "255 g"));
    workshop.lets(&["add", "."]);
    workshop.lets(&["merge", "--continue"]);
}
