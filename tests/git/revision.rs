//! Commits, tags and their order.

use crate::ask::{Question, ask};
use crate::common::Scratch;

fn with_side_branch() -> Scratch {
    let scratch = Scratch::new();
    scratch.write("a.toml", "1").commit("Start the ledger\n\nA longer text.");
    scratch.git(&["checkout", "--quiet", "-b", "side"]);
    scratch.write("b.toml", "2").commit("Side");
    scratch.git(&["checkout", "--quiet", "main"]);
    scratch.write("c.toml", "3").commit("Main");
    scratch
}

#[test]
fn head_is_what_rev_parse_says() {
    let scratch = with_side_branch();
    assert_eq!(ask(&scratch, Question::Head), scratch.git_line(&["rev-parse", "HEAD"]));
    scratch.git(&["checkout", "--quiet", "--detach", "side"]);
    assert_eq!(ask(&scratch, Question::Head), scratch.git_line(&["rev-parse", "side"]));
}

#[test]
fn a_commit_is_described_as_log_does() {
    let mut scratch = with_side_branch();
    let format = "--format=Commit {%n    id: \"%H\",%n    short_id: \"%h\",%n    seconds: %ct,%n    \
        offset_seconds: 3600,%n    author: \"%an\",%n    subject: \"%s\",%n}";
    for revision in ["HEAD", "side", "HEAD~1"] {
        let expected = scratch.git_line(&["log", "-1", format, revision]);
        assert_eq!(ask(&scratch, Question::Describe(revision)), expected);
    }
    scratch.set("GIT_COMMITTER_DATE", "2026-04-05T06:07:08+01:00");
    scratch.git(&["tag", "--annotate", "v1", "--message", "One"]);
    let tagged = scratch.git_line(&["for-each-ref", "--format=%(taggerdate:unix)", "refs/tags/v1"]);
    let found = ask(&scratch, Question::Describe("v1")).to_string();
    assert!(found.contains(&format!("seconds: {tagged},")), "{found}");
}

#[test]
fn tags_are_those_of_commits() {
    let scratch = with_side_branch();
    scratch.git(&["tag", "v0.1.0", "HEAD~1"]);
    scratch.git(&["tag", "--annotate", "v0.2.0", "--message", "Two"]);
    scratch.git(&["tag", "--annotate", "again", "--message", "A tag of a tag", "v0.2.0"]);
    scratch.git(&["tag", "of-a-file", "HEAD:a.toml"]);
    let expected = |packed: &str| {
        let of = |revision| scratch.git_line(&["rev-parse", &format!("{revision}^{{commit}}")]);
        let lines = ["again", "v0.1.0", "v0.2.0"].map(|name| format!("{} {name}\n", of(name)));
        assert_eq!(ask(&scratch, Question::Tags), lines.concat(), "{packed}");
    };
    expected("loose");
    scratch.git(&["pack-refs", "--all"]);
    expected("packed");
}

#[test]
fn histories_part_where_git_says() {
    let scratch = with_side_branch();
    let expected = scratch.git_line(&["merge-base", "main", "side"]);
    assert_eq!(ask(&scratch, Question::MergeBase("main", "side")), expected);
    scratch.git(&["checkout", "--quiet", "--orphan", "apart"]);
    scratch.commit("Apart");
    assert_eq!(ask(&scratch, Question::MergeBase("main", "apart")), "nothing");
}
