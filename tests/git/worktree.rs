//! The working tree against what git would stage from it.

use std::fs;

use crate::ask::{Question, ask, check_paths};
use crate::common::Scratch;

/// What the index would hold after `git add --all`, on a copy of the index.
pub fn addable(scratch: &Scratch) -> Vec<u8> {
    let copy = scratch.folder("index-copy");
    let _ = fs::remove_file(&copy);
    let index = scratch.path().join(".git/index");
    if index.exists() {
        fs::copy(&index, &copy).unwrap();
        // Of the same age: git looks into files that are as old as its index, and trusts older ones.
        let written = fs::metadata(&index).unwrap().modified().unwrap();
        fs::File::options().write(true).open(&copy).unwrap().set_modified(written).unwrap();
    }
    let with_copy = |arguments: &[&str]| {
        let mut git = scratch.command("git", &scratch.path());
        let output = git.args(arguments).env("GIT_INDEX_FILE", &copy).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        output.stdout
    };
    with_copy(&["add", "--all"]);
    with_copy(&["ls-files", "--stage", "-z"])
}

fn check_worktree(scratch: &Scratch) {
    check_paths(scratch, "WORKTREE", &addable(scratch));
}

#[test]
fn changed_new_removed_and_ignored_files() {
    let scratch = Scratch::new();
    scratch
        .write(".gitignore", "*.tmp\nbuild/\n")
        .write("kept.toml", "same\n")
        .write("changed.toml", "old\n")
        .write("removed.toml", "old\n")
        .write("deep/er/kept.toml", "same\n")
        .commit("First");
    scratch
        .write("changed.toml", "new\n")
        .write("new.toml", "new\n")
        .write("new/folder/new.toml", "new\n")
        .write("deep/.gitignore", "!keep.tmp\n")
        .write("deep/keep.tmp", "kept\n")
        .write("scrap.tmp", "ignored\n")
        .write("build/out.stl", "ignored\n");
    fs::remove_file(scratch.path().join("removed.toml")).unwrap();
    fs::create_dir(scratch.path().join("empty")).unwrap();
    check_worktree(&scratch);
}

#[test]
fn what_was_ignored_but_is_tracked_stays() {
    let scratch = Scratch::new();
    scratch.write("out.stl", "solid\n").commit("First");
    scratch
        .write(".gitignore", "*.stl\n")
        .write("out.stl", "changed\n")
        .write("other.stl", "ignored\n");
    check_worktree(&scratch);
}

#[test]
fn before_the_first_commit_everything_is_untracked() {
    let scratch = Scratch::new();
    scratch.write("tagworthy.toml", "[design]\n").write("parts/felt.toml", "[part.felt]\n");
    check_worktree(&scratch);
}

#[test]
fn a_change_within_the_second_of_the_index_is_seen() {
    let scratch = Scratch::new();
    scratch.write("a.toml", "one\n");
    scratch.git(&["add", "."]);
    // The same length, and most likely the same second: only the content tells.
    scratch.write("a.toml", "two\n");
    check_worktree(&scratch);
}

#[test]
fn an_unchanged_file_is_not_read() {
    let scratch = Scratch::new();
    scratch.write("big.stl", "solid\n");
    let past = std::time::UNIX_EPOCH + std::time::Duration::from_secs(1_700_000_000);
    let file = fs::File::options().write(true).open(scratch.path().join("big.stl")).unwrap();
    file.set_modified(past).unwrap();
    scratch.git(&["-c", "core.trustctime=false", "add", "."]);
    let staged = scratch.git(&["ls-files", "--stage", "-z"]);
    // Another content behind the same stat data (but ctime, which isn't trusted here).
    scratch.git(&["config", "core.trustctime", "false"]);
    fs::write(scratch.path().join("big.stl"), "SOLID\n").unwrap();
    file.set_modified(past).unwrap();
    check_paths(&scratch, "WORKTREE", &staged);
}

#[test]
fn assumed_and_skipped_paths_are_taken_from_the_index() {
    let scratch = Scratch::new();
    scratch.write("assumed.toml", "1").write("skipped.toml", "1").commit("First");
    let staged = scratch.git(&["ls-files", "--stage", "-z"]);
    scratch.git(&["update-index", "--assume-unchanged", "assumed.toml"]);
    scratch.git(&["update-index", "--skip-worktree", "skipped.toml"]);
    scratch.write("assumed.toml", "22").write("skipped.toml", "22");
    check_paths(&scratch, "WORKTREE", &staged);
    assert_eq!(ask(&scratch, Question::Content("WORKTREE", "assumed.toml", 9)), "1");
}

#[test]
fn a_sparse_checkout_is_whole() {
    let scratch = Scratch::new();
    scratch.write("parts/a.toml", "1").write("docs/b.md", "2").write("c.md", "3").commit("First");
    scratch.git(&["sparse-checkout", "set", "parts"]);
    assert!(!scratch.path().join("docs").exists());
    check_worktree(&scratch);
    assert_eq!(ask(&scratch, Question::Content("WORKTREE", "docs/b.md", 9)), "2");
}

#[test]
fn announced_paths_are_what_lies_there() {
    let scratch = Scratch::new();
    scratch.write("a.toml", "1").commit("First").write("b.toml", "2");
    scratch.git(&["add", "--intent-to-add", "b.toml"]);
    check_worktree(&scratch);
}

#[test]
fn nested_repositories_are_not_entered() {
    let scratch = Scratch::new();
    scratch.write("a.toml", "1").commit("First");
    let nested = scratch.path().join("nested");
    fs::create_dir(&nested).unwrap();
    scratch.git_in(&nested, &["init", "--quiet"]);
    fs::write(nested.join("b.toml"), "2").unwrap();
    check_paths(&scratch, "WORKTREE", &scratch.git(&["ls-files", "--stage", "-z"]));
}

#[test]
fn the_content_read_is_that_of_the_key() {
    let scratch = Scratch::new();
    scratch.write("a.toml", "committed\n").commit("First");
    assert_eq!(ask(&scratch, Question::Content("WORKTREE", "a.toml", 99)), "committed\n");
    scratch.write("a.toml", "on disk\n").write("b.toml", "untracked\n");
    assert_eq!(ask(&scratch, Question::Content("WORKTREE", "a.toml", 99)), "on disk\n");
    assert_eq!(ask(&scratch, Question::Content("WORKTREE", "b.toml", 99)), "untracked\n");
    assert_eq!(ask(&scratch, Question::Content("WORKTREE", "b.toml", 9)), "10 bytes are too many");
    assert_eq!(ask(&scratch, Question::Content("INDEX", "a.toml", 99)), "committed\n");
}

#[cfg(unix)]
mod unix {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::symlink;

    use super::*;

    #[test]
    fn links_are_named_and_never_followed() {
        let scratch = Scratch::new();
        fs::write(scratch.folder("secret.toml"), "outside\n").unwrap();
        symlink("../secret.toml", scratch.path().join("staged-link")).unwrap();
        scratch.write("was-file.toml", "1").commit("First");
        symlink("/etc/hostname", scratch.path().join("new-link")).unwrap();
        fs::remove_file(scratch.path().join("was-file.toml")).unwrap();
        symlink("../secret.toml", scratch.path().join("was-file.toml")).unwrap();
        check_worktree(&scratch);
        for path in ["staged-link", "new-link", "was-file.toml"] {
            assert_eq!(ask(&scratch, Question::Content("WORKTREE", path, 99)), "no file");
        }
    }

    #[test]
    fn nothing_behind_a_linked_folder_is_read() {
        let scratch = Scratch::new();
        scratch.write("parts/a.toml", "1").commit("First");
        let outside = scratch.folder("outside");
        fs::create_dir(&outside).unwrap();
        fs::write(outside.join("a.toml"), "outside\n").unwrap();
        fs::remove_dir_all(scratch.path().join("parts")).unwrap();
        symlink(&outside, scratch.path().join("parts")).unwrap();
        check_worktree(&scratch);
    }

    #[test]
    fn a_file_may_become_a_folder_and_a_folder_a_file() {
        let scratch = Scratch::new();
        scratch.write("file", "1").write("folder/a.toml", "2").commit("First");
        fs::remove_file(scratch.path().join("file")).unwrap();
        fs::remove_dir_all(scratch.path().join("folder")).unwrap();
        scratch.write("file/b.toml", "3").write("folder", "4");
        check_worktree(&scratch);
    }

    #[test]
    fn a_path_need_not_be_utf_8() {
        let scratch = Scratch::new();
        let name = OsStr::from_bytes(b"gr\xfcn.toml");
        fs::write(scratch.path().join(name), "[part.green]\n").unwrap();
        check_worktree(&scratch);
        scratch.commit("First");
        check_paths(&scratch, "INDEX", &scratch.git(&["ls-files", "--stage", "-z"]));
        check_paths(&scratch, "HEAD", &scratch.git(&["ls-tree", "-r", "-z", "HEAD"]));
    }

    #[test]
    fn a_pipe_is_no_file() {
        let scratch = Scratch::new();
        scratch.write("a.toml", "1").write("b.toml", "2").commit("First");
        fs::remove_file(scratch.path().join("b.toml")).unwrap();
        for name in ["b.toml", "c.toml"] {
            let made = scratch.command("mkfifo", &scratch.path()).arg(name).status().unwrap();
            assert!(made.success());
        }
        let id = scratch.git_line(&["rev-parse", "HEAD:a.toml"]);
        assert_eq!(ask(&scratch, Question::Paths("WORKTREE")), format!("file {id} a.toml\n"));
    }
}
