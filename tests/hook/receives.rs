//! What a shared repository lets in.

use std::fs;
use std::path::{Path, PathBuf};

use crate::workshop::{PROGRAM, Workshop, from_remote, lamp, write_script};

/// A workshop without hooks of its own, and the shared repository that it pushes to.
fn shared() -> (Workshop, PathBuf) {
    let workshop = Workshop::new();
    let bare = workshop.shared();
    let output = workshop.tagworthy(&["hooks", "remove"]);
    assert!(output.status.success());
    (workshop, bare)
}

/// The push must be refused; what the other side says.
fn refuses(workshop: &Workshop, arguments: &[&str]) -> String {
    let output = workshop.git(&[&["push", "-q", "origin"], arguments].concat());
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!output.status.success(), "{arguments:?} was let through:\n{said}");
    from_remote(&said)
}

/// What a reference of the shared repository names.
fn there(workshop: &Workshop, bare: &Path, name: &str) -> String {
    let output = workshop.scratch.try_git_in(bare, &["rev-parse", "-q", "--verify", name]);
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn a_branch_that_breaks_a_requirement_is_refused() {
    let (workshop, bare) = shared();
    let before = there(&workshop, &bare, "main");
    workshop.commit_lamp("L-350", "350 g");
    insta::assert_snapshot!(refuses(&workshop, &["main"]));
    assert_eq!(there(&workshop, &bare, "main"), before);
    workshop.commit_lamp("L-260", "260 g");
    let said = workshop.lets(&["push", "-q", "origin", "main"]);
    assert!(said.contains("lantern: mass +10 g (now 1160 g)"), "{said}");
}

#[test]
fn records_that_cannot_be_read_are_refused() {
    let (workshop, _) = shared();
    workshop.write("parts/lamp.toml", "[part.lamp]\norigin = \"bougth\"\n");
    workshop.lets(&["commit", "-qam", "A slip"]);
    insta::assert_snapshot!(refuses(&workshop, &["main"]));
}

#[test]
fn a_push_cannot_relax_its_own_rules() {
    let (workshop, _) = shared();
    workshop.rule("[guard]\nreceive = []\non-fault = \"pass\"");
    workshop.commit_lamp("L-350", "350 g");
    assert!(refuses(&workshop, &["main"]).contains("carry-mass"));
    assert!(refuses(&workshop, &["main:refs/heads/new"]).contains("carry-mass"));
    workshop.lets(&["push", "-q", "origin", "HEAD~1:main"]);
    workshop.lets(&["push", "-q", "origin", "main"]);
}

#[test]
fn a_design_that_is_moved_is_still_the_same() {
    let (workshop, _) = shared();
    workshop.write("lantern/notes.txt", "here now");
    workshop.lets(&["mv", "tagworthy.toml", "parts", "lantern"]);
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Into a folder"]);
    workshop.write("lantern/parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.lets(&["commit", "-qam", "A brighter lamp"]);
    assert!(refuses(&workshop, &["main"]).contains("carry-mass"));
    workshop.lets(&["push", "-q", "origin", "HEAD~1:main"]);
}

#[test]
fn a_new_branch_is_compared_with_where_it_parted() {
    let (workshop, _) = shared();
    workshop.lets(&["checkout", "-qb", "aside"]);
    workshop.write("notes.txt", "to do");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Notes"]);
    workshop.lets(&["checkout", "-q", "main"]);
    workshop.commit_lamp("L-260", "260 g");
    workshop.lets(&["push", "-q", "origin", "main"]);
    assert_eq!(workshop.lets(&["push", "-q", "origin", "aside"]), "");
    workshop.lets(&["push", "-q", "origin", "--delete", "aside"]);
}

#[test]
fn a_rewritten_branch_is_judged_by_what_it_was() {
    let (workshop, _) = shared();
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.lets(&["commit", "-q", "--amend", "-am", "First light, brighter"]);
    assert!(refuses(&workshop, &["--force", "main"]).contains("carry-mass"));
}

#[test]
fn a_tag_must_be_ready() {
    let (workshop, bare) = shared();
    workshop.lets(&["tag", "-a", "-m", "First release", "v1.0.0"]);
    insta::assert_snapshot!(refuses(&workshop, &["v1.0.0"]));
    assert_eq!(there(&workshop, &bare, "v1.0.0"), "");
    workshop.lets(&["tag", "aside"]);
    workshop.lets(&["push", "-q", "origin", "aside"]);
    workshop.get_ready();
    workshop.lets(&["tag", "-f", "v1.0.0"]);
    workshop.lets(&["push", "-q", "--atomic", "origin", "main", "v1.0.0"]);
}

#[test]
fn an_atomic_push_is_refused_as_a_whole() {
    let (workshop, bare) = shared();
    workshop.lets(&["branch", "aside"]);
    workshop.commit_lamp("L-350", "350 g");
    assert!(refuses(&workshop, &["--atomic", "aside", "main"]).contains("carry-mass"));
    assert_eq!(there(&workshop, &bare, "aside"), "");
}

#[test]
fn a_push_is_judged_at_its_tip_unless_each_commit_is_asked_for() {
    let (workshop, _) = shared();
    workshop.commit_lamp("L-350", "350 g");
    workshop.commit_lamp("L-255", "255 g");
    workshop.lets(&["push", "-q", "origin", "main"]);
    workshop.rule("[guard]\nevery-commit = true");
    workshop.lets(&["push", "-q", "origin", "main"]);
    workshop.commit_lamp("L-360", "360 g");
    workshop.commit_lamp("L-250", "250 g");
    insta::assert_snapshot!(refuses(&workshop, &["main"]));
}

#[test]
fn a_thousand_commits_are_let_in_at_once() {
    let (workshop, _) = shared();
    let mut script = String::from("reset refs/heads/many\nfrom refs/heads/main^0\n\n");
    for number in 0..1000 {
        script += &format!(
            "commit refs/heads/many\ncommitter Ada <ada@lantern.example> {} +0000\ndata 1\nx\nM 100644 inline notes.txt\ndata {}\n{number}\n",
            1_800_000_000 + number,
            number.to_string().len(),
        );
    }
    let input = workshop.scratch.folder("script");
    fs::write(&input, script).unwrap();
    let mut import = workshop.scratch.command("git", &workshop.folder);
    let done =
        import.args(["fast-import", "--quiet"]).stdin(fs::File::open(input).unwrap()).status();
    assert!(done.unwrap().success());
    assert_eq!(workshop.lets(&["push", "-q", "origin", "many"]), "");
}

#[test]
fn the_first_push_is_refused_only_for_unreadable_records() {
    let (workshop, _) = shared();
    let empty = workshop.scratch.folder("empty.git");
    workshop.lets(&["init", "-q", "--bare", "-b", "main", empty.to_str().unwrap()]);
    let mut install = workshop.scratch.command(PROGRAM, &empty);
    assert!(install.args(["hooks", "install"]).output().unwrap().status.success());
    workshop.lets(&["remote", "set-url", "origin", empty.to_str().unwrap()]);
    workshop.write("parts/lamp.toml", "[part.lamp]\norigin = \"bougth\"\n");
    workshop.lets(&["commit", "-qam", "A slip"]);
    assert!(refuses(&workshop, &["main"]).contains("bougth"));
    workshop.commit_lamp("L-350", "350 g");
    workshop.lets(&["push", "-q", "origin", "main"]);
}

#[test]
fn a_fault_refuses_unless_the_manifest_lets_it_pass() {
    let (workshop, bare) = shared();
    // The branch's tip before cannot be read any more.
    let shim = fs::read_to_string(bare.join("hooks/pre-receive")).unwrap();
    let fed = "printf '%s' \"$input\" |";
    let blind = shim.replace(fed, &format!("{fed} sed 's/^......../deadbeef/' |"));
    assert_ne!(blind, shim);
    write_script(&bare.join("hooks/pre-receive"), &blind);
    workshop.commit_lamp("L-260", "260 g");
    let said = refuses(&workshop, &["main"]);
    assert!(said.contains("the push is not judged, and is refused"), "{said}");

    write_script(&bare.join("hooks/pre-receive"), &shim);
    workshop.rule("[guard]\non-fault = \"pass\"");
    workshop.lets(&["push", "-q", "origin", "main"]);
    write_script(&bare.join("hooks/pre-receive"), &blind);
    workshop.commit_lamp("L-265", "265 g");
    let said = workshop.lets(&["push", "-q", "origin", "main"]);
    assert!(said.contains("and git goes on"), "{said}");
}

#[test]
fn the_store_borrows_objects_of_another() {
    let (workshop, bare) = shared();
    let forked = workshop.scratch.folder("forked.git");
    let [bare, path] = [bare.to_str().unwrap(), forked.to_str().unwrap()];
    workshop.lets(&["clone", "-q", "--bare", "--shared", bare, path]);
    let mut install = workshop.scratch.command(PROGRAM, &forked);
    assert!(install.args(["hooks", "install"]).output().unwrap().status.success());
    workshop.lets(&["remote", "set-url", "origin", path]);
    workshop.commit_lamp("L-350", "350 g");
    assert!(refuses(&workshop, &["main"]).contains("carry-mass"));
}

#[test]
fn every_branch_of_a_push_is_judged() {
    let (workshop, _) = shared();
    workshop.lets(&["push", "-q", "origin", "main:aside"]);
    workshop.commit_lamp("L-350", "350 g");
    let said = refuses(&workshop, &["main:aside", "main:refs/heads/new", "main"]);
    for branch in ["aside", "new", "main"] {
        assert!(said.contains(&format!("this push to {branch} breaks 1 requirement")), "{said}");
    }
}

#[test]
fn a_tag_does_not_bring_its_own_rules() {
    let (workshop, _) = shared();
    workshop.lets(&["checkout", "-qb", "aside"]);
    workshop.rule("[guard]\nreceive = []\ntag = []");
    workshop.change("tagworthy.toml", "records =", "tag = \"lantern-{version}\"\nrecords =");
    workshop.lets(&["commit", "-qam", "Other tags, and no rules for them"]);
    workshop.lets(&["tag", "v1.0.0"]);
    assert!(refuses(&workshop, &["v1.0.0"]).contains("licence"));
}

/// Adds 1001 commits that change nothing; what is said of such a push.
fn with_very_many_commits(workshop: &Workshop) -> String {
    let tree = workshop.scratch.git_line(&["rev-parse", "HEAD^{tree}"]);
    let mut script = String::new();
    for number in 0..1_001 {
        script += &format!(
            "commit refs/heads/main\ncommitter Ada <ada@lantern.example> {} +0000\ndata 1\nx\n{}M 040000 {tree} \"\"\n",
            1_800_000_000 + number,
            if number == 0 { "from refs/heads/main^0\n" } else { "" },
        );
    }
    let input = workshop.scratch.folder("script");
    fs::write(&input, script).unwrap();
    let mut import = workshop.scratch.command("git", &workshop.folder);
    let done =
        import.args(["fast-import", "--quiet"]).stdin(fs::File::open(input).unwrap()).status();
    assert!(done.unwrap().success());
    "this push to main has more than 1000 commits: the last 1000 are judged one by one, those before them \
     as one step"
        .to_owned()
}

#[test]
fn more_commits_than_are_judged_one_by_one_are_told() {
    let (workshop, _) = shared();
    workshop.rule("[guard]\nevery-commit = true");
    workshop.lets(&["push", "-q", "origin", "main"]);
    let told = with_very_many_commits(&workshop);
    assert_eq!(from_remote(&workshop.lets(&["push", "-q", "origin", "main"])), told);
}

#[test]
fn what_came_before_very_many_commits_is_judged_too() {
    let (workshop, _) = shared();
    workshop.rule("[guard]\nevery-commit = true");
    workshop.lets(&["push", "-q", "origin", "main"]);
    workshop.commit_lamp("L-350", "350 g");
    let told = with_very_many_commits(&workshop);
    let said = refuses(&workshop, &["main"]);
    assert!(said.contains(&told) && said.contains("carry-mass"), "{said}");
}
