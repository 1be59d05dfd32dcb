//! Pushing release tags.

use crate::workshop::{Workshop, lamp, without_ids};

/// A workshop with a shared repository that has no hooks of its own.
fn with_remote() -> Workshop {
    let workshop = Workshop::new();
    let bare = workshop.shared();
    std::fs::remove_file(bare.join("hooks/pre-receive")).unwrap();
    workshop
}

/// The push must be refused; what is said.
fn refuses(workshop: &Workshop, arguments: &[&str]) -> String {
    let output = workshop.git(&[&["push", "-q", "origin"], arguments].concat());
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!output.status.success(), "{arguments:?} was let through:\n{said}");
    let ours: Vec<&str> =
        said.lines().filter(|line| !line.starts_with("error: failed to push")).collect();
    without_ids(&ours.join("\n"))
}

#[test]
fn a_tag_of_a_design_that_is_not_ready_is_refused() {
    let workshop = with_remote();
    workshop.commit_lamp("L-350", "350 g");
    workshop.lets(&["tag", "v1.0.0"]);
    insta::assert_snapshot!(refuses(&workshop, &["v1.0.0"]));
    workshop.lets(&["tag", "-a", "-m", "First release", "v1.0.0-rc.1"]);
    assert!(refuses(&workshop, &["--tags"]).contains("carry-mass"));
    workshop.lets(&["push", "-q", "--no-verify", "origin", "v1.0.0"]);
    workshop.lets(&["push", "-q", "origin", "--delete", "v1.0.0"]);
}

#[test]
fn a_tag_of_a_design_that_is_ready_goes_through() {
    let workshop = with_remote();
    workshop.get_ready();
    workshop.lets(&["tag", "-a", "-m", "First release", "v1.0.0"]);
    workshop.lets(&["tag", "v1.0.0-rc.1"]);
    assert_eq!(workshop.lets(&["push", "-q", "origin", "v1.0.0", "v1.0.0-rc.1"]), "");
    // The tagged revision counts, whatever has come since.
    workshop.commit_lamp("L-350", "350 g");
    workshop.lets(&["tag", "v1.0.0-rc.2", "HEAD~1"]);
    workshop.lets(&["push", "-q", "origin", "v1.0.0-rc.2"]);
}

#[test]
fn an_open_item_and_a_variant_are_in_the_way_too() {
    let workshop = with_remote();
    workshop.get_ready();
    let more = "[item.lamp-glare]\ntitle = \"Glare at the left edge\"\nopened = 2026-01-02\nparts = [\"lamp\"]\n\
                [variant.travel]\nchange.scanner.lamp = 2\n";
    workshop.write("parts/more.toml", more);
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "A variant, and something to do"]);
    workshop.lets(&["tag", "v1.0.0"]);
    insta::assert_snapshot!(refuses(&workshop, &["v1.0.0"]));
}

#[test]
fn records_that_cannot_be_read_there_are_refused() {
    let workshop = with_remote();
    workshop.write("parts/lamp.toml", "[part.lamp]\norigin = \"bougth\"\n");
    workshop.lets(&["commit", "--no-verify", "-qam", "A slip"]);
    workshop.lets(&["tag", "v1.0.0"]);
    insta::assert_snapshot!(refuses(&workshop, &["v1.0.0"]));
}

#[test]
fn a_version_that_was_not_prepared_is_refused() {
    let workshop = with_remote();
    workshop.get_ready();
    workshop.lets(&["tag", "v1.1.0"]);
    insta::assert_snapshot!(refuses(&workshop, &["v1.1.0"]));
}

#[test]
fn a_version_below_a_released_one_is_refused() {
    let workshop = with_remote();
    workshop.get_ready();
    workshop.lets(&["tag", "v1.0.0"]);
    workshop.change("tagworthy.toml", "next = \"1.0.0\"", "next = \"0.9.0\"");
    workshop.lets(&["commit", "-qam", "Backwards"]);
    workshop.lets(&["tag", "v0.9.0"]);
    insta::assert_snapshot!(refuses(&workshop, &["v0.9.0"]));
}

/// Semantic Versioning 2.0.0, items 6 and 8: what takes back what others rely on is no patch.
#[test]
fn a_version_too_low_for_what_changed_is_refused() {
    let workshop = with_remote();
    workshop.get_ready();
    workshop.lets(&["tag", "v1.0.0"]);
    workshop.change("tagworthy.toml", "next = \"1.0.0\"", "next = \"1.0.1\"");
    workshop.change("parts/scanner.toml", "at-most = \"1200 g\"", "at-most = \"1300 g\"");
    workshop.lets(&["commit", "-qam", "Promise less"]);
    workshop.lets(&["tag", "v1.0.1"]);
    insta::assert_snapshot!(refuses(&workshop, &["v1.0.1"]));
}

#[test]
fn other_tags_and_branches_are_not_judged() {
    let workshop = with_remote();
    workshop.commit_lamp("L-350", "350 g");
    workshop.lets(&["tag", "before-the-fair"]);
    workshop.lets(&["tag", "v1"]);
    workshop.lets(&["tag", "of-a-file", "HEAD:parts/lamp.toml"]);
    workshop.lets(&["push", "-q", "origin", "main", "before-the-fair", "v1", "of-a-file"]);
}

#[test]
fn the_manifest_says_what_its_tags_look_like_and_what_they_need() {
    let workshop = with_remote();
    workshop.commit_lamp("L-350", "350 g");
    workshop.change("tagworthy.toml", "records =", "tag = \"lantern-{version}\"\nrecords =");
    workshop.lets(&["commit", "-qam", "Our own tags"]);
    workshop.lets(&["tag", "v1.0.0"]);
    workshop.lets(&["push", "-q", "origin", "v1.0.0"]);
    workshop.lets(&["tag", "lantern-1.0.0"]);
    assert!(refuses(&workshop, &["lantern-1.0.0"]).contains("carry-mass"));
    workshop.rule("[guard]\ntag = [\"unreadable\"]");
    workshop.lets(&["tag", "-f", "lantern-1.0.0"]);
    workshop.lets(&["push", "-q", "origin", "lantern-1.0.0"]);
}

#[test]
fn a_design_is_released_by_its_own_tags() {
    let workshop = with_remote();
    workshop.change("tagworthy.toml", "records =", "tag = \"lantern-{version}\"\nrecords =");
    workshop.lets(&["commit", "-qam", "Our own tags"]);
    let tripod = r#"
[design]
name = "tripod"
top = "leg"
next = "2.0.0"
currency = "EUR"
license = "CC0-1.0"
tag = "tripod-{version}"
[supplier.wood-shop]
[part.leg]
title = "Leg"
origin = "bought"
mass = "90 g"
offer = [{ supplier = "wood-shop", code = "leg-90", price = "4.20 EUR" }]
"#;
    workshop.write("tripod/tagworthy.toml", tripod);
    workshop.write("tripod/LICENSE", "SPDX-License-Identifier: CC0-1.0\n");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "A tripod"]);
    workshop.lets(&["tag", "tripod-2.0.0"]);
    workshop.lets(&["tag", "lantern-1.0.0"]);
    workshop.lets(&["push", "-q", "origin", "tripod-2.0.0"]);
    assert!(refuses(&workshop, &["lantern-1.0.0"]).contains("lantern 1.0.0"));
}

#[test]
fn a_push_from_a_subfolder_and_a_linked_tree() {
    let mut workshop = with_remote();
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.lets(&["commit", "--no-verify", "-qam", "Too heavy"]);
    workshop.lets(&["tag", "v1.0.0"]);
    workshop.folder.push("parts");
    assert!(refuses(&workshop, &["v1.0.0"]).contains("carry-mass"));
    let linked = workshop.scratch.folder("linked");
    workshop.lets(&["worktree", "add", "-q", linked.to_str().unwrap()]);
    workshop.folder = linked;
    assert!(refuses(&workshop, &["v1.0.0"]).contains("carry-mass"));
}
