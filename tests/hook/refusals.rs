//! What else is refused, as it is read at the prompt.

use crate::workshop::{Workshop, lamp, without_ids};

/// Lines and columns of the screen that a refusal has to fit on: those of a PC's text mode.
const SCREEN: (usize, usize) = (25, 80);

/// What is said of a commit of all that was changed, which must be refused.
fn refused(workshop: &Workshop) -> String {
    workshop.lets(&["add", "--all"]);
    let said = workshop.refuses(&["commit", "-qm", "Refused"]);
    fits(&said);
    said
}

pub fn fits(said: &str) {
    let (lines, columns) = SCREEN;
    assert!(said.lines().count() <= lines, "{} lines:\n{said}", said.lines().count());
    let longest = said.lines().map(|line| line.chars().count()).max();
    assert!(longest.is_some_and(|longest| longest <= columns), "{said}");
}

/// A promise of the scanner, or of a part.
pub fn promise(id: &str, part: &str, what: &str) -> String {
    format!("[requirement.{id}]\npart = \"{part}\"\n{what}\n")
}

#[test]
fn more_requirements_than_a_screen_holds() {
    let workshop = Workshop::new();
    let limit = |number: usize| format!("quantity = \"mass\"\nat-most = \"{} g\"", 260 + number);
    let more = (1..=9).map(|number| promise(&format!("limit-{number}"), "lamp", &limit(number)));
    workshop.write("parts/more.toml", &more.collect::<String>());
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Many promises"]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    insta::assert_snapshot!(refused(&workshop));
}

/// A builder may leave the cover out; whoever takes it carries too much.
#[test]
fn a_limit_that_only_optional_parts_break() {
    let workshop = Workshop::new();
    let cover = |mpn: &str, mass: &str| {
        format!("[part.cover]\norigin = \"bought\"\nmpn = \"{mpn}\"\nmass = \"{mass}\"\n")
    };
    workshop.write("parts/cover.toml", &cover("C-40", "40 g"));
    let optional = "lamp = 1, cover = { count = 1, optional = true }";
    workshop.change("parts/scanner.toml", "lamp = 1", optional);
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "A cover for those who want one"]);
    workshop.write("parts/cover.toml", &cover("C-90", "90 g"));
    insta::assert_snapshot!(refused(&workshop));
}

#[test]
fn a_manifest_with_a_slip() {
    let workshop = Workshop::new();
    workshop.change("tagworthy.toml", "top = \"scanner\"", "top = scanner");
    insta::assert_snapshot!(refused(&workshop));
}

#[test]
fn more_errors_than_a_screen_holds() {
    let workshop = Workshop::new();
    for part in ["one", "two", "three", "four", "five"] {
        let text = format!("[part.{part}]\norigin = \"bougth\"\n");
        workshop.write(&format!("parts/{part}.toml"), &text);
    }
    insta::assert_snapshot!(refused(&workshop));
}

#[test]
fn a_part_that_others_need() {
    let workshop = Workshop::new();
    workshop.lets(&["rm", "-q", "parts/lamp.toml"]);
    insta::assert_snapshot!(refused(&workshop));
}

#[test]
fn a_value_below_its_limit() {
    let workshop = Workshop::new();
    let heavy = promise("stands-firm", "scanner", "quantity = \"mass\"\nat-least = \"1100 g\"");
    workshop.write("parts/more.toml", &heavy);
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "It must not be blown away"]);
    workshop.write("parts/lamp.toml", &lamp("L-90", "90 g"));
    insta::assert_snapshot!(refused(&workshop));
}

#[test]
fn a_price() {
    let workshop = Workshop::new();
    let ceiling = promise("cost-ceiling", "lamp", "quantity = \"cost\"\nat-most = \"15 EUR\"");
    workshop.write("parts/more.toml", &ceiling);
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "It must not be dear"]);
    workshop.change("parts/lamp.toml", "12.50 EUR", "18.90 EUR");
    insta::assert_snapshot!(refused(&workshop));
}

#[test]
fn two_designs_at_once() {
    let workshop = Workshop::new();
    let manifest = workshop.read("tagworthy.toml").replace("lantern", "tripod");
    workshop.write("tripod/tagworthy.toml", &manifest);
    for part in ["scanner", "frame", "lamp"] {
        let path = format!("parts/{part}.toml");
        workshop.write(&format!("tripod/{path}"), &workshop.read(&path));
    }
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "A second design"]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.write("tripod/parts/lamp.toml", &lamp("L-360", "360 g"));
    workshop.lets(&["add", "."]);
    let said = workshop.refuses(&["commit", "-qm", "Refused"]);
    insta::assert_snapshot!(said);
    // What is proposed for each is what helps, wherever one stands.
    let commands = said.replace(" \\\n", " ").replace('…', "a trial");
    for command in commands.lines().filter(|line| line.starts_with("  tagworthy waive")) {
        let command = command.replacen("tagworthy", crate::workshop::PROGRAM, 1);
        let mut shell = workshop.scratch.command("sh", &workshop.folder);
        assert!(shell.args(["-c", &command]).status().unwrap().success(), "{command}");
    }
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "With two concessions"]);
}

#[test]
fn a_merge_that_leaves_records_unreadable() {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-qb", "aside"]);
    workshop.write("parts/spare.toml", &lamp("L-250", "250 g").replace("part.lamp", "part.spare"));
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "A spare lamp"]);
    workshop.lets(&["checkout", "-q", "main"]);
    workshop.write("parts/more.toml", "[part.spare]\norigin = \"bought\"\nmass = \"1 g\"\n");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "A spare fuse"]);
    let said = workshop.refuses(&["merge", "-q", "--no-edit", "aside"]);
    insta::assert_snapshot!(said);
}

#[test]
fn a_fault_where_the_manifest_asks_for_refusal() {
    let workshop = Workshop::new();
    workshop.rule("[guard]\non-fault = \"refuse\"");
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    workshop.lets(&["add", "."]);
    let id = workshop.scratch.git_line(&["rev-parse", ":parts/lamp.toml"]);
    let object = workshop.scratch.path().join(".git/objects").join(&id[..2]).join(&id[2..]);
    std::fs::remove_file(object).unwrap();
    let root = workshop.scratch.folder("");
    let said = workshop.refuses(&["commit", "-qm", "What was staged is gone"]);
    insta::assert_snapshot!(without_ids(&said.replace(root.to_str().unwrap(), "/scratch/")));
}

#[test]
fn a_tag_of_another_version_where_it_is_made() {
    let workshop = Workshop::new();
    workshop.get_ready();
    workshop.install(&["--tag-guard"]);
    let output = workshop.git(&["tag", "v2.0.0"]);
    assert!(!output.status.success());
    insta::assert_snapshot!(without_ids(&String::from_utf8_lossy(&output.stderr)));
}

#[test]
fn two_tags_at_once() {
    let workshop = Workshop::new();
    let bare = workshop.shared();
    std::fs::remove_file(bare.join("hooks/pre-receive")).unwrap();
    workshop.lets(&["tag", "v1.0.0"]);
    workshop.write("parts/lamp.toml", "[part.lamp]\norigin = \"bougth\"\n");
    workshop.lets(&["commit", "--no-verify", "-qam", "A slip"]);
    workshop.lets(&["tag", "v1.1.0"]);
    let output = workshop.git(&["push", "-q", "origin", "--tags"]);
    assert!(!output.status.success());
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let said: Vec<&str> = said.lines().filter(|line| !line.starts_with("error: failed")).collect();
    insta::assert_snapshot!(without_ids(&said.join("\n")));
}
