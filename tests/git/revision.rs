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

#[test]
fn what_a_history_brings_is_what_rev_list_says() {
    let scratch = with_side_branch();
    scratch.git(&["merge", "--quiet", "--no-ff", "--no-edit", "side"]);
    for (old, new) in [("HEAD~2", "HEAD"), ("HEAD", "HEAD"), ("side", "main"), ("main~1", "side")] {
        let listed = scratch.git(&["rev-list", &format!("{old}..{new}")]);
        let sorted = |ids: &[u8]| {
            let mut ids: Vec<_> = ids.split(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect();
            ids.sort();
            ids
        };
        // All were made in the same second: their order says nothing.
        assert_eq!(
            sorted(&ask(&scratch, Question::Since(old, new))),
            sorted(&listed),
            "{old}..{new}"
        );
    }
}

#[test]
fn parents_references_and_what_tags_lead_to_are_what_rev_parse_says() {
    let scratch = with_side_branch();
    let of = |revision: &str| scratch.git_line(&["rev-parse", revision]);
    assert_eq!(ask(&scratch, Question::Parent("main")), of("main^1"));
    assert_eq!(ask(&scratch, Question::Parent("main~1")), "nothing");
    scratch.git(&["tag", "--annotate", "v0.2.0", "--message", "Two"]);
    scratch.git(&["tag", "--annotate", "again", "--message", "A tag of a tag", "v0.2.0"]);
    scratch.git(&["tag", "of-a-file", "HEAD:a.toml"]);
    assert_eq!(ask(&scratch, Question::Reference("refs/tags/v0.2.0")), of("v0.2.0"));
    assert_eq!(ask(&scratch, Question::Reference("refs/tags/v0.3.0")), "nothing");
    assert_eq!(ask(&scratch, Question::Reference("HEAD")), "nothing", "it names a branch");
    assert_eq!(ask(&scratch, Question::Behind(&of("again"))), of("main"));
    assert_eq!(ask(&scratch, Question::Behind(&of("of-a-file"))), "nothing");
}

#[test]
fn a_history_holds_what_merge_base_says() {
    let scratch = with_side_branch();
    let of = |revision: &str| scratch.git_line(&["rev-parse", revision]);
    for (wanted, tip) in [("main~1", "side"), ("main", "side"), ("side", "side"), ("side", "main")]
    {
        let is_ancestor = ["merge-base", "--is-ancestor", wanted, tip];
        let holds = scratch.try_git_in(&scratch.path(), &is_ancestor).status.success();
        let found = ask(&scratch, Question::Reached(&of(wanted), &of(tip)));
        assert_eq!(found, holds.to_string(), "{wanted} in {tip}");
    }
    let nowhere = "1".repeat(40);
    assert_eq!(ask(&scratch, Question::Reached(&of("main"), &nowhere)), "false");
}
