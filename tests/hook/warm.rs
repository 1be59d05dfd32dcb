//! Rows of the ledger that hooks leave in the store.

use std::path::Path;

use tagworthy::fileset::RepoPath;
use tagworthy::git::{Range, Repository};
use tagworthy::outside::{Walk, Work};

use crate::workshop::{Workshop, lamp};

/// The work of a ledger of the last commits.
fn work(folder: &Path, commits: usize) -> Work {
    let repository = Repository::open(folder).unwrap();
    let range = Range { after: None, upto: "HEAD".into(), every: false };
    let mut way = repository.way(&range).unwrap();
    way.keep_last(commits);
    let today = "2026-11-20".parse().unwrap();
    let mut walk = Walk::of(&repository, RepoPath::from("tagworthy.toml"), today);
    walk.ledger(&way).unwrap();
    walk.work()
}

#[track_caller]
fn is_kept(workshop: &Workshop, commits: usize) {
    let work = work(&workshop.folder, commits);
    assert_eq!(work, Work { found: commits, ..Work::default() });
}

/// The kept rows are lost.
fn forget(workshop: &Workshop) {
    let _ = std::fs::remove_dir_all(workshop.scratch.path().join(".git/tagworthy"));
}

#[test]
fn a_commit_leaves_its_row() {
    let workshop = Workshop::new();
    for mass in ["260 g", "265 g"] {
        workshop.write("parts/lamp.toml", &lamp("L-260", mass));
        workshop.lets(&["commit", "-qam", mass]);
    }
    workshop.write("parts/lamp.toml", &lamp("L-350", "350 g"));
    workshop.lets(&["commit", "--no-verify", "-qam", "Past the hook"]);
    workshop.lets(&["commit", "-q", "--amend", "--no-edit", "--allow-empty"]);
    is_kept(&workshop, 3);
}

#[test]
fn a_merge_a_pull_and_a_rebase_leave_their_last_row() {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-qb", "aside"]);
    workshop.commit_lamp("L-250", "251 g");
    workshop.commit_lamp("L-250", "252 g");
    workshop.lets(&["checkout", "-q", "main"]);
    forget(&workshop);
    workshop.lets(&["merge", "-q", "--ff-only", "aside"]);
    is_kept(&workshop, 1);
    assert_eq!(work(&workshop.folder, 2).found, 1, "not more than that");

    workshop.lets(&["checkout", "-qb", "frame", "HEAD~2"]);
    workshop.change("parts/frame.toml", "900 g", "905 g");
    workshop.lets(&["commit", "-qam", "A stiffer frame"]);
    forget(&workshop);
    workshop.lets(&["merge", "-q", "--no-edit", "main"]);
    is_kept(&workshop, 1);

    workshop.lets(&["reset", "-q", "--hard", "HEAD~1"]);
    forget(&workshop);
    workshop.lets(&["rebase", "-q", "main"]);
    is_kept(&workshop, 1);
}

#[test]
fn a_series_of_commits_leaves_none() {
    let workshop = Workshop::new();
    workshop.lets(&["checkout", "-qb", "aside"]);
    for mass in ["251 g", "252 g"] {
        workshop.commit_lamp("L-250", mass);
    }
    workshop.lets(&["checkout", "-q", "main"]);
    forget(&workshop);
    workshop.lets(&["cherry-pick", "aside~1", "aside"]);
    assert_eq!(work(&workshop.folder, 2).found, 0);
}

#[test]
fn a_large_design_is_left_to_the_ledger() {
    let workshop = Workshop::new();
    for number in 0..100 {
        workshop.write(&format!("parts/{number}.toml"), "");
    }
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Many files"]);
    assert_eq!(work(&workshop.folder, 1).found, 0);
}

#[test]
fn where_nothing_can_be_kept_nothing_is_said() {
    let workshop = Workshop::new();
    std::fs::write(workshop.scratch.path().join(".git/tagworthy"), "a file").unwrap();
    workshop.write("parts/lamp.toml", &lamp("L-260", "260 g"));
    let said = workshop.lets(&["commit", "-qam", "A lamp that fits"]);
    // Nor is what was judged before: it is told again.
    assert_eq!(said.matches("lantern: mass +10 g").count(), 2, "{said}");
    assert_eq!(said.lines().count(), 2, "{said}");
    assert_eq!(workshop.scratch.git_line(&["status", "--porcelain"]), "");
}
