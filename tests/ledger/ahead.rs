//! What is read ahead on another thread: it changes nothing, and what is missing is met where it is.

use tagworthy::fileset::RepoPath;
use tagworthy::git::{Range, Repository, Way};
use tagworthy::history::Row;
use tagworthy::outside::Walk;

use crate::memo::change;
use crate::workshop::{Workshop, lamp};

/// The rows to a revision, as far as they go, and why they go no further.
fn told(workshop: &Workshop, (upto, every): (&str, bool), is_alone: bool) -> (Vec<Row>, String) {
    let repository = Repository::open(&workshop.folder).unwrap();
    let way = way(&repository, upto, every);
    let today = "2026-11-20".parse().unwrap();
    let walk = Walk::of(&repository, RepoPath::from("tagworthy.toml"), today);
    let mut walk = if is_alone { walk.alone() } else { walk };
    let mut rows = Vec::new();
    let ended = walk.rows(&way, &mut |row| {
        rows.push(row);
        Ok(())
    });
    (rows, ended.err().map(|failure| failure.to_string()).unwrap_or_default())
}

fn way(repository: &Repository, upto: &str, every: bool) -> Way {
    repository.way(&Range { after: None, upto: upto.to_owned(), every }).unwrap()
}

/// Holds a walk that reads ahead to one that does not, where the rows to `known` are kept already.
#[track_caller]
fn check(workshop: &Workshop, known: Option<&str>, every: bool) {
    let [ahead, alone] = [false, true].map(|is_alone| {
        workshop.forget();
        if let Some(known) = known {
            told(workshop, (known, false), true);
        }
        told(workshop, ("HEAD", every), is_alone)
    });
    assert_eq!(ahead, alone);
    assert_eq!(alone.1, "");
}

#[test]
fn reading_ahead_changes_nothing() {
    for seed in 0..6 {
        let (workshop, mut random) = (Workshop::new(), seed);
        for number in 0..10 {
            change(&workshop, &mut random);
            workshop.scratch.commit(&format!("Change {number}"));
        }
        workshop.git(&["checkout", "--quiet", "-b", "side", "HEAD~4"]);
        change(&workshop, &mut random);
        workshop.scratch.commit("Aside");
        workshop.git(&["checkout", "--quiet", "main"]);
        let merge = ["merge", "--quiet", "--no-ff", "-X", "ours", "--message", "Merge", "side"];
        if !workshop.scratch.try_git_in(&workshop.folder, &merge).status.success() {
            workshop.git(&["merge", "--abort"]);
        }
        for (known, every) in
            [(None, false), (None, true), (Some("HEAD~5"), false), (Some("HEAD~2"), true)]
        {
            check(&workshop, known, every);
        }
    }
}

#[test]
fn what_is_missing_is_met_after_the_rows_before_it() {
    let workshop = Workshop::new();
    for grams in [260, 270, 280, 290] {
        workshop.change("parts/lamp.toml", &lamp(grams), &format!("{grams} g"));
    }
    let whole = told(&workshop, ("HEAD", false), true).0;
    assert_eq!(whole.len(), 5);
    let lost = ["HEAD~1:parts/lamp.toml", "HEAD~2:parts", "HEAD~2^{tree}"];
    for (place, lost) in lost.iter().enumerate() {
        let object = workshop.git(&["rev-parse", lost]);
        let (folder, file) = object.split_at(2);
        let file = workshop.folder.join(".git/objects").join(folder).join(file);
        let content = std::fs::read(&file).unwrap();
        std::fs::remove_file(&file).unwrap();
        for is_alone in [false, true] {
            workshop.forget();
            let (rows, why) = told(&workshop, ("HEAD", false), is_alone);
            let before = if place == 0 { 3 } else { 2 };
            assert_eq!(rows, whole[..before], "{lost}");
            assert!(why.contains(&format!("object {object} is missing")), "{lost}: {why}");
        }
        std::fs::write(&file, content).unwrap();
    }
}

#[test]
fn what_is_known_asks_for_no_objects() {
    let workshop = Workshop::new();
    workshop.change("parts/lamp.toml", &lamp(260), "Another lamp");
    workshop.change("parts/lamp.toml", &lamp(270), "A third lamp");
    let whole = told(&workshop, ("HEAD", false), false);
    for lost in ["HEAD:parts/lamp.toml", "HEAD~1:parts", "HEAD^{tree}"] {
        let object = workshop.git(&["rev-parse", lost]);
        let (folder, file) = object.split_at(2);
        std::fs::remove_file(workshop.folder.join(".git/objects").join(folder).join(file)).unwrap();
    }
    assert_eq!(told(&workshop, ("HEAD", false), false), whole);
}
