//! Annotated tags: read as git wrote them, and written as git reads them.

use crate::ask::{Question, ask};
use crate::common::Scratch;

fn with_commit() -> Scratch {
    let scratch = Scratch::new();
    scratch.write("a.toml", "1").commit("First");
    scratch
}

#[test]
fn a_tag_is_read_with_its_message() {
    let scratch = with_commit();
    scratch.git(&["tag", "--annotate", "v1.0.0", "--message", "One\n\n# kept?\nlast"]);
    let head = scratch.git_line(&["rev-parse", "HEAD"]);
    let message = scratch.git_line(&["for-each-ref", "--format=%(contents)", "refs/tags/v1.0.0"]);
    let found = ask(&scratch, Question::Annotated("v1.0.0"));
    assert_eq!(found, format!("{head} false\n{message}\n"));
}

#[test]
fn what_is_no_annotated_tag_of_a_commit_is_told() {
    let scratch = with_commit();
    scratch.git(&["tag", "light"]);
    scratch.git(&["tag", "light-blob", "HEAD:a.toml"]);
    scratch.git(&["tag", "--annotate", "blob", "--message", "B", "HEAD:a.toml"]);
    scratch.git(&["tag", "--annotate", "tree", "--message", "T", "HEAD^{tree}"]);
    scratch.git(&["tag", "--annotate", "one", "--message", "O"]);
    scratch.git(&["tag", "--annotate", "two", "--message", "T", "one"]);
    for (name, why) in [
        ("none", "there is no such tag"),
        ("light", "it is no annotated tag, and holds no message"),
        ("light-blob", "it names a blob, not a commit"),
        ("blob", "it is a tag of a blob, not of a commit"),
        ("tree", "it is a tag of a tree, not of a commit"),
        ("two", "it is a tag of a tag, not of a commit"),
    ] {
        assert_eq!(
            ask(&scratch, Question::Annotated(name)),
            format!("error: the tag `{name}`: {why}")
        );
    }
}

#[test]
fn a_tag_that_is_written_is_one_that_git_would_have_written() {
    let scratch = with_commit();
    assert_eq!(ask(&scratch, Question::WriteTag("ours", "Lantern\n")), "made");
    scratch.git(&["tag", "--annotate", "theirs", "--message", "Lantern"]);
    let object = |name: &str| {
        let object = scratch.git_line(&["cat-file", "tag", name]);
        object.replace(&format!("tag {name}"), "tag NAME")
    };
    assert_eq!(object("ours"), object("theirs"));
    scratch.git(&["fsck", "--strict"]);
    let again = ask(&scratch, Question::WriteTag("ours", "Again\n")).to_string();
    assert!(again.starts_with("error: the tag `ours`: "), "{again}");
    assert_eq!(
        scratch.git_line(&["for-each-ref", "--format=%(subject)", "refs/tags/ours"]),
        "Lantern"
    );
}

#[test]
fn git_says_whether_tags_are_signed() {
    let scratch = with_commit();
    assert_eq!(ask(&scratch, Question::Signs), "false");
    scratch.git(&["config", "tag.gpgSign", "true"]);
    assert_eq!(ask(&scratch, Question::Signs), "true");
}
