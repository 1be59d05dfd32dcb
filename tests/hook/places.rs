//! Where a commit can be made, and from which kind of index: subfolders, linked working trees,
//! submodules, several designs, names of any bytes.

use crate::common::large::tetrahedron;
use crate::workshop::{Workshop, lamp};

#[test]
fn from_a_subfolder() {
    let mut workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.folder.push("parts");
    assert!(workshop.refuses(&["commit", "-am", "From below"]).contains("carry-mass"));
    assert!(workshop.refuses(&["commit", "-m", "One file", "lamp.toml"]).contains("carry-mass"));
}

#[test]
fn in_a_linked_working_tree() {
    let mut workshop = Workshop::new();
    let linked = workshop.scratch.folder("linked");
    workshop.lets(&["worktree", "add", "-q", linked.to_str().unwrap()]);
    workshop.folder = linked;
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-am", "From a linked tree"]).contains("carry-mass"));
    assert!(
        workshop.refuses(&["commit", "-m", "One file", "parts/lamp.toml"]).contains("carry-mass")
    );
}

#[test]
fn in_a_submodule() {
    let mut workshop = Workshop::new();
    let outer = workshop.scratch.folder("outer");
    std::fs::create_dir(&outer).unwrap();
    workshop.scratch.git_in(&outer, &["init", "-q"]);
    let inner = workshop.scratch.path();
    let add = [
        "-c",
        "protocol.file.allow=always",
        "submodule",
        "add",
        "-q",
        inner.to_str().unwrap(),
        "scanner",
    ];
    workshop.scratch.git_in(&outer, &add);
    workshop.folder = outer.join("scanner");
    workshop.install(&[]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-am", "In a submodule"]).contains("carry-mass"));
}

#[test]
fn a_design_that_the_commit_does_not_touch_is_left_alone() {
    let workshop = Workshop::new();
    workshop.write("vendor/other/tagworthy.toml", "[design]\nname = \"other\"\n");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "--no-verify", "-qm", "A broken design of someone else's"]);
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    let said = workshop.lets(&["commit", "-qam", "Our own"]);
    assert!(!said.contains("other"), "{said}");
}

/// 60 mm · 60 mm · 60 mm / 6 of 1 g/cm³ are 36 g; twice that is more than the rest leaves.
#[test]
fn a_file_beside_the_design_that_one_of_its_parts_names_is_judged() {
    let mut workshop = Workshop::new();
    workshop.folder = workshop.scratch.folder("repo/cart");
    workshop.write_design();
    workshop.write(
        "parts/gate.toml",
        "[part.gate]\norigin = \"printed\"\nmaterial = \"wax\"\n\
         mesh = { file = \"/../shared/gate.stl\", unit = \"mm\" }\n\
         [material.wax]\ndensity = \"1 g/cm³\"\n",
    );
    workshop.change("parts/scanner.toml", "lamp = 1", "lamp = 1, gate = 1");
    workshop.write("../shared/gate.stl", &tetrahedron(60));
    workshop.lets(&["add", "-A", ":/"]);
    workshop.lets(&["commit", "-qm", "A second design, with a gate"]);
    workshop.write("../shared/gate.stl", &tetrahedron(120));
    assert!(workshop.refuses(&["commit", "-qam", "A deeper gate"]).contains("carry-mass"));
    workshop.lets(&["checkout", "-q", "HEAD", "--", "../shared/gate.stl"]);
    workshop.write("../shared/note.txt", "nobody names it\n");
    workshop.lets(&["add", "-A", ":/"]);
    assert_eq!(workshop.lets(&["commit", "-qm", "A note"]), "");
}

#[test]
fn with_a_sparse_checkout_and_a_sparse_index() {
    let workshop = Workshop::new();
    workshop.write("docs/notes.txt", "to do");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Notes"]);
    workshop.lets(&["sparse-checkout", "set", "--cone", "--sparse-index", "docs"]);
    assert!(!workshop.folder.join("parts").exists());
    workshop.write("docs/notes.txt", "done");
    assert_eq!(workshop.lets(&["commit", "-qam", "Done"]), "");
    workshop.lets(&["sparse-checkout", "set", "--cone", "--sparse-index", "parts"]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"));
}

#[test]
fn with_a_split_index_and_one_of_another_version() {
    for setting in ["--split-index", "--index-version=4", "--untracked-cache"] {
        let workshop = Workshop::new();
        workshop.lets(&["update-index", setting]);
        workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
        assert!(
            workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"),
            "{setting}"
        );
    }
}

#[test]
fn what_is_only_announced_is_not_judged() {
    let workshop = Workshop::new();
    workshop.write("parts/more.toml", "[part.lamp]\norigin = \"bought\"\n");
    workshop.lets(&["add", "-N", "parts/more.toml"]);
    workshop.lets(&["commit", "-q", "--allow-empty", "-m", "Nothing yet"]);
    workshop.lets(&["add", "parts/more.toml"]);
    assert!(workshop.refuses(&["commit", "-qm", "A second lamp"]).contains("more.toml"));
}

#[test]
fn a_part_of_a_file_is_judged_as_that_part() {
    let workshop = Workshop::new();
    let lamps = "[part.lamp]\norigin = \"bought\"\nmpn = \"L-350\"\nmass = \"350 g\"\n";
    workshop.write("parts/lamp.toml", &format!("# bright\n{lamps}# to be weighed\n"));
    // The first hunk alone: a comment in front, and the heavier lamp.
    let mut add = workshop.scratch.command("git", &workshop.folder);
    let answers = workshop.scratch.folder("answers");
    std::fs::write(&answers, "s\ny\nn\nn\n").unwrap();
    add.args(["add", "-p"]).stdin(std::fs::File::open(answers).unwrap());
    assert!(add.output().unwrap().status.success());
    workshop.lets(&["commit", "-qm", "Only a comment"]);
    assert!(workshop.refuses(&["commit", "-qam", "All of it"]).contains("carry-mass"));
}

#[test]
fn on_no_branch() {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-q", "--detach"]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"));
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    assert_eq!(workshop.lets(&["commit", "-qam", "Fits"]), "lantern: mass +10 g (now 1160 g)\n");
}

#[test]
fn with_names_of_any_bytes() {
    use std::os::unix::ffi::OsStrExt;
    let workshop = Workshop::new();
    let odd = workshop.folder.join(std::ffi::OsStr::from_bytes(b"parts/lampe \"\xfc\" 'x'.toml"));
    std::fs::remove_file(workshop.folder.join("parts/lamp.toml")).unwrap();
    std::fs::write(&odd, lamp("L-260", "260 g")).unwrap();
    workshop.lets(&["add", "-A"]);
    workshop.lets(&["commit", "-qm", "Another name"]);
    std::fs::write(&odd, lamp("L-350", "350 g")).unwrap();
    assert!(workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"));
}

#[test]
fn in_a_folder_with_blanks_and_quotes() {
    let mut workshop = Workshop::new();
    let odd = workshop.scratch.folder("it's \"my\" $HOME design");
    std::fs::rename(&workshop.folder, &odd).unwrap();
    workshop.folder = odd;
    workshop.tagworthy(&["hooks", "remove"]);
    crate::workshop::write_script(
        &workshop.folder.join(".git/hooks/pre-commit"),
        "#!/bin/sh\necho kept >&2\n",
    );
    workshop.install(&[]);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    let said = workshop.refuses(&["commit", "-qam", "Too heavy"]);
    assert!(said.contains("carry-mass") && said.starts_with("kept\n"), "{said}");
}

#[test]
fn two_commits_at_once() {
    let workshop = Workshop::new();
    let linked = workshop.scratch.folder("linked");
    workshop.lets(&["worktree", "add", "-q", linked.to_str().unwrap()]);
    for folder in [&workshop.folder, &linked] {
        std::fs::write(folder.join("parts/lamp.toml"), lamp("L-260", "260 g")).unwrap();
    }
    let commit = |folder: &std::path::Path| {
        let mut commit = workshop.scratch.command("git", folder);
        commit.args(["commit", "-qam", "At the same time"]).stderr(std::process::Stdio::piped());
        commit.spawn().unwrap()
    };
    let both = [commit(&workshop.folder), commit(&linked)];
    for one in both {
        let output = one.wait_with_output().unwrap();
        assert!(output.status.success());
        assert_eq!(String::from_utf8_lossy(&output.stderr), "lantern: mass +10 g (now 1160 g)\n");
    }
}

#[test]
fn nothing_is_written_to_the_working_tree_or_the_index() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    workshop.lets(&["add", "."]);
    let index = workshop.scratch.path().join(".git/index");
    let before = std::fs::read(&index).unwrap();
    let output = workshop.tagworthy(&["hook", "pre-commit"]);
    assert!(output.status.success());
    assert_eq!(std::fs::read(&index).unwrap(), before);
    assert_eq!(workshop.scratch.git_line(&["status", "--porcelain"]), "M  parts/lamp.toml");
}

#[test]
fn a_step_of_another_repository_does_not_leak_into_this_one() {
    let workshop = Workshop::new();
    // A hook of another repository commits here, with its own variables still set.
    let outer = crate::common::Scratch::new();
    let commit = format!(
        "#!/bin/sh\nunset $(git rev-parse --local-env-vars)\ncd '{}' && git commit -qam Inner\n",
        workshop.folder.display()
    );
    crate::workshop::write_script(&outer.path().join(".git/hooks/pre-commit"), &commit);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    let output = outer.try_git_in(&outer.path(), &["commit", "-q", "--allow-empty", "-m", "Outer"]);
    assert!(!output.status.success());
    assert!(String::from_utf8_lossy(&output.stderr).contains("carry-mass"));
}

#[test]
fn a_part_of_a_file_that_is_chosen_while_committing() {
    let workshop = Workshop::new();
    workshop.write("parts/lamp.toml", &format!("# bright\n{}", lamp("L-350", "350 g")));
    let commit = |answers: &str| {
        let input = workshop.scratch.folder("answers");
        std::fs::write(&input, answers).unwrap();
        let mut commit = workshop.scratch.command("git", &workshop.folder);
        commit.args(["commit", "-qpm", "Chosen"]).stdin(std::fs::File::open(input).unwrap());
        commit.output().unwrap()
    };
    let refused = commit("a\n");
    assert!(!refused.status.success());
    assert!(String::from_utf8_lossy(&refused.stderr).contains("carry-mass"));
    assert!(commit("s\ny\nn\nn\n").status.success(), "the comment alone");
    assert!(workshop.scratch.git_line(&["show", "HEAD:parts/lamp.toml"]).contains("250 g"));
}

#[test]
fn in_a_repository_without_any_commit() {
    let scratch = crate::common::Scratch::new();
    let folder = scratch.path();
    let workshop = Workshop { scratch, folder };
    workshop.install(&[]);
    workshop.write_design();
    workshop.write("parts/lamp.toml", &lamp("L-250", "two hundred grams"));
    workshop.lets(&["add", "."]);
    assert!(workshop.refuses(&["commit", "-qm", "First light"]).contains("lamp.toml:7"));
    workshop.write("parts/lamp.toml", &lamp("L-250", "250 g"));
    workshop.lets(&["add", "."]);
    assert_eq!(workshop.lets(&["commit", "-qm", "First light"]), "");
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"));
}

#[test]
fn around_a_submodule_that_moves() {
    let workshop = Workshop::new();
    let inner = workshop.scratch.folder("inner");
    std::fs::create_dir(&inner).unwrap();
    workshop.scratch.git_in(&inner, &["init", "-q", "-b", "main"]);
    let step = ["commit", "-q", "--allow-empty", "-m", "A step"];
    workshop.scratch.git_in(&inner, &step);
    let allow = ["-c", "protocol.file.allow=always"];
    let add = ["submodule", "add", "-q", inner.to_str().unwrap(), "parts/vendor.toml"];
    workshop.lets(&[&allow[..], &add].concat());
    assert_eq!(
        workshop.lets(&["commit", "-qm", "With a submodule that is called like records"]),
        ""
    );
    workshop.scratch.git_in(&workshop.folder.join("parts/vendor.toml"), &step);
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-qam", "Both"]).contains("carry-mass"));
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    assert_eq!(workshop.lets(&["commit", "-qam", "Both"]), "lantern: mass +10 g (now 1160 g)\n");
}

#[test]
fn without_a_design_a_past_that_is_missing_is_no_matter() {
    let scratch = crate::common::Scratch::new();
    let folder = scratch.path();
    let workshop = Workshop { scratch, folder };
    workshop.write("notes/lamp.txt", "to do");
    workshop.scratch.commit("Notes");
    let tree = workshop.scratch.git_line(&["rev-parse", "HEAD:notes"]);
    let object = workshop.scratch.path().join(".git/objects").join(&tree[..2]).join(&tree[2..]);
    std::fs::remove_file(object).unwrap();
    let hook = || {
        let output = workshop.tagworthy(&["hook", "pre-commit"]);
        assert!(output.status.success());
        String::from_utf8(output.stderr).unwrap()
    };
    assert_eq!(hook(), "");
    workshop.write_design();
    workshop.lets(&["add", "."]);
    let said = hook();
    assert!(said.contains("is missing") && said.contains("not judged"), "{said}");
}
