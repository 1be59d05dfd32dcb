//! Which commit last changed a path, beside what `git log` says.

use crate::ask::{Question, ask};
use crate::common::Scratch;

/// The commits that last changed `paths`, as `git log -1` prints them.
#[track_caller]
fn check(scratch: &Scratch, paths: &[&str]) {
    let line = |path: &&str| {
        let commit = scratch.git_line(&["log", "-1", "--format=%H", "HEAD", "--", path]);
        format!("{commit} {path}\n")
    };
    let mut expected: Vec<&str> = paths.to_vec();
    expected.sort_unstable();
    let expected: String = expected.iter().map(line).collect();
    assert_eq!(ask(scratch, Question::LastChanges("HEAD", paths)), expected);
}

#[test]
fn a_path_was_changed_by_the_commit_that_log_names() {
    let scratch = Scratch::new();
    scratch.write("gate.scad", "1").write("parts/lid/lid.scad", "1").commit("First");
    scratch.write("parts/lid/lid.stl", "1").commit("Export");
    scratch.write("gate.scad", "2").commit("Gate");
    scratch.write("parts/lid/lid.scad", "2").write("note", "x").commit("Lid");
    check(&scratch, &["gate.scad", "parts/lid/lid.scad", "parts/lid/lid.stl", "note"]);
}

#[test]
fn a_merge_changes_what_neither_side_has() {
    let scratch = Scratch::new();
    scratch.write("a", "1").write("b", "1").write("c", "1").commit("First");
    scratch.git(&["checkout", "--quiet", "-b", "side"]);
    scratch.write("a", "2").write("c", "2").commit("Side");
    scratch.git(&["checkout", "--quiet", "main"]);
    scratch.write("b", "2").commit("Main");
    scratch.git(&["merge", "--quiet", "--no-commit", "side"]);
    scratch.write("c", "3").commit("Merge");
    check(&scratch, &["a", "b", "c"]);
}

#[test]
fn a_file_in_the_place_of_a_folder_is_a_change() {
    let scratch = Scratch::new();
    scratch.write("x/y", "1").write("z", "1").commit("First");
    std::fs::remove_file(scratch.path().join("z")).unwrap();
    scratch.write("z/y", "1").commit("Folder");
    check(&scratch, &["x/y", "z/y"]);
}

#[test]
fn beyond_the_end_of_a_shallow_clone_nothing_is_said() {
    let scratch = Scratch::new();
    scratch.write("a", "1").write("b", "1").commit("First");
    scratch.write("b", "2").commit("Second");
    scratch.write("a", "1").write("b", "3").commit("Third");
    let folder = scratch.folder("shallow");
    let from = format!("file://{}", scratch.path().display());
    let to = folder.to_str().unwrap();
    scratch.git(&["clone", "--quiet", "--depth=2", &from, to]);
    let found = crate::ask::ask_in(&scratch, &folder, Question::LastChanges("HEAD", &["a", "b"]));
    assert_eq!(found, format!("{} b\n", scratch.git_line(&["rev-parse", "HEAD"])));
}
