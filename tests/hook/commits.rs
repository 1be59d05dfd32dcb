//! What a commit is refused for, and what is let through.

use crate::workshop::{Workshop, lamp};

/// A lamp that is too heavy: 1250 g of 1200 g, and another thing than the one before.
fn heavier_lamp() -> String {
    lamp("L-350", "350 g")
}

#[test]
fn an_overrun_by_another_part_is_refused() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &heavier_lamp());
    workshop.lets(&["add", "parts/lamp.toml"]);
    insta::assert_snapshot!(workshop.refuses(&["commit", "-m", "A brighter lamp"]));
}

#[test]
fn all_ways_to_commit_are_judged_by_what_they_commit() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &heavier_lamp());
    workshop.write("notes.txt", "measure the lamp");
    assert!(workshop.refuses(&["commit", "-am", "All changed files"]).contains("carry-mass"));
    assert!(
        workshop.refuses(&["commit", "-m", "One file", "parts/lamp.toml"]).contains("carry-mass")
    );
    workshop.lets(&["add", "."]);
    assert!(workshop.refuses(&["commit", "--amend", "--no-edit"]).contains("carry-mass"));
    workshop.lets(&["commit", "-m", "Only the notes", "notes.txt"]);
}

#[test]
fn what_lies_in_the_working_tree_alone_is_not_judged() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    workshop.lets(&["add", "."]);
    workshop.write("parts/lamp.toml", &heavier_lamp());
    workshop.lets(&["commit", "-m", "A lamp that fits"]);

    workshop.lets(&["add", "."]);
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    assert!(workshop.refuses(&["commit", "-m", "Staged, then undone"]).contains("1250 g"));
}

#[test]
fn a_worse_figure_of_the_same_part_is_said_and_let_through() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-250", "350 g measured"));
    insta::assert_snapshot!(workshop.lets(&["commit", "-qam", "Weighed at last"]));
}

#[test]
fn a_tighter_promise_is_said_and_let_through() {
    let workshop = Workshop::new();
    let scanner = std::fs::read_to_string(workshop.folder.join("parts/scanner.toml")).unwrap();
    workshop.write("parts/scanner.toml", &scanner.replace("1200 g", "1100 g"));
    assert!(workshop.lets(&["commit", "-qam", "Promise less weight"]).contains("carry-mass"));
}

#[test]
fn a_looser_promise_is_said_and_let_through() {
    let workshop = Workshop::new();
    workshop.change("parts/scanner.toml", "1200 g", "1300 g");
    let said = workshop.lets(&["commit", "-qam", "Promise more weight"]);
    assert_eq!(said, "carry-mass promises less: at most 1200 g → at most 1300 g\n");
    workshop.change("parts/scanner.toml", "[requirement.carry-mass]", "[requirement.other]");
    let said = workshop.lets(&["commit", "-qam", "Promise something else"]);
    assert!(said.contains("carry-mass is no longer promised"), "{said}");
}

#[test]
fn an_overrun_in_a_variant_is_refused_and_the_variant_is_named() {
    let workshop = Workshop::new();
    let scanner = std::fs::read_to_string(workshop.folder.join("parts/scanner.toml")).unwrap();
    let variant = "[variant.travel]\nchange.scanner.lamp = 2\n";
    workshop.write("parts/scanner.toml", &format!("{scanner}{variant}"));
    workshop.write("parts/lamp.toml", &lamp("L-140", "140 g"));
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Two small lamps for travel: 1180 g"]);
    workshop.write("parts/lamp.toml", &lamp("L-160", "160 g"));
    insta::assert_snapshot!(workshop.refuses(&["commit", "-qam", "A brighter lamp"]));
    workshop.write("parts/lamp.toml", &lamp("L-140", "160 g measured"));
    let said = workshop.lets(&["commit", "-qam", "Weighed at last"]);
    assert!(said.contains("carry-mass in travel pass → fail"), "{said}");
}

#[test]
fn a_variant_that_is_changed_itself_is_judged_too() {
    let workshop = Workshop::new();
    let scanner = std::fs::read_to_string(workshop.folder.join("parts/scanner.toml")).unwrap();
    let with = |variant: &str| format!("{scanner}[variant.travel]\n{variant}\n");
    workshop.write("parts/scanner.toml", &with("drop = [\"lamp\"]"));
    workshop.lets(&["commit", "-qam", "Without a lamp"]);
    workshop.write("parts/scanner.toml", &with("change.scanner.lamp = 2"));
    assert!(workshop.refuses(&["commit", "-qam", "With two"]).contains("in the variant travel"));
    workshop.write("parts/scanner.toml", &with("drop = [\"lump\"]"));
    assert!(workshop.refuses(&["commit", "-qam", "A slip"]).contains("lump"));
}

#[test]
fn a_step_that_mends_part_of_a_broken_state_passes() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-450", "450 g"));
    workshop.lets(&["commit", "--no-verify", "-qam", "Git's own way past"]);
    workshop.write("parts/lamp.toml", &heavier_lamp());
    workshop.lets(&["commit", "-qam", "Still too heavy, but lighter"]);
}

#[test]
fn records_that_cannot_be_read_any_more_are_refused() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", "[part.lamp]\norigin = \"bougth\"\nmass = \"250 g\"\n");
    insta::assert_snapshot!(workshop.refuses(&["commit", "-qam", "A slip of the pen"]));
    workshop.lets(&["commit", "--no-verify", "-qam", "Past the hook"]);
    workshop.write("notes.txt", "to do");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "What was broken before holds nobody up"]);
}

#[test]
fn the_first_commit_is_refused_only_for_unreadable_records() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-250", "two hundred grams"));
    workshop.lets(&["checkout", "-q", "--orphan", "fresh"]);
    workshop.lets(&["add", "."]);
    assert!(workshop.refuses(&["commit", "-qm", "From the start"]).contains("lamp.toml:7"));
    workshop.write("parts/lamp.toml", &heavier_lamp());
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Too heavy from the start"]);
}

#[test]
fn the_manifest_says_what_is_refused() {
    let workshop = Workshop::new();
    let manifest = std::fs::read_to_string(workshop.folder.join("tagworthy.toml")).unwrap();
    workshop.write(
        "tagworthy.toml",
        &format!("{manifest}\n[guard]\ncommit = [\"newly-unreadable\"]\n"),
    );
    workshop.write("parts/lamp.toml", &heavier_lamp());
    assert!(workshop.lets(&["commit", "-qam", "Only readable, please"]).contains("carry-mass"));
}

#[test]
fn a_removed_part_that_others_need_is_refused() {
    let workshop = Workshop::new();
    workshop.lets(&["rm", "-q", "parts/lamp.toml"]);
    let said = workshop.refuses(&["commit", "-qm", "No lamp"]);
    assert!(said.contains("parts/scanner.toml:6"), "{said}");
}
