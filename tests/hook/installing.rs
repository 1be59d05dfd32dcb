//! Putting the hook in place, and what happens when the program is not what it was.

use std::fs;

use crate::workshop::{PROGRAM, Workshop, lamp, write_script};

#[test]
fn installing_twice_changes_nothing() {
    let workshop = Workshop::new();
    let shim = fs::read(workshop.hook()).unwrap();
    assert!(workshop.install(&[]).contains("in place already"));
    assert_eq!(fs::read(workshop.hook()).unwrap(), shim);
    assert!(!workshop.hook().with_file_name("pre-commit.kept").exists());
}

#[test]
fn a_hook_that_was_there_is_kept_and_runs_first() {
    let workshop = Workshop::new();
    fs::remove_file(workshop.hook()).unwrap();
    write_script(&workshop.hook(), "#!/bin/sh\necho checked by hand >&2\n[ ! -e stop ]\n");
    assert!(workshop.install(&[]).contains("pre-commit.kept"));

    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    let said = workshop.refuses(&["commit", "-qam", "Too heavy"]);
    let (first, then) = (said.find("checked by hand"), said.find("carry-mass"));
    assert!(first.is_some() && first < then, "{said}");

    workshop.write("stop", "");
    let said = workshop.refuses(&["commit", "-qam", "Stopped by the first"]);
    assert!(!said.contains("carry-mass"), "{said}");
}

#[test]
fn two_hooks_of_others_are_not_thrown_away() {
    let workshop = Workshop::new();
    write_script(&workshop.hook(), "#!/bin/sh\n");
    write_script(&workshop.hook().with_file_name("pre-commit.kept"), "#!/bin/sh\n# older\n");
    let output = workshop.tagworthy(&["hooks", "install"]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(fs::read_to_string(workshop.hook()).unwrap(), "#!/bin/sh\n");
}

#[test]
fn the_folder_of_the_configuration_is_honoured() {
    let workshop = Workshop::new();
    fs::remove_file(workshop.hook()).unwrap();
    for path in [".githooks".to_owned(), workshop.scratch.path().join("ours").display().to_string()]
    {
        workshop.lets(&["config", "core.hooksPath", &path]);
        workshop.install(&[]);
        workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
        assert!(workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"));
    }
}

#[test]
fn a_folder_that_serves_other_repositories_needs_a_word() {
    let workshop = Workshop::new();
    fs::remove_file(workshop.hook()).unwrap();
    let shared = workshop.scratch.folder("everyone");
    workshop.lets(&["config", "core.hooksPath", shared.to_str().unwrap()]);
    let output = workshop.tagworthy(&["hooks", "install"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("--shared"));
    assert!(!shared.exists());
    workshop.install(&["--shared"]);
    assert!(shared.join("pre-commit").exists());
}

#[test]
fn a_program_that_is_gone_lets_git_go_on_with_a_notice() {
    let workshop = Workshop::new();
    let shim = fs::read_to_string(workshop.hook()).unwrap();
    write_script(&workshop.hook(), &shim.replace(PROGRAM, "/nowhere/tagworthy"));
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.lets(&["commit", "-qam", "Nobody looks"]).contains("not judged"));
}

#[test]
fn a_program_that_crashes_lets_git_go_on_with_a_notice() {
    for end in ["exit 101", "exit 2", "kill -9 $$"] {
        let workshop = Workshop::new();
        let broken = workshop.scratch.folder("broken");
        write_script(&broken, &format!("#!/bin/sh\n{end}\n"));
        let shim = fs::read_to_string(workshop.hook()).unwrap();
        write_script(&workshop.hook(), &shim.replace(PROGRAM, broken.to_str().unwrap()));
        workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
        assert!(workshop.lets(&["commit", "-qam", "Nobody looks"]).contains("not judged"), "{end}");
    }
}

#[test]
fn the_shim_for_those_who_install_by_hand_finds_the_program_by_name() {
    let mut workshop = Workshop::new();
    let shim = concat!(env!("CARGO_MANIFEST_DIR"), "/hooks/pre-commit");
    fs::copy(shim, workshop.hook()).unwrap();
    let folder = std::path::Path::new(PROGRAM).parent().unwrap().display().to_string();
    let path = std::env::var("PATH").unwrap();
    workshop.scratch.set("PATH", format!("{folder}:{path}"));
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"));
}
