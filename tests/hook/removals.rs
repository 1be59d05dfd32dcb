//! Designs whose manifest is deleted, renamed or moved.

use crate::workshop::{Workshop, from_remote, lamp};

#[test]
fn a_manifest_that_leaves_its_records_behind_is_refused() {
    let workshop = Workshop::new();
    workshop.lets(&["rm", "-q", "tagworthy.toml"]);
    let said = workshop.refuses(&["commit", "-qm", "No manifest"]);
    insta::assert_snapshot!(said);
    // What is proposed is what helps, from any folder.
    let back = said.lines().find_map(|line| line.split_once("bring it back: git ")).unwrap().1;
    let mut workshop = workshop;
    workshop.folder.push("parts");
    workshop.lets(&back.split(' ').collect::<Vec<_>>());
    workshop.folder.pop();
    assert_eq!(workshop.lets(&["commit", "--allow-empty", "-qm", "As it was"]), "");
    workshop.lets(&["rm", "-qr", "tagworthy.toml", "parts"]);
    workshop.lets(&["commit", "-qm", "All of it"]);
}

#[test]
fn a_manifest_of_another_name_is_none() {
    let workshop = Workshop::new();
    workshop.lets(&["mv", "tagworthy.toml", "tagworthy.old"]);
    assert!(workshop.refuses(&["commit", "-qm", "Put aside"]).contains("tagworthy.toml is gone"));
    workshop.lets(&["reset", "-q", "--hard"]);
    workshop.lets(&["rm", "-q", "tagworthy.toml"]);
    workshop.write("tagworthy.toml/notes.txt", "a folder of this name");
    workshop.lets(&["add", "."]);
    assert!(workshop.refuses(&["commit", "-qm", "A folder"]).contains("tagworthy.toml is gone"));
}

#[test]
fn a_design_that_goes_with_all_its_records_is_told_and_let_through() {
    let workshop = Workshop::new();
    workshop.write("notes.txt", "what we learned");
    workshop.lets(&["rm", "-qr", "tagworthy.toml", "parts"]);
    workshop.lets(&["add", "."]);
    let said = workshop.lets(&["commit", "-qm", "Given up"]);
    insta::assert_snapshot!(said, @"lantern is no longer a design here: tagworthy.toml is gone with its records, 1 requirement (carry-mass) among them; let through");
}

#[test]
fn what_a_manifest_does_not_guard_is_let_through() {
    let workshop = Workshop::new();
    workshop.rule("[guard]\ncommit = [\"newly-failing\"]");
    workshop.lets(&["rm", "-q", "tagworthy.toml"]);
    let said = workshop.lets(&["commit", "-qm", "No manifest"]);
    insta::assert_snapshot!(said, @"lantern is no longer a design: tagworthy.toml is gone, and nothing reads parts/frame.toml, parts/lamp.toml, parts/scanner.toml; let through");
}

#[test]
fn records_that_could_not_be_read_before_are_not_missed() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", "[part.lamp]\norigin = \"bougth\"\n");
    workshop.lets(&["commit", "--no-verify", "-qam", "A slip"]);
    workshop.lets(&["rm", "-q", "tagworthy.toml"]);
    let said = workshop.lets(&["commit", "-qm", "No manifest"]);
    insta::assert_snapshot!(said, @"tagworthy.toml is gone, whose records could not be read before; let through");
}

#[test]
fn a_design_in_a_folder_that_another_one_takes_over() {
    let workshop = Workshop::new();
    let inner = "[design]\nname = \"tripod\"\ntop = \"leg\"\nnext = \"1.0.0\"\ncurrency = \"EUR\"\nrecords = [\"*.toml\"]\n";
    workshop.write("parts/tripod/tagworthy.toml", inner);
    workshop.write("parts/tripod/leg.toml", "[part.leg]\norigin = \"machined\"\nmass = \"90 g\"\n");
    workshop.change("tagworthy.toml", "parts/*.toml", "parts/**/*.toml");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "A tripod of its own"]);
    workshop.lets(&["rm", "-q", "parts/tripod/tagworthy.toml"]);
    let said = workshop.lets(&["commit", "-qm", "A part of the scanner"]);
    assert_eq!(
        said,
        "tripod is no longer a design of its own: parts/tripod/tagworthy.toml is gone, and another \
         one reads its records; let through\n"
    );
}

#[test]
fn a_design_that_is_moved_is_judged_against_where_it_lay() {
    let workshop = Workshop::new();
    workshop.write("lantern/notes.txt", "here now");
    workshop.lets(&["mv", "tagworthy.toml", "parts", "lantern"]);
    workshop.lets(&["add", "."]);
    workshop.write("lantern/parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-qam", "Moved, and heavier"]).contains("carry-mass"));
    workshop.write("lantern/parts/lamp.toml", "[part.lamp]\norigin = \"bougth\"\n");
    assert!(workshop.refuses(&["commit", "-qam", "Moved, with a slip"]).contains("bougth"));
    workshop.write("lantern/parts/lamp.toml", &lamp("L-260", "260 g"));
    let said = workshop.lets(&["commit", "-qam", "Moved"]);
    assert_eq!(said, "lantern: mass +10 g (now 1160 g)\n");
}

#[test]
fn two_designs_that_are_moved_at_once_are_told_apart_by_their_names() {
    let workshop = Workshop::new();
    let manifest = workshop.read("tagworthy.toml").replace("lantern", "tripod");
    workshop.lets(&["rm", "-qr", "--cached", "."]);
    for (folder, manifest) in [("a", workshop.read("tagworthy.toml")), ("b", manifest)] {
        for part in ["scanner", "frame", "lamp"] {
            let path = format!("parts/{part}.toml");
            workshop.write(&format!("{folder}/{path}"), &workshop.read(&path));
        }
        workshop.write(&format!("{folder}/tagworthy.toml"), &manifest);
    }
    workshop.write("b/parts/lamp.toml", &lamp("L-200", "200 g"));
    workshop.lets(&["add", "a", "b"]);
    workshop.lets(&["commit", "--no-verify", "-qm", "Two designs"]);
    // They change places, each with a line more in its manifest.
    workshop.lets(&["mv", "a", "c"]);
    workshop.lets(&["mv", "b", "d"]);
    workshop.lets(&["mv", "c", "y"]);
    workshop.lets(&["mv", "d", "x"]);
    for folder in ["x", "y"] {
        let manifest = workshop.read(&format!("{folder}/tagworthy.toml"));
        workshop.write(&format!("{folder}/tagworthy.toml"), &format!("{manifest}\n# moved\n"));
    }
    workshop.write("x/parts/lamp.toml", &lamp("L-210", "210 g"));
    workshop.lets(&["add", "x", "y"]);
    let said = workshop.lets(&["commit", "-qm", "Moved"]);
    assert_eq!(said, "tripod: mass +10 g (now 1110 g)\n");
}

#[test]
fn what_is_past_the_hook_is_told_afterwards() {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-qb", "aside"]);
    workshop.lets(&["rm", "-q", "tagworthy.toml"]);
    let said = workshop.lets(&["commit", "--no-verify", "-qm", "No manifest"]);
    let told = "tagworthy: lantern is no longer a design: tagworthy.toml is gone, and nothing reads \
                parts/frame.toml, parts/lamp.toml, parts/scanner.toml\n";
    assert_eq!(said, told);
    assert_eq!(workshop.lets(&["checkout", "-q", "main"]), "", "going to and fro is no news");
    assert_eq!(workshop.lets(&["checkout", "-q", "aside"]), "");
    workshop.lets(&["checkout", "-q", "main"]);
    assert_eq!(workshop.lets(&["merge", "-q", "--ff-only", "aside"]), told);
}

#[test]
fn a_merge_that_takes_the_manifest_away_is_refused() {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-qb", "aside"]);
    workshop.lets(&["rm", "-q", "tagworthy.toml"]);
    workshop.lets(&["commit", "--no-verify", "-qm", "No manifest"]);
    workshop.lets(&["checkout", "-q", "main"]);
    workshop.write("notes.txt", "to do");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Notes"]);
    let said = workshop.refuses(&["merge", "-q", "--no-edit", "aside"]);
    assert!(said.starts_with("refused: this merge takes the manifest of lantern away,"), "{said}");
}

#[test]
fn an_editor_shows_that_a_design_goes() {
    let mut workshop = Workshop::new();
    workshop.write("notes.txt", "what we learned");
    workshop.lets(&["rm", "-qr", "tagworthy.toml", "parts"]);
    workshop.lets(&["add", "."]);
    let editor = workshop.scratch.folder("editor");
    crate::workshop::write_script(
        &editor,
        "#!/bin/sh\ncp \"$1\" \"$0.shown\"\necho Given up > \"$1\"\n",
    );
    workshop.scratch.set("GIT_EDITOR", &editor);
    workshop.lets(&["commit", "-q"]);
    let shown = std::fs::read_to_string(workshop.scratch.folder("editor.shown")).unwrap();
    assert!(shown.contains("# lantern is no longer a design here:"), "{shown}");
}

#[test]
fn a_folder_with_blanks_and_quotes_can_be_brought_back() {
    let workshop = Workshop::new();
    workshop.write("it's \"my\" $HOME/notes.txt", "here now");
    workshop.lets(&["mv", "tagworthy.toml", "parts", "it's \"my\" $HOME"]);
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "An odd folder"]);
    workshop.lets(&["rm", "-q", "it's \"my\" $HOME/tagworthy.toml"]);
    let said = workshop.refuses(&["commit", "-qm", "No manifest"]);
    let back = said.lines().find_map(|line| line.split_once("bring it back: ")).unwrap().1;
    let mut shell = workshop.scratch.command("sh", &workshop.folder);
    assert!(shell.args(["-c", back]).status().unwrap().success(), "{back}");
    workshop.lets(&["commit", "--allow-empty", "-qm", "As it was"]);
}

#[test]
fn a_shared_repository_refuses_it_by_its_own_rules() {
    let workshop = Workshop::new();
    workshop.shared();
    workshop.tagworthy(&["hooks", "remove"]);
    let push = |arguments: &[&str]| {
        let output = workshop.git(&[&["push", "-q", "origin"], arguments].concat());
        (output.status.success(), from_remote(&String::from_utf8_lossy(&output.stderr)))
    };
    workshop.lets(&["rm", "-q", "tagworthy.toml"]);
    workshop.lets(&["commit", "-qm", "No manifest"]);
    let (passed, said) = push(&["main"]);
    assert!(!passed, "{said}");
    insta::assert_snapshot!(said);
    assert!(!push(&["main:refs/heads/new"]).0, "a new branch is no way around");
    // First the rule, then what it forbade.
    workshop.lets(&["reset", "-q", "--hard", "HEAD~1"]);
    workshop.rule("[guard]\nreceive = []");
    assert!(push(&["main"]).0);
    workshop.lets(&["rm", "-q", "tagworthy.toml"]);
    workshop.lets(&["commit", "-qm", "No manifest"]);
    let (passed, said) = push(&["main"]);
    assert!(passed && said.contains("nothing reads parts/frame.toml"), "{said}");
}

#[test]
fn a_manifest_that_is_a_link_is_not_read() {
    let workshop = Workshop::new();
    std::fs::rename(workshop.folder.join("tagworthy.toml"), workshop.folder.join("real.toml"))
        .unwrap();
    std::os::unix::fs::symlink("real.toml", workshop.folder.join("tagworthy.toml")).unwrap();
    workshop.lets(&["add", "-A"]);
    insta::assert_snapshot!(workshop.refuses(&["commit", "-qm", "A link"]));
}
