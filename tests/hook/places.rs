//! Where a commit can be made: subfolders, linked working trees, submodules, several designs.

use crate::workshop::{Workshop, lamp};

#[test]
fn from_a_subfolder() {
    let mut workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.folder.push("parts");
    assert!(workshop.refuses(&["commit", "-am", "From below"]).contains("carry-mass"));
    assert!(workshop.refuses(&["commit", "-m", "One file", "lamp.toml"]).contains("carry-mass"));
}

#[test]
fn in_a_linked_working_tree() {
    let mut workshop = Workshop::new();
    let linked = workshop.scratch.folder("linked");
    workshop.lets(&["worktree", "add", "-q", linked.to_str().unwrap()]);
    workshop.folder = linked;
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-am", "From a linked tree"]).contains("carry-mass"));
    assert!(
        workshop.refuses(&["commit", "-m", "One file", "parts/lamp.toml"]).contains("carry-mass")
    );
}

#[test]
fn in_a_submodule() {
    let mut workshop = Workshop::new();
    let outer = workshop.scratch.folder("outer");
    std::fs::create_dir(&outer).unwrap();
    workshop.scratch.git_in(&outer, &["init", "-q"]);
    let inner = workshop.scratch.path();
    let add = [
        "-c",
        "protocol.file.allow=always",
        "submodule",
        "add",
        "-q",
        inner.to_str().unwrap(),
        "scanner",
    ];
    workshop.scratch.git_in(&outer, &add);
    workshop.folder = outer.join("scanner");
    workshop.install(&[]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-am", "In a submodule"]).contains("carry-mass"));
}

#[test]
fn a_design_that_the_commit_does_not_touch_is_left_alone() {
    let workshop = Workshop::new();
    workshop.write("vendor/other/tagworthy.toml", "[design]\nname = \"other\"\n");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "--no-verify", "-qm", "A broken design of someone else's"]);
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    let said = workshop.lets(&["commit", "-qam", "Our own"]);
    assert!(!said.contains("other"), "{said}");
}
