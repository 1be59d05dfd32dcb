//! `verify`: what was changed since is told, and what is no record.

use crate::workshop::Workshop;

/// Makes the tag `name` anew with another message, at `revision`.
fn retag(shop: &Workshop, name: &str, message: &str, revision: &str) {
    let file = shop.0.home().join("message");
    std::fs::write(&file, message).unwrap();
    let file = file.to_str().unwrap();
    let made =
        ["tag", "--annotate", "--force", "--cleanup=verbatim", "--file", file, name, revision];
    shop.0.git(&made);
}

#[test]
fn an_edited_record_is_told() {
    let shop = Workshop::new();
    shop.says(&["release", "0.1.0"]);
    let edited =
        shop.message("v0.1.0").replace("\"carry-mass\": \"pass\"", "\"carry-mass\": \"fail\"");
    retag(&shop, "v0.1.0", &edited, "HEAD");
    let told = shop.refuses(&["verify", "v0.1.0"]);
    assert!(told.contains("its release record was edited"), "{told}");
    retag(&shop, "v0.1.0", &edited.replace("\"budgets\"", "\"budget\""), "HEAD");
    let told = shop.fails(&["verify", "v0.1.0"]);
    assert!(told.contains("its release record cannot be read: unknown field"), "{told}");
}

#[test]
fn notes_may_be_edited_and_the_record_still_agrees() {
    let shop = Workshop::new();
    shop.says(&["release", "0.1.0"]);
    let message = shop.message("v0.1.0").replace("### requirements", "### What it promises");
    retag(&shop, "v0.1.0", &message, "HEAD");
    shop.says(&["verify", "v0.1.0"]);
}

#[test]
fn a_tag_that_was_moved_says_what_differs() {
    let shop = Workshop::new();
    shop.says(&["release", "0.1.0"]);
    let message = shop.message("v0.1.0");
    let heavy = crate::workshop::parts("1.0.0", "5 mm").replace("100 g", "300 g");
    shop.0.write("parts/scanner.toml", heavy).commit("Heavier");
    retag(&shop, "v0.1.0", &message, "HEAD");
    let told = shop.refuses(&["verify", "v0.1.0"]);
    assert!(told.contains("2 differences from its record"), "{told}");
    assert!(told.contains("scanner.mass") && told.contains("0.131 predicted"), "{told}");
    let line = told.lines().find(|line| line.contains("carry-mass")).unwrap();
    assert_eq!(line.split_whitespace().collect::<Vec<_>>(), ["carry-mass", "pass", "fail"]);
    retag(&shop, "v0.3.0", &message, "HEAD~1");
    let told = shop.refuses(&["verify", "v0.3.0"]);
    assert!(told.contains("release") && told.contains("0.3.0"), "{told}");
}

#[test]
fn what_is_no_release_is_told() {
    let shop = Workshop::new();
    shop.0.git(&["tag", "--annotate", "blob", "--message", "B", "HEAD:LICENSE"]);
    shop.0.git(&["tag", "--annotate", "plain", "--message", "Nothing else"]);
    shop.0.git(&["tag", "light"]);
    for (tag, why) in [
        ("blob", "it is a tag of a blob, not of a commit"),
        ("plain", "its message holds no release record"),
        ("light", "it is no annotated tag, and holds no message"),
        ("none", "there is no such tag"),
        ("-x..", "there is no such tag"),
    ] {
        let told = shop.fails(&["verify", "--", tag]);
        assert!(told.contains(&format!("the tag `{tag}`: ")), "{told}");
        assert!(told.contains(why) || tag == "-x..", "{told}");
    }
}

/// The day of the tag counts, not today: an old tag is judged the same for ever.
#[test]
fn a_release_is_judged_on_the_day_of_its_tag() {
    let shop = Workshop::new();
    let aged = crate::workshop::parts("1.0.0", "5 mm")
        .replace("code = \"L-1\"", "code = \"L-1\"\nquoted = 2026-03-01");
    shop.0.write("parts/scanner.toml", aged);
    let manifest = std::fs::read_to_string(shop.0.path().join("tagworthy.toml")).unwrap();
    shop.0
        .write("tagworthy.toml", format!("{manifest}[rule]\nprice-age = \"5 d\"\n"))
        .commit("Aged");
    shop.says(&["release", "0.1.0"]);
    shop.says(&["ready", "0.1.0", "--at", "v0.1.0"]);
    shop.refuses(&["ready", "0.1.0"]);
    shop.says(&["verify", "v0.1.0"]);
}
