//! The guard for release tags, where they are made.

use crate::refusals::{fits, promise};
use crate::workshop::{Workshop, without_ids};

fn guarded() -> Workshop {
    let workshop = Workshop::new();
    workshop.install(&["--tag-guard"]);
    workshop
}

/// The tag must not be made; what is said.
fn refuses(workshop: &Workshop, arguments: &[&str]) -> String {
    let output = workshop.git(&[&["tag"], arguments].concat());
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!output.status.success(), "{arguments:?} was let through:\n{said}");
    let ours: Vec<&str> = said.lines().filter(|line| !line.starts_with("fatal:")).collect();
    without_ids(&ours.join("\n"))
}

#[test]
fn a_tag_that_is_not_ready_is_not_made() {
    let workshop = guarded();
    insta::assert_snapshot!(refuses(&workshop, &["v1.0.0"]));
    assert!(refuses(&workshop, &["-a", "-m", "First release", "v1.0.0"]).contains("licence"));
    assert_eq!(workshop.scratch.git(&["tag"]), b"");
    workshop.lets(&["-c", "core.hooksPath=/dev/null", "tag", "v1.0.0"]);
    workshop.lets(&["tag", "-d", "v1.0.0"]);
    workshop.lets(&["tag", "aside"]);
}

#[test]
fn more_in_the_way_of_a_tag_than_a_screen_holds() {
    let workshop = guarded();
    let unproven = |number| promise(&format!("shown-{number}"), "lamp", "method = \"test\"");
    let heavy = |number| {
        let limit = format!("quantity = \"mass\"\nat-most = \"{number} g\"");
        promise(&format!("weighs-{number}"), "lamp", &limit)
    };
    let promises = (1..=6).map(unproven).chain((1..=6).map(heavy));
    let bought = |number| {
        let contained = format!("[part.box-{number}]\norigin = \"assembled\"\n");
        let part = format!("contains = {{ knob-{number} = 1 }}\n[part.knob-{number}]\n");
        format!("{contained}{part}origin = \"bought\"\n")
    };
    let parts = (1..=12).map(bought);
    workshop.write("parts/more.toml", &promises.chain(parts).collect::<String>());
    let contents: String = (1..=12).map(|number| format!("box-{number} = 1, ")).collect();
    let with_all = format!("contains = {{ {contents}");
    workshop.change("parts/scanner.toml", "contains = {", &with_all);
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Far from ready", "--no-verify"]);
    let said = refuses(&workshop, &["v1.0.0"]);
    fits(&said);
    insta::assert_snapshot!(said);
}

#[test]
fn a_tag_that_is_ready_is_made() {
    let workshop = guarded();
    workshop.get_ready();
    assert_eq!(workshop.lets(&["tag", "-a", "-m", "First release", "v1.0.0"]), "");
    assert_eq!(workshop.lets(&["tag", "v1.0.0-rc.1"]), "");
}

#[test]
fn tags_of_others_are_fetched() {
    let workshop = guarded();
    let shared = workshop.shared();
    std::fs::remove_file(shared.join("hooks/pre-receive")).unwrap();
    let other = workshop.scratch.folder("other");
    workshop.lets(&["clone", "-q", shared.to_str().unwrap(), other.to_str().unwrap()]);
    let other = ["-C", other.to_str().unwrap()];
    workshop.lets(&[&other[..], &["commit", "-q", "--allow-empty", "-m", "More"]].concat());
    workshop.lets(&[&other[..], &["tag", "v1.0.0"]].concat());
    workshop.lets(&[&other[..], &["push", "-q", "origin", "main", "v1.0.0"]].concat());
    workshop.lets(&["fetch", "-q", "--tags"]);
    assert_eq!(workshop.scratch.git_line(&["tag"]), "v1.0.0");
    workshop.lets(&["tag", "-d", "v1.0.0"]);
    workshop.lets(&["fetch", "-q", "--atomic", "--tags"]);
}

#[test]
fn packing_and_everything_else_goes_on() {
    let workshop = guarded();
    workshop.lets(&["-c", "core.hooksPath=/dev/null", "tag", "v1.0.0"]);
    for arguments in [
        &["pack-refs", "--all"][..],
        &["gc", "-q"],
        &["commit", "-q", "--allow-empty", "-m", "Nothing"],
        &["branch", "aside"],
        &["checkout", "-q", "aside"],
        &["notes", "add", "-m", "a note"],
        &["branch", "-D", "main"],
    ] {
        let said = workshop.lets(arguments);
        assert!(!said.contains("tagworthy") && !said.contains("refused"), "{said}");
    }
}

#[test]
fn a_shared_repository_has_another_hook_for_it() {
    let workshop = Workshop::new();
    let shared = workshop.shared();
    let mut install = workshop.scratch.command(crate::workshop::PROGRAM, &shared);
    let output = install.args(["hooks", "install", "--tag-guard"]).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("pre-receive"));
}
