//! A program that is not there, panics or hangs: git goes on, whatever it was about to do; a shared
//! repository refuses.

use std::path::{Path, PathBuf};

use crate::workshop::{PROGRAM, Workshop, lamp, write_script};

/// What becomes of the program, and a word of what is said then.
const FAULTS: [(&str, &str, &str); 4] = [
    ("missing", "", "is not found"),
    ("panicking", "echo \"thread 'main' panicked\" >&2\nexit 101", "failed"),
    ("of another version", "exit 2", "failed"),
    ("hanging", "exec sleep 100", "took longer than 1 s"),
];

/// Replaces the program of all hooks in `folder` by `script`, or by nothing.
fn replace_program(workshop: &Workshop, folder: &Path, script: &str) {
    let program = workshop.scratch.folder("stand-in");
    let _ = std::fs::remove_file(&program);
    if !script.is_empty() {
        write_script(&program, &format!("#!/bin/sh\n{script}\n"));
    }
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let Ok(shim) = std::fs::read_to_string(&path) else { continue };
        if shim.contains(PROGRAM) {
            write_script(&path, &shim.replace(PROGRAM, program.to_str().unwrap()));
        }
    }
}

/// A workshop with every hook, whose program does not do what it should; a lamp that is too heavy is
/// staged.
fn faulty(script: &str) -> (Workshop, PathBuf) {
    let mut workshop = Workshop::new();
    workshop.install(&["--tag-guard"]);
    let bare = workshop.shared();
    workshop.scratch.set("TAGWORTHY_SECONDS", "1");
    workshop.scratch.set("GIT_EDITOR", "true");
    let hooks = workshop.scratch.path().join(".git/hooks");
    replace_program(&workshop, &hooks, script);
    replace_program(&workshop, &bare.join("hooks"), script);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.lets(&["add", "."]);
    (workshop, bare)
}

#[test]
fn git_goes_on_and_says_so() {
    for (fault, script, word) in FAULTS {
        let (workshop, bare) = faulty(script);
        let says = |arguments: &[&str], missed: &[&str]| {
            let said = workshop.lets(arguments);
            for missed in missed {
                let notice = said.lines().find(|line| line.contains(missed));
                let notice = notice.unwrap_or_else(|| panic!("{fault}: {missed}: {said}"));
                assert!(notice.contains("git goes on") && notice.contains(word), "{fault}: {said}");
            }
        };
        // pre-commit, prepare-commit-msg, post-commit.
        says(
            &["commit", "-q", "--amend"],
            &["the commit is not judged", "the budgets are not compared"],
        );
        // post-checkout, pre-merge-commit, post-merge.
        says(&["checkout", "-q", "-b", "aside", "HEAD"], &[]);
        workshop.lets(&[
            "-c",
            "core.hooksPath=/dev/null",
            "commit",
            "-q",
            "--allow-empty",
            "-m",
            "Aside",
        ]);
        says(&["checkout", "-q", "main"], &["the budgets are not compared"]);
        workshop.lets(&[
            "-c",
            "core.hooksPath=/dev/null",
            "commit",
            "-q",
            "--allow-empty",
            "-m",
            "Main",
        ]);
        says(
            &["merge", "-q", "--no-edit", "aside"],
            &["the merge is not judged", "the budgets are not compared"],
        );
        // reference-transaction, pre-push.
        says(&["tag", "v1.0.0"], &["the tag is not judged"]);
        std::fs::remove_file(bare.join("hooks/pre-receive")).unwrap();
        says(&["push", "-q", "origin", "v1.0.0"], &["the release tags are not judged"]);
        // post-rewrite.
        workshop.lets(&["-c", "core.hooksPath=/dev/null", "checkout", "-q", "aside"]);
        says(&["rebase", "-q", "--force-rebase", "HEAD~1"], &["the budgets are not compared"]);
    }
}

#[test]
fn a_shared_repository_refuses() {
    for (fault, script, word) in FAULTS {
        let (workshop, _) = faulty(script);
        workshop.lets(&["commit", "-qm", "A brighter lamp"]);
        let output = workshop.git(&["push", "-q", "origin", "main"]);
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(!output.status.success(), "{fault}: {said}");
        assert!(
            said.contains("the push is not judged, and refused") && said.contains(word),
            "{fault}: {said}"
        );
    }
}

#[test]
fn a_program_that_is_killed_lets_git_go_on() {
    let (workshop, _) = faulty("kill -9 $$");
    let said = workshop.lets(&["commit", "-qm", "A brighter lamp"]);
    assert!(said.contains("was ended") && said.contains("not judged"), "{said}");
}

#[test]
fn a_hanging_program_is_ended() {
    let (workshop, _) = faulty("echo $$ > \"$(dirname \"$0\")/number\"\nexec sleep 100");
    workshop.lets(&["commit", "-qm", "A brighter lamp"]);
    let number = std::fs::read_to_string(workshop.scratch.folder("number")).unwrap();
    let alive =
        workshop.scratch.command("kill", &workshop.folder).args(["-0", number.trim()]).output();
    assert!(!alive.unwrap().status.success(), "{number} still runs");
}

#[test]
fn the_program_ends_itself_where_it_takes_too_long() {
    let mut workshop = Workshop::new();
    workshop.scratch.set("TAGWORTHY_SECONDS", "0");
    // Standard input stays open, so that the program waits for it.
    let mut hook = workshop.scratch.command(PROGRAM, &workshop.folder);
    hook.args(["hook", "post-rewrite", "rebase"]).stdin(std::process::Stdio::piped());
    let mut running = hook.stderr(std::process::Stdio::piped()).spawn().unwrap();
    let open = running.stdin.take();
    let output = running.wait_with_output().unwrap();
    drop(open);
    assert!(output.status.success());
    assert!(String::from_utf8_lossy(&output.stderr).contains("git goes on"));
}

#[test]
fn a_fault_refuses_a_commit_where_the_manifest_asks_for_it() {
    let workshop = Workshop::new();
    let look = "[requirement.quiet]\npart = \"lamp\"\nmethod = \"inspection\"\n";
    workshop.write("parts/look.toml", look);
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Quiet"]);
    workshop.rule("[guard]\non-fault = \"refuse\"");
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    workshop.lets(&["add", "."]);
    // The content that is staged gets lost.
    let id = workshop.scratch.git_line(&["rev-parse", ":parts/lamp.toml"]);
    let object = workshop.scratch.path().join(".git/objects").join(&id[..2]).join(&id[2..]);
    std::fs::remove_file(object).unwrap();
    let said = workshop.refuses(&["commit", "-qm", "What was staged is gone"]);
    assert!(said.contains("the commit is not judged, and is refused"), "{said}");
}

/// What git hands to each hook (githooks(5)): arguments, and standard input.
const CALLS: [(&str, &[&str], &str); 9] = [
    ("pre-commit", &[], ""),
    ("pre-merge-commit", &[], ""),
    ("prepare-commit-msg", &[".git/description"], ""),
    ("post-commit", &[], ""),
    ("post-merge", &["0"], ""),
    ("post-checkout", &["1111", "2222", "1"], ""),
    ("post-rewrite", &["rebase"], "1111 2222\n"),
    ("pre-push", &["origin", "somewhere"], "HEAD 2222 refs/tags/v1.0.0 1111\n"),
    ("reference-transaction", &["prepared"], "1111 2222 refs/tags/v1.0.0\n"),
];

#[test]
fn each_hook_by_itself_says_so_and_lets_git_go_on() {
    for (fault, script, word) in FAULTS {
        let (workshop, bare) = faulty(script);
        let call = |hook: PathBuf, folder: &Path, arguments: &[&str], input: &str| {
            let file =
                workshop.scratch.folder(&format!("{}.in", hook.file_name().unwrap().display()));
            std::fs::write(&file, input).unwrap();
            let mut hook = workshop.scratch.command(hook, folder);
            hook.env_remove("GIT_EDITOR").args(arguments).stderr(std::process::Stdio::piped());
            hook.stdin(std::fs::File::open(file).unwrap()).spawn().unwrap()
        };
        let end = |called: std::process::Child| {
            let output = called.wait_with_output().unwrap();
            (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
        };
        let folder = workshop.scratch.path().join(".git/hooks");
        let mut installed: Vec<String> = std::fs::read_dir(&folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter(|name| !name.ends_with(".sample"))
            .collect();
        let mut called: Vec<String> = CALLS.iter().map(|(hook, ..)| (*hook).to_owned()).collect();
        installed.sort();
        called.sort();
        assert_eq!(installed, called, "every hook that is installed is called here");
        // All at once: a hanging one takes its time.
        let calls: Vec<_> = CALLS
            .iter()
            .map(|(hook, arguments, input)| {
                (hook, call(folder.join(hook), &workshop.folder, arguments, input))
            })
            .collect();
        let input = "1111 2222 refs/heads/main\n";
        let shared = call(bare.join("hooks/pre-receive"), &bare, &[], input);
        for (hook, called) in calls {
            let (status, said) = end(called);
            assert_eq!(status, Some(0), "{hook}, {fault}: {said}");
            let notice = said.lines().find(|line| line.starts_with("tagworthy: "));
            let is_told =
                notice.is_some_and(|told| told.contains(word) && told.ends_with("git goes on"));
            assert!(is_told, "{hook}, {fault}: {said}");
        }
        let (status, said) = end(shared);
        assert_eq!(status, Some(1), "{fault}: {said}");
        let is_told = said.contains(word) && said.contains("is not judged, and refused");
        assert!(is_told, "{fault}: {said}");
    }
}
