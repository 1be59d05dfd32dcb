//! Settings that a surrounding git was given for one command: `git -c`, and those of its environment.

use crate::ask::{Question, ask, check_paths};
use crate::common::Scratch;
use crate::worktree::addable;

/// A repository for all that follows, as if git had been given `settings`, in git's own words for it.
fn given(settings: &[&str]) -> Scratch {
    let mut scratch = Scratch::new();
    let print = "alias.print=!printf %s \"$GIT_CONFIG_PARAMETERS\"";
    let mut arguments: Vec<&str> = settings.iter().flat_map(|setting| ["-c", setting]).collect();
    arguments.extend(["-c", print, "print"]);
    let list = String::from_utf8(scratch.git(&arguments)).unwrap();
    assert!(!list.is_empty());
    scratch.set("GIT_CONFIG_PARAMETERS", list);
    scratch
}

#[test]
fn values_are_those_that_git_reads() {
    for (key, value) in [
        ("core.commentChar", ";"),
        ("core.commentchar", "auto"),
        ("commit.cleanup", "scissors"),
        ("user.name", "Ada \"Frame\" O'Hara!"),
        ("lfs.storage", "/some where/else=here"),
        ("branch.it's a.remote", "b # no comment ; neither"),
        ("commit.cleanup", ""),
        ("user.name", "one\ntwo \\ three"),
    ] {
        let scratch = given(&["a.b=1", &format!("{key}={value}"), "core.x"]);
        assert_eq!(scratch.git_line(&["config", "--get", key]), value.trim_end(), "{key}");
        assert_eq!(ask(&scratch, Question::Setting(key)), value, "{key}");
    }
}

#[test]
fn the_command_counts_before_the_environment_and_that_before_files() {
    let mut scratch = given(&["commit.cleanup=strip"]);
    scratch.git(&["config", "commit.cleanup", "verbatim"]);
    assert_eq!(ask(&scratch, Question::Setting("commit.cleanup")), "strip");
    scratch.set("GIT_CONFIG_COUNT", "2");
    for (number, key, value) in [(0, "commit.cleanup", "default"), (1, "user.name", "Marta")] {
        scratch.set(&format!("GIT_CONFIG_KEY_{number}"), key);
        scratch.set(&format!("GIT_CONFIG_VALUE_{number}"), value);
    }
    for key in ["commit.cleanup", "user.name"] {
        let git = scratch.git_line(&["config", "--get", key]);
        assert_eq!(ask(&scratch, Question::Setting(key)), git, "{key}");
    }
    scratch.set("GIT_DIR", scratch.path().join(".git"));
    assert_eq!(ask(&scratch, Question::Setting("commit.cleanup")), "strip");
    assert_eq!(ask(&scratch, Question::Setting("user.name")), "Marta");
}

#[test]
fn line_ends_are_those_that_git_would_store() {
    for setting in ["core.autocrlf=true", "core.autocrlf=input", "core.eol=crlf"] {
        let scratch = given(&[setting, "core.safecrlf=false"]);
        scratch
            .write(".gitattributes", "*.txt text=auto\n")
            .write("crlf.toml", "[part.felt]\r\n")
            .write("crlf.txt", "felt\r\n");
        check_paths(&scratch, "WORKTREE", &addable(&scratch));
    }
}

#[test]
fn tags_are_signed_and_made_as_git_was_told() {
    let scratch = given(&["tag.gpgSign", "core.hooksPath=team-hooks"]);
    assert_eq!(ask(&scratch, Question::Signs), "true");
    let folder = scratch.path().join("team-hooks");
    assert_eq!(ask(&scratch, Question::Hooks), format!("WorkTree {}", folder.display()));
}

#[test]
fn what_a_repository_is_it_says_itself() {
    for setting in [
        "core.bare=true",
        "core.worktree=/",
        "core.repositoryFormatVersion=7",
        "extensions.refStorage=reftable",
        "extensions.objectFormat=sha256",
    ] {
        let scratch = given(&[setting]);
        scratch.write("notes.txt", "to do");
        check_paths(&scratch, "WORKTREE", &addable(&scratch));
        assert_eq!(ask(&scratch, Question::Head), "unborn", "{setting}");
    }
}

#[test]
fn what_git_would_not_take_holds_nobody_up() {
    for list in
        ["", "nonsense", "'nonsense'='1'", "'a.b'='1", "'1.2.3'='4'", "'.'='' '..'= '='='='"]
    {
        let mut scratch = Scratch::new();
        scratch.set("GIT_CONFIG_PARAMETERS", list);
        assert_eq!(ask(&scratch, Question::Head), "unborn", "{list}");
    }
}
