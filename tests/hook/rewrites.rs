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

/// A workshop in which `main` and `aside` have another lamp each, and the editor changes nothing.
fn at_odds() -> Workshop {
    let mut workshop = Workshop::new();
    workshop.scratch.set("GIT_EDITOR", "true");
    workshop.lets(&["checkout", "-qb", "aside"]);
    workshop.commit_lamp("L-250", "251 g");
    workshop.lets(&["checkout", "-q", "main"]);
    workshop.commit_lamp("L-250", "252 g");
    workshop
}

/// Ends what stopped at a conflict: refused with a lamp that is too heavy, let through with another.
fn ends(workshop: &Workshop, end: &[&str]) {
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.lets(&["add", "."]);
    assert!(workshop.refuses(end).contains("carry-mass"), "{end:?}");
    workshop.write("parts/lamp.toml", &lamp("L-253", "253 g"));
    workshop.lets(&["add", "."]);
    workshop.lets(end);
    assert!(workshop.scratch.git_line(&["show", "HEAD:parts/lamp.toml"]).contains("253 g"));
}

#[test]
fn a_cherry_pick_with_conflicts_is_judged_where_it_is_continued() {
    let workshop = at_odds();
    assert!(!workshop.git(&["cherry-pick", "aside"]).status.success(), "there is a conflict");
    ends(&workshop, &["cherry-pick", "--continue"]);
}

#[test]
fn a_revert_with_conflicts_is_judged_where_it_is_continued() {
    let workshop = at_odds();
    workshop.commit_lamp("L-250", "254 g");
    let revert = workshop.git(&["revert", "--no-edit", "HEAD~1"]);
    assert!(!revert.status.success(), "there is a conflict");
    ends(&workshop, &["revert", "--continue"]);
}

#[test]
fn a_rebase_with_conflicts_is_judged_where_one_commits() {
    let workshop = at_odds();
    assert!(!workshop.git(&["rebase", "-q", "aside"]).status.success(), "there is a conflict");
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.lets(&["add", "."]);
    assert!(workshop.refuses(&["commit", "-qm", "Too heavy"]).contains("carry-mass"));
    workshop.write("parts/lamp.toml", &lamp("L-253", "253 g"));
    workshop.lets(&["add", "."]);
    let said = workshop.lets(&["rebase", "--continue"]);
    assert!(!said.contains("not judged"), "{said}");
}

#[test]
fn patches_with_conflicts_are_applied() {
    let workshop = at_odds();
    let patch = workshop.scratch.folder("patch");
    let text = workshop.scratch.git(&["format-patch", "--stdout", "main..aside"]);
    std::fs::write(&patch, text).unwrap();
    let applied = workshop.git(&["am", "-q", "--3way", patch.to_str().unwrap()]);
    assert!(!applied.status.success(), "there is a conflict");
    workshop.write("parts/lamp.toml", &lamp("L-253", "253 g"));
    workshop.lets(&["add", "."]);
    let said = workshop.lets(&["am", "--continue"]);
    assert!(!said.contains("tagworthy"), "{said}");
}

#[test]
fn staged_work_is_taken_back_as_staged() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.lets(&["add", "."]);
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    assert_eq!(workshop.lets(&["stash", "push", "-q", "--include-untracked"]), "");
    assert_eq!(workshop.lets(&["stash", "pop", "-q", "--index"]), "");
    assert!(workshop.refuses(&["commit", "-qm", "What is staged"]).contains("1250 g"));
}
