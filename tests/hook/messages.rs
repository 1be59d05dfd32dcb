//! The comments in a message that is about to be edited; and every message that they leave alone.

use crate::workshop::{Workshop, lamp};

/// A workshop with a heavier lamp staged, whose editor keeps a copy of what it is shown.
fn staged() -> Workshop {
    let mut workshop = Workshop::new();
    let editor = workshop.scratch.folder("editor");
    let script = "#!/bin/sh\ncp \"$1\" \"$(dirname \"$0\")/shown\"\n[ -z \"$TITLE\" ] || { printf '%s\\n' \"$TITLE\"; cat \"$1\"; } > \"$1.new\"\n[ -z \"$TITLE\" ] || mv \"$1.new\" \"$1\"\n";
    crate::workshop::write_script(&editor, script);
    workshop.scratch.set("GIT_EDITOR", &editor);
    workshop.scratch.set("TITLE", "A brighter lamp");
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    workshop.lets(&["add", "."]);
    workshop
}

/// What the editor was shown.
fn shown(workshop: &Workshop) -> String {
    std::fs::read_to_string(workshop.scratch.folder("shown")).unwrap_or_default()
}

fn message(workshop: &Workshop) -> String {
    workshop.scratch.git_line(&["log", "-1", "--format=%B"])
}

const TOLD: &str = "# how the budgets move, by tagworthy:\n# lantern: mass +10 g (now 1160 g)\n#\n";

#[test]
fn an_editor_shows_how_the_budgets_move() {
    let workshop = staged();
    workshop.lets(&["commit", "-q"]);
    assert!(shown(&workshop).contains(TOLD), "{}", shown(&workshop));
    assert_eq!(message(&workshop), "A brighter lamp");
}

#[test]
fn a_given_message_stays_as_it_is() {
    for arguments in [&["-m", "Given"][..], &["-F", "notes.txt"], &["-C", "HEAD"]] {
        let workshop = staged();
        workshop.write("notes.txt", "Given\n");
        workshop.lets(&[&["commit", "-q"], arguments].concat());
        assert!(!message(&workshop).contains("budgets"), "{arguments:?}");
        assert_eq!(shown(&workshop), "");
    }
    let mut workshop = staged();
    workshop.scratch.set("GIT_EDITOR", ":");
    workshop.lets(&["commit", "-q", "--amend", "--cleanup=verbatim"]);
    assert!(!message(&workshop).contains("budgets"));
}

#[test]
fn a_template_keeps_its_own_lines() {
    let workshop = staged();
    workshop.write("template.txt", "Why:\n\n# say why, not what\n");
    workshop.lets(&["commit", "-q", "--template", "template.txt"]);
    let shown = shown(&workshop);
    assert!(shown.starts_with("Why:\n\n# say why, not what\n"), "{shown}");
    assert!(shown.contains(TOLD), "{shown}");
    assert_eq!(message(&workshop), "A brighter lamp\nWhy:");
}

#[test]
fn a_shown_difference_and_another_comment_character_are_no_obstacle() {
    for (key, value, mark) in [
        ("core.commentChar", ";", ';'),
        ("core.commentChar", "auto", '#'),
        ("commit.verbose", "true", '#'),
    ] {
        let workshop = staged();
        workshop.lets(&["config", key, value]);
        workshop.lets(&["commit", "-q"]);
        let told = TOLD.replace('#', &mark.to_string());
        assert!(shown(&workshop).contains(&told), "{key} {value}: {}", shown(&workshop));
        assert_eq!(message(&workshop), "A brighter lamp", "{key} {value}");
    }
}

#[test]
fn settings_for_one_commit_alone_count() {
    let workshop = staged();
    workshop.lets(&["-c", "core.commentChar=;", "commit", "-q"]);
    assert!(shown(&workshop).contains(&TOLD.replace('#', ";")), "{}", shown(&workshop));
    assert_eq!(message(&workshop), "A brighter lamp");
    let workshop = staged();
    workshop.lets(&["-c", "commit.cleanup=verbatim", "commit", "-q"]);
    assert!(!message(&workshop).contains("budgets"), "{}", message(&workshop));
    let mut workshop = staged();
    for (name, value) in [("COUNT", "1"), ("KEY_0", "core.commentChar"), ("VALUE_0", "%")] {
        workshop.scratch.set(&format!("GIT_CONFIG_{name}"), value);
    }
    workshop.lets(&["commit", "-q"]);
    assert!(shown(&workshop).contains(&TOLD.replace('#', "%")), "{}", shown(&workshop));
}

#[test]
fn a_comment_mark_of_several_characters() {
    let workshop = staged();
    if workshop.scratch.git_line(&["version"]).as_str() < "git version 2.45" {
        return;
    }
    workshop.lets(&["-c", "core.commentString=//", "commit", "-q"]);
    assert!(shown(&workshop).contains(&TOLD.replace('#', "//")), "{}", shown(&workshop));
    assert_eq!(message(&workshop), "A brighter lamp");
}

#[test]
fn scissors_cut_it_away() {
    let workshop = staged();
    workshop.write("template.txt", "# a heading that stays\n");
    workshop.lets(&["config", "commit.cleanup", "scissors"]);
    workshop.lets(&["commit", "-q", "--template", "template.txt"]);
    assert!(shown(&workshop).contains(TOLD), "{}", shown(&workshop));
    assert_eq!(message(&workshop), "A brighter lamp\n# a heading that stays");
    let workshop = staged();
    workshop.lets(&["commit", "-q", "--cleanup=scissors"]);
    assert!(shown(&workshop).contains(TOLD), "{}", shown(&workshop));
    assert_eq!(message(&workshop), "A brighter lamp");
}

#[test]
fn comments_that_would_be_kept_are_not_written() {
    for cleanup in ["whitespace", "verbatim"] {
        let workshop = staged();
        workshop.lets(&["config", "commit.cleanup", cleanup]);
        workshop.lets(&["commit", "-q"]);
        assert!(!message(&workshop).contains("budgets"), "{cleanup}");
        let workshop = staged();
        workshop.lets(&["commit", "-q", &format!("--cleanup={cleanup}")]);
        assert!(!message(&workshop).contains("budgets"), "{cleanup}");
    }
    let workshop = staged();
    workshop.lets(&["-c", "commit.status=false", "commit", "-q"]);
    assert!(!shown(&workshop).contains("budgets"));
}

#[test]
fn a_merge_and_an_amended_commit_are_told_too() {
    let workshop = staged();
    workshop.lets(&["commit", "-q", "--amend"]);
    assert!(shown(&workshop).contains(TOLD), "{}", shown(&workshop));
    assert_eq!(message(&workshop), "A brighter lamp\nFirst light");

    workshop.lets(&["checkout", "-qb", "frame"]);
    workshop.change("parts/frame.toml", "900 g", "905 g");
    workshop.lets(&["commit", "-qam", "A stiffer frame"]);
    workshop.lets(&["checkout", "-q", "main"]);
    workshop.write("notes.txt", "to do");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Notes"]);
    workshop.lets(&["merge", "-q", "--edit", "frame"]);
    assert!(
        shown(&workshop).contains("# lantern: mass +5 g (now 1165 g)\n"),
        "{}",
        shown(&workshop)
    );
    assert!(!message(&workshop).contains("budgets"));
    workshop.lets(&["reset", "-q", "--hard", "HEAD~1"]);
    workshop.lets(&["merge", "-q", "--no-ff", "-m", "Given", "frame"]);
    assert_eq!(message(&workshop), "Given");
}

#[test]
fn a_squashed_merge_keeps_its_list_of_commits() {
    let workshop = staged();
    workshop.lets(&["checkout", "-qb", "lamp"]);
    workshop.lets(&["commit", "-qm", "On a branch"]);
    workshop.lets(&["checkout", "-q", "main"]);
    workshop.lets(&["merge", "-q", "--squash", "lamp"]);
    workshop.lets(&["commit", "-q"]);
    assert!(shown(&workshop).contains(TOLD), "{}", shown(&workshop));
    let message = message(&workshop);
    assert!(message.contains("On a branch") && !message.contains("budgets"), "{message}");
}
