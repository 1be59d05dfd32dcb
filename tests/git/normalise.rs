//! Keys of files on disk, line endings, large-file pointers and all.

use std::fs;

use crate::ask::{Question, ask, check_paths};
use crate::common::Scratch;
use crate::worktree::addable;

const LF: &str = "[part.felt]\ntitle = \"Felt\"\n";
const CRLF: &str = "[part.felt]\r\ntitle = \"Felt\"\r\n";

fn check_worktree(scratch: &Scratch) {
    check_paths(scratch, "WORKTREE", &addable(scratch));
}

#[test]
fn line_endings_by_attribute() {
    for attribute in [
        "text",
        "text=auto",
        "-text",
        "eol=crlf",
        "eol=lf",
        "text eol=crlf",
        "crlf",
        "-crlf",
        "crlf=input",
        "binary",
        "text=auto eol=crlf",
    ] {
        let scratch = Scratch::new();
        scratch
            .write(".gitattributes", format!("*.toml {attribute}\n"))
            .write("crlf.toml", CRLF)
            .write("lf.toml", LF)
            .write("mixed.toml", [LF, CRLF].concat())
            .write("lone.toml", "a\rb\r\n")
            .write("nul.toml", "a\0b\r\n")
            .write("empty.toml", "");
        check_worktree(&scratch);
    }
}

#[test]
fn line_endings_by_configuration() {
    for (key, value) in
        [("core.autocrlf", "true"), ("core.autocrlf", "input"), ("core.eol", "crlf")]
    {
        let scratch = Scratch::new();
        scratch.git(&["config", key, value]);
        scratch
            .write("crlf.toml", CRLF)
            .write("lf.toml", LF)
            .write("picture.png", b"\x89PNG\r\n\x1a\n\0");
        check_worktree(&scratch);
    }
}

#[test]
fn line_endings_that_were_stored_stay() {
    let scratch = Scratch::new();
    scratch.write("stored.toml", CRLF).commit("With CRLF");
    scratch.git(&["config", "core.autocrlf", "true"]);
    scratch.write("stored.toml", [CRLF, CRLF].concat()).write("new.toml", CRLF);
    check_worktree(&scratch);
}

#[test]
fn refusing_what_does_not_survive_is_left_to_git() {
    let scratch = Scratch::new();
    scratch.write(".gitattributes", "*.toml text\n").write("crlf.toml", CRLF);
    let expected = addable(&scratch);
    scratch.git(&["config", "core.safecrlf", "true"]);
    check_paths(&scratch, "WORKTREE", &expected);
}

#[test]
fn idents_are_folded_up() {
    let scratch = Scratch::new();
    scratch
        .write(".gitattributes", "*.md ident\n")
        .write("readme.md", "$Id: 0123456789abcdef $\n")
        .write("plain.md", "$Id$\nno $Id: of several\nlines $\n");
    check_worktree(&scratch);
}

#[test]
fn encodings_are_undone() {
    let scratch = Scratch::new();
    let utf16: Vec<u8> = "\u{feff}Größe\r\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    scratch
        .write(
            ".gitattributes",
            "*.txt text working-tree-encoding=UTF-16\n*.lat working-tree-encoding=ISO-8859-1\n",
        )
        .write("notes.txt", utf16)
        .write("notes.lat", b"Gr\xf6\xdfe\n");
    check_worktree(&scratch);
}

#[test]
fn an_unknown_encoding_leaves_content_as_it_is() {
    let scratch = Scratch::new();
    scratch
        .write(".gitattributes", "*.txt working-tree-encoding=martian\n")
        .write("notes.txt", "text\n");
    let found = ask(&scratch, Question::Content("WORKTREE", "notes.txt", 99));
    assert_eq!(found, "text\n");
}

#[test]
fn attributes_of_folders_and_of_the_repository_count() {
    let scratch = Scratch::new();
    scratch
        .write("sub/.gitattributes", "*.toml text\n")
        .write("sub/a.toml", CRLF)
        .write("a.toml", CRLF);
    fs::write(scratch.path().join(".git/info/attributes"), "*.csv text\n").unwrap();
    scratch.write("table.csv", "a;b\r\n");
    check_worktree(&scratch);
}

#[test]
fn content_is_read_as_git_stores_it() {
    let scratch = Scratch::new();
    scratch.write(".gitattributes", "*.toml text\n").write("a.toml", CRLF);
    assert_eq!(ask(&scratch, Question::Content("WORKTREE", "a.toml", 99)), LF);
    scratch.git(&["add", "."]);
    assert_eq!(ask(&scratch, Question::Content("INDEX", "a.toml", 99)), LF);
}

#[test]
fn no_filter_program_runs() {
    for setting in ["clean", "process", "smudge"] {
        let scratch = Scratch::new();
        scratch.write(".gitattributes", "*.toml filter=mine\n").write("a.toml", LF);
        scratch.git(&["config", &format!("filter.mine.{setting}"), "touch ../pwned; cat"]);
        scratch.git(&["config", "filter.mine.required", "true"]);
        scratch.git(&["config", "core.fsmonitor", "touch ../pwned"]);
        let id = scratch.git_line(&["hash-object", "--no-filters", "a.toml"]);
        let found = ask(&scratch, Question::Paths("WORKTREE")).to_string();
        assert!(found.contains(&format!("file {id} a.toml\n")), "{found}");
        assert_eq!(ask(&scratch, Question::Content("WORKTREE", "a.toml", 99)), LF);
        assert!(!scratch.folder("pwned").exists(), "{setting}");
    }
}

/// What the public specification of the pointer format has for a content of six bytes; the digest
/// is what `sha256sum` of GNU coreutils 9.1 prints for it.
const POINTER: &str = "version https://git-lfs.github.com/spec/v1\n\
    oid sha256:4d7236d5d2d3b632898d21fb894ba6b235e5faeb03c730710f83b56021b61fc0\n\
    size 6\n";

#[test]
fn a_large_file_has_the_key_of_its_pointer() {
    let scratch = Scratch::new();
    scratch
        .write(".gitattributes", "*.stl filter=lfs diff=lfs merge=lfs -text\n")
        .write("gate.stl", POINTER);
    // Stored the way the filter program would: as the pointer.
    scratch.git(&["-c", "filter.lfs.clean=cat", "add", "."]);
    let staged = scratch.git(&["ls-files", "--stage", "-z"]);
    // Not fetched, the pointer lies in the working tree; fetched, the content does.
    check_paths(&scratch, "WORKTREE", &staged);
    scratch.write("gate.stl", "solid\n");
    check_paths(&scratch, "WORKTREE", &staged);
    assert_eq!(ask(&scratch, Question::Content("WORKTREE", "gate.stl", 999)), POINTER);
    scratch.write("gate.stl", "other\n");
    assert_ne!(ask(&scratch, Question::Paths("WORKTREE")), crate::ask::as_paths(&staged));
}

#[test]
fn an_empty_large_file_is_its_own_pointer() {
    let scratch = Scratch::new();
    scratch.write(".gitattributes", "*.stl filter=lfs\n").write("gate.stl", "");
    check_worktree(&scratch);
}
