//! New repositories, inspected by git.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use tagworthy::fileset::RepoPath;
use tagworthy::git::{Error, Mark, NewBranch, NewCommit, NewFile, NewHistory, NewTag, create};

use crate::common::Scratch;

fn mark(name: &str, day: i64) -> Mark {
    let email = format!("{}@lantern.example", name.to_lowercase());
    Mark {
        name: name.to_owned(),
        email,
        seconds: 1_770_000_000 + day * 86_400,
        offset_seconds: -12_600,
    }
}

fn commit(parents: &[usize], message: &str, files: &[(&str, &str)]) -> NewCommit {
    let file = |content: &str| NewFile {
        content: content.as_bytes().into(),
        executable: content.starts_with("#!"),
    };
    NewCommit {
        parents: parents.to_vec(),
        files: files.iter().map(|&(path, content)| (RepoPath::from(path), file(content))).collect(),
        author: mark("Ada", parents.first().map_or(0, |&parent| parent as i64 + 1)),
        message: message.to_owned(),
    }
}

/// A branch that is merged, a tag, a script, and line endings of both kinds.
fn history() -> NewHistory {
    let first = ("parts/felt.toml", "[part.felt]\n");
    let script = ("tools/mesh.sh", "#!/bin/sh\n");
    NewHistory {
        commits: vec![
            commit(&[], "Start the ledger", &[first]),
            commit(&[0], "Add a script\n\nIt makes meshes.\n", &[first, script]),
            commit(
                &[0],
                "Add notes",
                &[first, ("notes.txt", "one\r\ntwo\r\n"), ("notes/a.txt", "deep\n")],
            ),
            commit(
                &[1, 2],
                "Merge the notes",
                &[first, script, ("notes.txt", "one\r\ntwo\r\n"), ("notes/a.txt", "deep\n")],
            ),
        ],
        branches: vec![
            NewBranch { name: "trunk".into(), commit: 3 },
            NewBranch { name: "try/notes".into(), commit: 2 },
        ],
        tags: vec![NewTag {
            name: "v0.1.0".into(),
            commit: 1,
            tagger: mark("Bo", 9),
            message: "First".into(),
        }],
        head: "trunk".into(),
    }
}

fn created(history: &NewHistory) -> Scratch {
    let scratch = Scratch::new();
    fs::remove_dir_all(scratch.path()).unwrap();
    create(&scratch.path(), history).unwrap();
    scratch
}

#[test]
fn git_finds_a_sound_and_clean_repository() {
    let scratch = created(&history());
    assert_eq!(scratch.git_line(&["fsck", "--strict", "--full", "--no-dangling"]), "");
    assert_eq!(scratch.git_line(&["status", "--porcelain", "--branch"]), "## trunk");
    for settings in ["core.autocrlf=true", "core.autocrlf=input", "core.eol=crlf"] {
        assert_eq!(scratch.git_line(&["-c", settings, "status", "--porcelain"]), "", "{settings}");
    }
    assert_eq!(fs::read(scratch.path().join("notes.txt")).unwrap(), b"one\r\ntwo\r\n");
}

#[test]
fn the_history_is_the_one_that_was_given() {
    let scratch = created(&history());
    let graph = scratch.git_line(&["log", "--graph", "--format=%s, %an, %ai%d", "trunk"]);
    insta::assert_snapshot!(graph, @r"
    *   Merge the notes, Ada, 2026-02-03 23:10:00 -0330 (HEAD -> trunk)
    |\  
    | * Add notes, Ada, 2026-02-02 23:10:00 -0330 (try/notes)
    * | Add a script, Ada, 2026-02-02 23:10:00 -0330 (tag: v0.1.0)
    |/  
    * Start the ledger, Ada, 2026-02-01 23:10:00 -0330
    ");
    let files = scratch.git_line(&["ls-tree", "-r", "--format=%(objectmode) %(path)", "trunk"]);
    insta::assert_snapshot!(files, @r"
    100644 notes.txt
    100644 notes/a.txt
    100644 parts/felt.toml
    100755 tools/mesh.sh
    ");
    let tag = scratch.git_line(&["cat-file", "tag", "v0.1.0"]);
    assert!(tag.ends_with("tagger Bo <bo@lantern.example> 1770777600 -0330\n\nFirst"), "{tag}");
}

#[test]
fn the_ids_are_those_that_git_gives() {
    let scratch = created(&history());
    // The same first commit, made by git.
    let mut git = Scratch::new();
    for (name, value) in
        [("NAME", "Ada"), ("EMAIL", "ada@lantern.example"), ("DATE", "1770000000 -0330")]
    {
        git.set(&format!("GIT_AUTHOR_{name}"), value);
        git.set(&format!("GIT_COMMITTER_{name}"), value);
    }
    git.write("parts/felt.toml", "[part.felt]\n").commit("Start the ledger");
    assert_eq!(scratch.git_line(&["rev-parse", "v0.1.0~1"]), git.git_line(&["rev-parse", "HEAD"]));
    // And the same again.
    let again = created(&history());
    let ids = |scratch: &Scratch| scratch.git_line(&["for-each-ref"]);
    assert_eq!(ids(&scratch), ids(&again));
}

#[test]
fn a_folder_with_something_in_it_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("kept"), "").unwrap();
    let error = create(folder.path(), &history()).unwrap_err();
    assert!(matches!(error, Error::NotEmpty { .. }), "{error}");
    let error = create(&folder.path().join("kept"), &history()).unwrap_err();
    assert!(matches!(error, Error::NotEmpty { .. }), "{error}");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    let empty = tempfile::tempdir().unwrap();
    create(empty.path(), &history()).unwrap();
    let far_below = empty.path().join("not/there/yet");
    create(&far_below, &history()).unwrap();
    assert!(far_below.join(".git").is_dir());
    let error = create(&folder.path().join("kept/below"), &history()).unwrap_err().to_string();
    assert_eq!(error.lines().count(), 1, "{error}");
}

#[test]
fn a_history_that_git_can_not_hold_is_refused_before_anything_is_written() {
    let refused = |change: &dyn Fn(&mut NewHistory)| {
        let folder = tempfile::tempdir().unwrap();
        let mut history = history();
        change(&mut history);
        let error = create(folder.path(), &history).unwrap_err();
        assert!(matches!(error, Error::InvalidHistory { .. }), "{error}");
        assert!(is_empty(folder.path()), "{error}");
        error.to_string()
    };
    let file = || NewFile { content: b"x"[..].into(), executable: false };
    for path in
        ["../out", "/etc/x", ".git/config", "a//b", "", "parts", "a/.GIT/b", "tools/mesh.sh/x"]
    {
        let error = refused(&|history| {
            history.commits[1].files.insert(path.into(), file());
            if path == "parts" {
                history.commits[1].files.insert("parts/x".into(), file());
            }
        });
        assert!(error.starts_with("git can't hold this history: `"), "{error}");
    }
    refused(&|history| history.commits[0].parents = vec![0]);
    refused(&|history| history.commits[0].author.name = "A <B>".into());
    refused(&|history| history.commits[0].author.offset_seconds = 30);
    refused(&|history| history.commits[0].message = "a\0b".into());
    refused(&|history| history.branches[0].commit = 4);
    refused(&|history| history.branches[0].name = "a..b".into());
    refused(&|history| history.tags[0].name = "".into());
    refused(&|history| history.head = "no such branch".into());
}

fn is_empty(folder: &Path) -> bool {
    fs::read_dir(folder).unwrap().next().is_none()
}

#[test]
fn sixty_commits_of_sixty_files_take_no_time_to_speak_of() {
    let mut commits = Vec::new();
    for number in 0..60_usize {
        let mut files = BTreeMap::new();
        for part in 0..60 {
            let content = format!(
                "[part.p{part}]\nmass = \"{} g\"\n",
                if part == number { number } else { 1 }
            );
            let file = NewFile { content: content.into_bytes().into(), executable: false };
            files.insert(RepoPath::new(format!("parts/p{part}.toml")), file);
        }
        let parents = number.checked_sub(1).into_iter().collect();
        commits.push(NewCommit {
            parents,
            files,
            author: mark("Ada", number as i64),
            message: "On".into(),
        });
    }
    let branches = vec![NewBranch { name: "main".into(), commit: 59 }];
    let scratch = created(&NewHistory { commits, branches, tags: vec![], head: "main".into() });
    assert_eq!(scratch.git_line(&["rev-list", "--count", "HEAD"]), "60");
    assert_eq!(scratch.git_line(&["status", "--porcelain"]), "");
}
