//! The paths of revisions.

use crate::ask::{Question, ask, check_paths};
use crate::common::Scratch;

fn check_revision(scratch: &Scratch, revision: &str) {
    check_paths(scratch, revision, &scratch.git(&["ls-tree", "-r", "-z", revision]));
}

#[test]
fn a_revision_is_what_ls_tree_says() {
    let scratch = Scratch::new();
    // Names around the slash in byte order: a tree is sorted as if a folder's name ended in one.
    scratch
        .write("a/b.toml", "1")
        .write("a.toml", "2")
        .write("a-b", "3")
        .write("a0", "4")
        .commit("First");
    scratch.write("a/c/d/e.toml", "5").write("run.sh", "#!/bin/sh\n").commit("Second");
    scratch.git(&["update-index", "--chmod=+x", "run.sh"]);
    scratch.git(&["commit", "--quiet", "--message", "Third"]);
    scratch.git(&["tag", "--annotate", "v1.0.0", "--message", "One", "HEAD~1"]);
    for revision in ["HEAD", "HEAD~2", "v1.0.0", "main^", "HEAD:a"] {
        check_revision(&scratch, revision);
    }
    scratch.git(&["repack", "-a", "-d", "--quiet"]);
    check_revision(&scratch, "HEAD");
}

#[test]
fn an_empty_commit_holds_nothing() {
    let scratch = Scratch::new();
    scratch.commit("Nothing yet");
    check_paths(&scratch, "HEAD", b"");
}

#[test]
fn a_sha256_repository_is_read() {
    let scratch = Scratch::with_init(&["--object-format=sha256"]);
    scratch.write("parts/felt.toml", "[part.felt]\n").commit("First");
    check_revision(&scratch, "HEAD");
    check_paths(&scratch, "INDEX", &scratch.git(&["ls-files", "--stage", "-z"]));
    scratch.write("parts/felt.toml", "[part.felt]\ntitle = \"Felt\"\n");
    let id = scratch.git_line(&["hash-object", "parts/felt.toml"]);
    assert_eq!(ask(&scratch, Question::Paths("WORKTREE")), format!("file {id} parts/felt.toml\n"));
}

#[test]
fn names_that_mean_nothing_are_told() {
    let scratch = Scratch::new();
    scratch.write("a.toml", "").commit("First");
    scratch.git(&["tag", "v0.9.0"]);
    let said = |revision: &str| ask(&scratch, Question::Paths(revision)).to_string();
    // One line each, that says what to do.
    let near = "error: `v0.9.1` names no commit here: no branch, tag or commit is called so; did you mean \
                `v0.9.0`?";
    assert_eq!(said("v0.9.1").trim_end(), near);
    assert!(said("summer").trim_end().ends_with("called so; known here: main, v0.9.0"));
    let parent = "error: `HEAD~9` names no commit here: ";
    assert!(said("HEAD~9").starts_with(parent) && said("HEAD~9").contains("out of range"));
    let open = "error: `HEAD^{tree` names no commit here: unclosed brace pair";
    assert_eq!(said("HEAD^{tree").trim_end(), open);
    let file = said("HEAD:a.toml");
    assert!(file.starts_with("error: `HEAD:a.toml` names no commit here: "), "{file}");
}

#[test]
fn a_shallow_clone_says_where_the_rest_is() {
    let scratch = Scratch::new();
    scratch.write("a.toml", "1").commit("First").write("a.toml", "2").commit("Second");
    let clone = scratch.folder("clone");
    let source = format!("file://{}", scratch.path().display());
    scratch.git(&["clone", "--quiet", "--depth=1", &source, clone.to_str().unwrap()]);
    let error = crate::ask::ask_in(&scratch, &clone, Question::Paths("HEAD~1")).to_string();
    assert!(error.ends_with("`git fetch --unshallow` brings the rest"), "{error}");
}

#[test]
fn a_partial_clone_names_what_was_not_fetched() {
    let scratch = Scratch::new();
    scratch.write("a.toml", "1").commit("First");
    scratch.git(&["config", "uploadpack.allowFilter", "true"]);
    let clone = scratch.folder("clone");
    let source = format!("file://{}", scratch.path().display());
    scratch.git(&[
        "clone",
        "--quiet",
        "--filter=blob:none",
        "--no-checkout",
        &source,
        clone.to_str().unwrap(),
    ]);
    let id = scratch.git_line(&["rev-parse", "HEAD:a.toml"]);
    let error = crate::ask::ask_in(&scratch, &clone, Question::Content("HEAD", "a.toml", 9));
    assert_eq!(
        error,
        format!(
            "error: object {id} is missing from the repository; \
             fetch it, for example with `git fetch --refetch`"
        )
    );
}
