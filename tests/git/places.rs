//! Where a repository can be, and who may read it.

use std::fs;

use crate::ask::{Question, as_paths, ask, ask_in};
use crate::common::Scratch;

fn committed() -> Scratch {
    let scratch = Scratch::new();
    scratch
        .write("tagworthy.toml", "[design]\n")
        .write("parts/felt.toml", "[part.felt]\n")
        .commit("First");
    scratch
}

fn tree(scratch: &Scratch) -> bstr::BString {
    as_paths(&scratch.git(&["ls-tree", "-r", "-z", "HEAD"]))
}

#[test]
fn no_repository_is_told() {
    let scratch = Scratch::new();
    let error = ask_in(&scratch, &scratch.home(), Question::Head);
    let expected = format!(
        "error: no git repository in {} or above it; run this inside one, or start one with `git init`",
        scratch.home().display()
    );
    assert_eq!(error, expected);
}

#[test]
fn a_subdirectory_sees_the_whole_repository() {
    let scratch = committed();
    let parts = scratch.path().join("parts");
    for at in ["HEAD", "INDEX", "WORKTREE"] {
        assert_eq!(ask_in(&scratch, &parts, Question::Paths(at)), tree(&scratch), "{at}");
    }
    assert_eq!(ask_in(&scratch, &parts, Question::Prefix), "parts");
    assert_eq!(ask(&scratch, Question::Prefix), "");
}

#[test]
fn a_linked_worktree_has_its_own_index_and_files() {
    let scratch = committed();
    let linked = scratch.folder("linked");
    scratch.git(&["worktree", "add", "--quiet", "-b", "other", linked.to_str().unwrap()]);
    fs::write(linked.join("new.toml"), "[part.new]\n").unwrap();
    scratch.git_in(&linked, &["add", "."]);
    let staged = as_paths(&scratch.git_in(&linked, &["ls-files", "--stage", "-z"]));
    assert_eq!(ask_in(&scratch, &linked, Question::Paths("INDEX")), staged);
    assert_eq!(ask_in(&scratch, &linked, Question::Paths("WORKTREE")), staged);
    assert_eq!(ask(&scratch, Question::Paths("INDEX")), tree(&scratch));
}

#[test]
fn a_bare_repository_has_revisions_only() {
    let scratch = committed();
    let bare = scratch.folder("bare.git");
    let path = scratch.path();
    scratch.git(&["clone", "--quiet", "--bare", path.to_str().unwrap(), bare.to_str().unwrap()]);
    assert_eq!(ask_in(&scratch, &bare, Question::Paths("HEAD")), tree(&scratch));
    let expected = format!(
        "error: the repository at {} has no working tree; name a revision instead",
        bare.display()
    );
    for at in ["INDEX", "WORKTREE"] {
        assert_eq!(ask_in(&scratch, &bare, Question::Paths(at)), expected);
    }
}

#[test]
fn a_submodule_is_a_repository_and_an_entry() {
    let scratch = committed();
    let source = Scratch::new();
    source.write("clip.toml", "[part.clip]\n").commit("First");
    let url = source.path();
    let add = [
        "-c",
        "protocol.file.allow=always",
        "submodule",
        "--quiet",
        "add",
        url.to_str().unwrap(),
        "clips",
    ];
    scratch.git(&add);
    scratch.git(&["commit", "--quiet", "--message", "Take the clips"]);
    let clips = scratch.path().join("clips");
    for at in ["HEAD", "INDEX", "WORKTREE"] {
        assert_eq!(ask(&scratch, Question::Paths(at)), tree(&scratch), "{at}");
        let inside = as_paths(&scratch.git_in(&clips, &["ls-tree", "-r", "-z", "HEAD"]));
        assert_eq!(ask_in(&scratch, &clips, Question::Paths(at)), inside, "{at}");
    }
    // Another commit checked out in it is a change of the working tree.
    scratch.git_in(&clips, &["commit", "--quiet", "--allow-empty", "--message", "On"]);
    let expected = as_paths(&crate::worktree::addable(&scratch));
    assert_eq!(ask(&scratch, Question::Paths("WORKTREE")), expected);
    assert_ne!(expected, tree(&scratch));
}

#[test]
fn a_surrounding_git_names_the_repository() {
    let mut scratch = committed();
    let elsewhere = scratch.folder("elsewhere");
    fs::create_dir(&elsewhere).unwrap();
    fs::write(elsewhere.join("only.toml"), "[part.only]\n").unwrap();
    scratch.set("GIT_DIR", scratch.path().join(".git"));
    // Without GIT_WORK_TREE the current folder is the working tree.
    let id = scratch.git_line(&["hash-object", elsewhere.join("only.toml").to_str().unwrap()]);
    let found = ask_in(&scratch, &elsewhere, Question::Paths("WORKTREE"));
    assert_eq!(found, format!("file {id} only.toml\n"));
    scratch.set("GIT_WORK_TREE", scratch.path());
    assert_eq!(ask_in(&scratch, &elsewhere, Question::Paths("WORKTREE")), tree(&scratch));
    assert_eq!(ask_in(&scratch, &elsewhere, Question::Paths("INDEX")), tree(&scratch));
    scratch.set("GIT_DIR", ".git");
    assert_eq!(ask(&scratch, Question::Paths("WORKTREE")), tree(&scratch));
    scratch.set("GIT_COMMON_DIR", &elsewhere);
    let error = ask(&scratch, Question::Head).to_string();
    assert!(error.contains("another common directory by GIT_COMMON_DIR"), "{error}");
}

#[test]
fn a_hook_in_a_linked_worktree_finds_its_repository() {
    let scratch = committed();
    let linked = scratch.folder("linked");
    scratch.git(&["worktree", "add", "--quiet", "-b", "other", linked.to_str().unwrap()]);
    let seen = scratch.folder("seen");
    let hook = format!("#!/bin/sh\nenv | grep ^GIT_ | grep -v _DATE > {}\n", seen.display());
    let hooks = scratch.path().join(".git/hooks");
    fs::create_dir_all(&hooks).unwrap();
    fs::write(hooks.join("pre-commit"), hook).unwrap();
    let made = scratch.command("chmod", &hooks).args(["+x", "pre-commit"]).status().unwrap();
    assert!(made.success());
    fs::create_dir(linked.join("sub")).unwrap();
    scratch.git_in(
        &linked.join("sub"),
        &["commit", "--quiet", "--allow-empty", "--message", "Second"],
    );
    let mut inside = Scratch::new();
    for line in fs::read_to_string(seen).unwrap().lines() {
        let (name, value) = line.split_once('=').unwrap();
        inside.set(name, value);
    }
    assert_eq!(ask_in(&inside, &linked, Question::Paths("INDEX")), tree(&scratch));
    assert_eq!(ask_in(&inside, &linked, Question::Paths("WORKTREE")), tree(&scratch));
}

#[test]
fn references_in_tables_are_refused() {
    let scratch = Scratch::new();
    let made = scratch
        .try_git_in(&scratch.home(), &["init", "--quiet", "--ref-format=reftable", "tables"]);
    if !made.status.success() {
        return; // git before 2.45 can't make one
    }
    let tables = scratch.home().join("tables");
    let error = ask_in(&scratch, &tables, Question::Head).to_string();
    assert!(
        error.ends_with("uses the reference storage `reftable`, which can't be read here"),
        "{error}"
    );
}

#[cfg(unix)]
#[test]
fn a_repository_of_another_owner_is_refused_as_git_does() {
    use std::os::unix::fs::chown;
    let scratch = committed();
    let folders = [scratch.path(), scratch.path().join(".git")];
    if folders.iter().any(|folder| chown(folder, Some(12_345), None).is_err()) {
        return; // only the superuser can give a repository away
    }
    assert!(!scratch.try_git_in(&scratch.path(), &["status"]).status.success());
    let expected = format!(
        "error: the repository at {0} belongs to another user; \
         if you trust it, run `git config --global --add safe.directory {0}`",
        scratch.path().display()
    );
    assert_eq!(ask(&scratch, Question::Paths("HEAD")), expected);
    let path = scratch.path();
    scratch
        .git_in(&scratch.home(), &["config", "--global", "safe.directory", path.to_str().unwrap()]);
    assert_eq!(ask(&scratch, Question::Paths("HEAD")), tree(&scratch));
    assert_eq!(ask(&scratch, Question::Paths("WORKTREE")), tree(&scratch));
}

#[test]
fn hooks_are_where_git_looks_for_them() {
    let scratch = committed();
    let check = |reach: &str, folder: &std::path::Path| {
        let expected = format!("{reach} {}", folder.display());
        assert_eq!(ask(&scratch, Question::Hooks), expected);
        assert_eq!(ask_in(&scratch, &scratch.path().join("parts"), Question::Hooks), expected);
    };
    check("Repository", &scratch.path().join(".git/hooks"));
    scratch.git(&["config", "core.hooksPath", "team-hooks"]);
    check("WorkTree", &scratch.path().join("team-hooks"));
    scratch.git(&["config", "core.hooksPath", "~/hooks"]);
    check("Shared", &scratch.home().join("hooks"));
    let absolute = scratch.folder("all-hooks");
    scratch.git(&["config", "core.hooksPath", absolute.to_str().unwrap()]);
    check("Shared", &absolute);
}

#[test]
fn a_linked_worktree_shares_its_hooks() {
    let scratch = committed();
    let linked = scratch.folder("linked");
    scratch.git(&["worktree", "add", "--quiet", "-b", "other", linked.to_str().unwrap()]);
    let git =
        scratch.git_in(&linked, &["rev-parse", "--path-format=absolute", "--git-path", "hooks"]);
    let found = ask_in(&scratch, &linked, Question::Hooks).to_string();
    let (reach, folder) = found.split_once(' ').unwrap();
    assert_eq!(reach, "Repository");
    let real = |path: &str| std::path::Path::new(path).parent().unwrap().canonicalize().unwrap();
    assert_eq!(real(folder), real(std::str::from_utf8(&git).unwrap().trim()));
}
