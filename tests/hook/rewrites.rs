//! Histories that are rewritten, and work that is put aside: hooks do not get in the way.

use crate::workshop::{Workshop, lamp};

/// Commits on `aside` that each make the lamp heavier, and one on `main`.
fn parted() -> Workshop {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-qb", "aside"]);
    for grams in [252, 254, 256] {
        workshop.commit_lamp("L-250", &format!("{grams} g"));
    }
    workshop.lets(&["checkout", "-q", "main"]);
    workshop.change("parts/frame.toml", "900 g", "905 g");
    workshop.lets(&["commit", "-qam", "A stiffer frame"]);
    workshop.lets(&["checkout", "-q", "aside"]);
    workshop
}

const TOLD: &str = "tagworthy: lantern: mass +5 g (now 1161 g)\n";

#[test]
fn a_rebase_is_told_once() {
    let workshop = parted();
    let said = workshop.lets(&["rebase", "-q", "main"]);
    assert_eq!(said, TOLD);
}

#[test]
fn a_rebase_with_a_stop_is_judged_where_one_commits() {
    let mut workshop = parted();
    let editor = workshop.scratch.folder("editor");
    crate::workshop::write_script(
        &editor,
        "#!/bin/sh\nsed '1s/^pick/edit/' \"$1\" > \"$1.new\"\nmv \"$1.new\" \"$1\"\n",
    );
    workshop.scratch.set("GIT_SEQUENCE_EDITOR", &editor);
    workshop.lets(&["rebase", "-q", "-i", "main"]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "--amend", "--no-edit", "-qa"]).contains("carry-mass"));
    workshop.lets(&["checkout", "-q", "--", "."]);
    workshop.lets(&["reset", "-q", "--hard"]);
    assert!(workshop.lets(&["rebase", "--continue"]).contains(TOLD));
}

#[test]
fn a_rebase_with_conflicts_goes_on() {
    let mut workshop = parted();
    workshop.scratch.set("GIT_EDITOR", "true");
    workshop.lets(&["checkout", "-q", "main"]);
    workshop.commit_lamp("L-250", "251 g");
    let output = workshop.git(&["rebase", "-q", "main", "aside"]);
    assert!(!output.status.success(), "there is a conflict");
    workshop.write("parts/lamp.toml", &lamp("L-250", "253 g"));
    workshop.lets(&["add", "."]);
    let output = workshop.git(&["rebase", "--continue"]);
    assert!(!output.status.success(), "and another one");
    workshop.lets(&["rebase", "--abort"]);
}

#[test]
fn a_rebase_by_patches_is_told_at_its_end() {
    let workshop = parted();
    // Git checks out the new base before it says anywhere that this is a rebase.
    let said = workshop.lets(&["rebase", "-q", "--apply", "main"]);
    assert!(said.ends_with(TOLD) && said.lines().count() == 2, "{said}");
}

#[test]
fn patches_are_applied() {
    let workshop = parted();
    let patches = workshop.scratch.folder("patches");
    workshop.lets(&["format-patch", "-q", "-o", patches.to_str().unwrap(), "main"]);
    workshop.lets(&["checkout", "-q", "main"]);
    let mut names: Vec<_> =
        std::fs::read_dir(&patches).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    let names: Vec<&str> = names.iter().map(|path| path.to_str().unwrap()).collect();
    let said = workshop.lets(&[&["am", "-q"], &names[..]].concat());
    assert!(!said.contains("not"), "{said}");
    assert!(workshop.read("parts/lamp.toml").contains("256 g"));
}

#[test]
fn work_is_put_aside_and_taken_back() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert_eq!(workshop.lets(&["stash", "-q"]), "");
    assert_eq!(workshop.lets(&["stash", "pop", "-q"]), "");
    assert!(workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"));
}

#[test]
fn a_message_is_reworded() {
    let mut workshop = parted();
    workshop.scratch.set("GIT_EDITOR", "true");
    workshop.scratch.set("GIT_SEQUENCE_EDITOR", "sed -i 1s/^pick/reword/");
    workshop.lets(&["rebase", "-q", "-i", "main"]);
    let message = workshop.scratch.git_line(&["log", "-1", "--format=%B", "HEAD~2"]);
    assert_eq!(message, "L-250 of 252 g");
}
