//! The index in every form that git writes it in.

use std::fs;

use crate::ask::{Question, ask, check_paths};
use crate::common::Scratch;

/// A small design with folders, a link and an executable file, staged but not committed.
fn lantern() -> Scratch {
    let scratch = Scratch::new();
    scratch
        .write("tagworthy.toml", "[design]\nname = \"lantern\"\n")
        .write("parts/film-gate.toml", "[part.film-gate]\n")
        .write("parts/film-gate.stl", vec![0; 200])
        .write("parts.md", "")
        .write("docs/assembly.md", "# Assembly\n");
    scratch.git(&["add", "."]);
    scratch
}

fn staged(scratch: &Scratch) -> Vec<u8> {
    scratch.git(&["ls-files", "--stage", "-z"])
}

#[test]
fn the_index_is_what_ls_files_says() {
    let scratch = lantern();
    check_paths(&scratch, "INDEX", &staged(&scratch));
}

#[test]
fn an_empty_repository_has_an_empty_index() {
    let scratch = Scratch::new();
    check_paths(&scratch, "INDEX", b"");
    assert_eq!(ask(&scratch, Question::Head), "unborn");
    let error = ask(&scratch, Question::Paths("HEAD"));
    assert_eq!(error, "error: there is no commit yet");
}

#[test]
fn version_4_and_split_indexes_are_read() {
    let scratch = lantern();
    scratch.git(&["update-index", "--index-version", "4"]);
    check_paths(&scratch, "INDEX", &staged(&scratch));
    scratch.git(&["update-index", "--index-version", "2", "--split-index"]);
    scratch.write("parts/felt.toml", "[part.felt]\n");
    scratch.git(&["add", "parts/felt.toml"]);
    scratch.git(&["rm", "--quiet", "--cached", "docs/assembly.md"]);
    check_paths(&scratch, "INDEX", &staged(&scratch));
}

#[test]
fn a_sparse_index_is_unfolded() {
    let scratch = lantern();
    scratch.write("docs/deep/er/notes.md", "x\n").commit("First");
    let everything = staged(&scratch);
    scratch.git(&["sparse-checkout", "set", "--cone", "--sparse-index", "parts"]);
    let folded = String::from_utf8(scratch.git(&["ls-files", "--stage", "--sparse"])).unwrap();
    assert!(folded.contains("docs/\n"), "{folded}");
    check_paths(&scratch, "INDEX", &everything);
    check_paths(&scratch, "WORKTREE", &everything);
}

#[test]
fn an_announced_path_is_not_in_the_index_yet() {
    let scratch = lantern();
    let before = staged(&scratch);
    scratch.write("parts/new.toml", "[part.new]\n");
    scratch.git(&["add", "--intent-to-add", "parts/new.toml"]);
    check_paths(&scratch, "INDEX", &before);
    scratch.git(&["add", "parts/new.toml"]);
    check_paths(&scratch, "INDEX", &staged(&scratch));
}

#[test]
fn conflicts_are_named() {
    let scratch = Scratch::new();
    scratch.write("a.toml", "base\n").write("b.toml", "base\n").commit("Base");
    scratch.git(&["checkout", "--quiet", "-b", "side"]);
    scratch.write("a.toml", "side\n").write("b.toml", "side\n").commit("Side");
    scratch.git(&["checkout", "--quiet", "main"]);
    scratch.write("a.toml", "main\n").write("b.toml", "main\n").commit("Main");
    scratch.try_git_in(&scratch.path(), &["merge", "side"]);
    let error = ask(&scratch, Question::Paths("INDEX"));
    insta::assert_snapshot!(error, @"error: a merge left conflicts in a.toml, b.toml; resolve them and `git add` the files");
    // The working tree is what lies on disk, marks of the conflict included.
    let found = ask(&scratch, Question::Content("WORKTREE", "a.toml", 1000));
    assert_eq!(found, fs::read(scratch.path().join("a.toml")).unwrap());
}

#[test]
fn the_index_that_git_names_is_read() {
    let mut scratch = lantern();
    let other = scratch.folder("other-index");
    fs::copy(scratch.path().join(".git/index"), &other).unwrap();
    scratch.write("later.toml", "");
    scratch.git(&["add", "later.toml"]);
    scratch.set("GIT_INDEX_FILE", &other);
    let listed = staged(&scratch);
    assert!(!String::from_utf8_lossy(&listed).contains("later.toml"));
    check_paths(&scratch, "INDEX", &listed);
}

#[test]
fn content_is_bounded() {
    let scratch = lantern();
    let read = |path, limit| ask(&scratch, Question::Content("INDEX", path, limit));
    assert_eq!(read("docs/assembly.md", 11), "# Assembly\n");
    assert_eq!(read("docs/assembly.md", 10), "11 bytes are too many");
    assert_eq!(read("docs", 10), "no file");
    assert_eq!(read("nowhere.toml", 10), "no file");
}

#[test]
fn an_object_beyond_the_bound_of_memory_is_not_unpacked() {
    let mut scratch = lantern();
    scratch.write("large.toml", vec![b'#'; 100_000]);
    scratch.git(&["add", "."]);
    // The bound as a setting, which is 256 MiB otherwise: too much for a test.
    scratch.set("GIT_ALLOC_LIMIT", "9999");
    let found = ask(&scratch, Question::Content("INDEX", "large.toml", 99_999));
    assert_eq!(found, "100000 bytes are too many");
    let error = ask(&scratch, Question::Content("INDEX", "large.toml", 100_000)).to_string();
    assert!(error.contains("exceeds the configured allocation limit of 9999 bytes"), "{error}");
}

#[test]
fn a_missing_object_is_named() {
    let scratch = lantern();
    let id = scratch.git_line(&["rev-parse", ":docs/assembly.md"]);
    fs::remove_file(scratch.path().join(".git/objects").join(&id[..2]).join(&id[2..])).unwrap();
    let error = ask(&scratch, Question::Content("INDEX", "docs/assembly.md", 100));
    assert_eq!(
        error,
        format!(
            "error: object {id} is missing from the repository; look for damage with `git fsck`"
        )
    );
}

#[test]
fn a_damaged_index_is_an_error() {
    let scratch = lantern();
    fs::write(scratch.path().join(".git/index"), b"DIRC, more or less").unwrap();
    let error = ask(&scratch, Question::Paths("INDEX")).to_string();
    assert!(error.starts_with("error: the index /"), "{error}");
}
