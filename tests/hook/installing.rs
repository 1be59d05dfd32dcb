//! Putting the hook in place, and what happens when the program is not what it was.

use std::fs;

use crate::workshop::{PROGRAM, Workshop, lamp, without_ids, write_script};

#[test]
fn installing_twice_changes_nothing() {
    let workshop = Workshop::new();
    let listed = |workshop: &Workshop| {
        let names = fs::read_dir(workshop.scratch.path().join(".git/hooks")).unwrap();
        let mut names: Vec<_> = names.map(|entry| entry.unwrap().file_name()).collect();
        names.sort();
        names
    };
    let (shim, before) = (fs::read(workshop.hook()).unwrap(), listed(&workshop));
    assert!(workshop.install(&[]).contains("in place already"));
    assert_eq!(fs::read(workshop.hook()).unwrap(), shim);
    assert_eq!(listed(&workshop), before);
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
fn a_kept_hook_gets_the_same_arguments_and_input() {
    let workshop = Workshop::new();
    workshop.tagworthy(&["hooks", "remove"]);
    let heard = workshop.scratch.folder("heard");
    let listen =
        format!("#!/bin/sh\nprintf '%s\\n' \"$@\" >> '{0}'\ncat >> '{0}'\n", heard.display());
    for hook in ["pre-push", "post-rewrite"] {
        write_script(&workshop.named_hook(hook), &listen);
    }
    let bare = workshop.shared();
    fs::remove_file(&heard).unwrap();
    workshop.lets(&["branch", "aside"]);
    workshop.lets(&["push", "-q", "origin", "aside"]);
    let plain = fs::read_to_string(&heard).unwrap();
    assert!(plain.contains("refs/heads/aside"), "{plain}");
    fs::remove_file(&heard).unwrap();
    workshop.lets(&["push", "-q", "--no-verify", "origin", "--delete", "aside"]);
    workshop.install(&[]);
    workshop.lets(&["push", "-q", "origin", "aside"]);
    assert_eq!(fs::read_to_string(&heard).unwrap(), plain);

    fs::remove_file(&heard).unwrap();
    workshop.lets(&["commit", "-q", "--allow-empty", "--amend", "-m", "Again"]);
    assert!(fs::read_to_string(&heard).unwrap().starts_with("amend\n"));
    write_script(&workshop.named_hook("pre-push.kept"), "#!/bin/sh\nexit 3\n");
    assert!(!workshop.git(&["push", "-q", "origin", "main"]).status.success());
    drop(bare);
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
fn the_folder_that_git_is_told_for_once_is_honoured() {
    let workshop = Workshop::new();
    let install = format!("alias.install=!'{PROGRAM}' hooks install");
    workshop.lets(&["-c", "core.hooksPath=.githooks", "-c", &install, "install"]);
    assert!(workshop.folder.join(".githooks/pre-commit").exists());
    workshop.lets(&["-c", "core.hooksPath=.githooks", "commit", "-q", "--allow-empty", "-m", "x"]);
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
fn what_is_installed_is_told() {
    let workshop = Workshop::new();
    let status = || {
        let output = workshop.tagworthy(&["hooks", "status"]);
        assert!(output.status.success());
        let said = String::from_utf8(output.stdout).unwrap();
        let root = workshop.scratch.folder("");
        let said = without_ids(&said.replace(root.to_str().unwrap(), "/scratch/"));
        // Lines may break elsewhere where the folder is longer: only their words count.
        said.lines().map(str::trim).collect::<Vec<_>>().join("\n")
    };
    assert!(status().starts_with("all hooks are in place"), "{}", status());
    workshop.change(".git/hooks/post-merge", PROGRAM, "/nowhere/tagworthy");
    workshop.change(".git/hooks/post-checkout", "seconds=", "  seconds=");
    fs::remove_file(workshop.named_hook("post-rewrite")).unwrap();
    write_script(&workshop.named_hook("pre-push"), "#!/bin/sh\n");
    write_script(&workshop.named_hook("pre-commit.kept"), "#!/bin/sh\n");
    insta::assert_snapshot!(status());
    let elsewhere = workshop.scratch.folder("repo/checks");
    workshop.lets(&["config", "core.hooksPath", elsewhere.to_str().unwrap()]);
    let said = status();
    assert!(said.starts_with("no hook is in place"), "{said}");
    assert!(said.contains("where git does not look"), "{said}");
}

#[test]
fn another_version_is_brought_up_to_date() {
    let workshop = Workshop::new();
    let before = fs::read(workshop.hook()).unwrap();
    // A program elsewhere installs shims that name it.
    let moved = workshop.scratch.folder("moved/tagworthy");
    fs::create_dir(moved.parent().unwrap()).unwrap();
    fs::copy(PROGRAM, &moved).unwrap();
    let mut install = workshop.scratch.command(&moved, &workshop.folder);
    let output = install.args(["hooks", "install"]).output().unwrap();
    assert!(String::from_utf8_lossy(&output.stdout).contains("brought up to date"));
    assert_ne!(fs::read(workshop.hook()).unwrap(), before);
    workshop.install(&[]);
    assert_eq!(fs::read(workshop.hook()).unwrap(), before);
}

#[test]
fn a_bare_repository_with_working_trees_has_both() {
    let workshop = Workshop::new();
    let shared = workshop.shared();
    assert!(shared.join("hooks/pre-receive").exists());
    assert!(!shared.join("hooks/pre-commit").exists());
    let linked = workshop.scratch.folder("linked");
    let add = ["worktree", "add", "-q", linked.to_str().unwrap(), "main"];
    workshop.scratch.git_in(&shared, &add);
    let workshop = Workshop { folder: linked, ..workshop };
    workshop.install(&[]);
    assert!(shared.join("hooks/pre-commit").exists());
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"));
}

#[test]
fn the_shim_for_those_who_install_by_hand_finds_the_program_by_name() {
    let mut workshop = Workshop::new();
    let shim = concat!(env!("CARGO_MANIFEST_DIR"), "/hooks/shim");
    workshop.tagworthy(&["hooks", "remove"]);
    fs::copy(shim, workshop.hook()).unwrap();
    write_script(&workshop.hook(), &fs::read_to_string(shim).unwrap());
    let folder = std::path::Path::new(PROGRAM).parent().unwrap().display().to_string();
    let path = std::env::var("PATH").unwrap();
    workshop.scratch.set("PATH", format!("{folder}:{path}"));
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"));
}

#[test]
fn a_git_that_lacks_hooks_is_refused_and_an_old_one_told() {
    for (version, status, word) in [
        ("2.27.1", Some(2), "does not know all of the hooks"),
        ("2.30.2", Some(0), "older than 2.39"),
        ("2.39.0", Some(0), ""),
    ] {
        let mut workshop = Workshop::new();
        workshop.tagworthy(&["hooks", "remove"]);
        let git = workshop.scratch.folder("old/git");
        write_script(&git, &format!("#!/bin/sh\necho git version {version}\n"));
        workshop.scratch.set("PATH", git.parent().unwrap());
        let output = workshop.tagworthy(&["hooks", "install"]);
        let said = [output.stdout, output.stderr].concat();
        let said = String::from_utf8_lossy(&said);
        assert_eq!(output.status.code(), status, "{version}: {said}");
        assert!(said.contains(word), "{version}: {said}");
        assert_eq!(workshop.hook().exists(), status == Some(0), "{version}");
    }
}

#[test]
fn a_hooks_folder_that_is_none_is_told() {
    let workshop = Workshop::new();
    let place = workshop.scratch.path().join(".git/no-folder");
    for is_link in [false, true] {
        let _ = fs::remove_file(&place);
        match is_link {
            true => std::os::unix::fs::symlink("nowhere", &place).unwrap(),
            false => fs::write(&place, "").unwrap(),
        }
        workshop.lets(&["config", "core.hooksPath", place.to_str().unwrap()]);
        let output = workshop.tagworthy(&["hooks", "install"]);
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains("is no folder"), "{said}");
        let output = workshop.tagworthy(&["hooks", "status"]);
        assert!(String::from_utf8_lossy(&output.stdout).contains("is no folder"));
        assert!(workshop.tagworthy(&["hooks", "remove"]).status.success());
        assert!(place.symlink_metadata().is_ok());
    }
}
