//! What is kept between runs: it changes nothing but the work, whatever the history does.

use std::fmt::Write as _;
use std::path::Path;

use tagworthy::fileset::RepoPath;
use tagworthy::git::{Range, Repository};
use tagworthy::outside::{Walk, Work};

use crate::workshop::{Workshop, lamp};

/// The work of a ledger to HEAD.
fn work(folder: &Path) -> Work {
    let repository = Repository::open(folder).unwrap();
    let range = Range { after: None, upto: "HEAD".into(), every: false };
    let today = "2026-11-20".parse().unwrap();
    let mut walk = Walk::of(&repository, RepoPath::from("tagworthy.toml"), today);
    walk.ledger(&repository.way(&range).unwrap()).unwrap();
    walk.work()
}

#[test]
fn each_state_is_evaluated_once_and_each_content_parsed_once() {
    let workshop = Workshop::new();
    workshop
        .change("parts/lamp.toml", &lamp(260), "Another lamp")
        .change("README.md", "A text", "A text")
        .change("parts/lamp.toml", &lamp(250), "The old lamp again")
        .change("parts/lamp.toml", &lamp(270), "A third lamp");
    // Manifest, three parts, and two more lamps; the text touches nothing. A lamp that weighs something
    // else stands where the lamp before it stood.
    let expected = Work { parsed: 6, linked: 1, evaluated: 4, found: 0 };
    assert_eq!(work(&workshop.folder), expected);
    assert_eq!(work(&workshop.folder), Work { found: 5, ..Work::default() });
    // One more: its own state, and the one before it to compare with.
    workshop.change("parts/lamp.toml", &lamp(280), "A fourth lamp");
    let expected = Work { parsed: 5, linked: 1, evaluated: 2, found: 5 };
    assert_eq!(work(&workshop.folder), expected);
    assert_eq!(work(&workshop.folder), Work { found: 6, ..Work::default() });
}

#[test]
fn what_reaches_further_than_a_figure_is_linked_as_a_whole() {
    let workshop = Workshop::new();
    let text = format!("{}fits.scanner = \"^1.0.0\"\n", lamp(260));
    workshop.change("parts/lamp.toml", &text, "A lamp that fits something");
    workshop.change("parts/lamp.toml", &lamp(260), "A lamp that fits nothing");
    let expected = Work { parsed: 6, linked: 2, evaluated: 3, found: 0 };
    assert_eq!(work(&workshop.folder), expected, "what is named less is named before");
}

#[test]
fn a_damaged_or_a_foreign_store_is_done_without() {
    let workshop = Workshop::new();
    workshop.change("parts/lamp.toml", &lamp(310), "Another lamp");
    let rows = workshop.rows(&[]);
    let store = workshop.folder.join(".git/tagworthy/kept.sqlite");
    let whole = std::fs::read(&store).unwrap();
    for damaged in [b"no store".as_slice(), &whole[..whole.len() / 2], &[]] {
        std::fs::write(&store, damaged).unwrap();
        assert_eq!(workshop.rows(&[]), rows);
        assert_eq!(work(&workshop.folder).evaluated, 0, "it was begun anew");
    }
    workshop.forget();
    std::fs::write(workshop.folder.join(".git/tagworthy"), "a file").unwrap();
    assert_eq!(workshop.rows(&[]), rows);
}

#[test]
fn two_at_once_do_not_harm_each_other() {
    let workshop = Workshop::lantern();
    let rows = workshop.rows(&[]);
    workshop.forget();
    std::thread::scope(|scope| {
        let both = [0, 1].map(|_| scope.spawn(|| workshop.rows(&[])));
        for one in both {
            assert_eq!(one.join().unwrap(), rows);
        }
    });
    assert_eq!(workshop.rows(&[]), rows);
}

/// The next of a sequence of numbers by Knuth's multiplier for 64 bits (MMIX; from memory).
fn next(random: &mut u64) -> u32 {
    *random =
        random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*random >> 33) as u32
}

/// One change of whatever kind: figures, files that move or go, rules, what cannot be read.
pub fn change(workshop: &Workshop, random: &mut u64) {
    let write = |path: &str, text: &str| {
        workshop.scratch.write(path, text);
    };
    let there = |path: &str| workshop.folder.join(path).exists();
    let edit = |path: &str, edit: &dyn Fn(String) -> String| {
        if let Ok(text) = std::fs::read_to_string(workshop.folder.join(path)) {
            write(path, &edit(text));
        }
    };
    match next(random) % 14 {
        0..=3 => write("parts/lamp.toml", &lamp(200 + next(random) % 150)),
        4 if there("parts/lamp.toml") => {
            workshop.git(&["mv", "-f", "parts/lamp.toml", "parts/bulb.toml"]);
        }
        5 => write("parts/lamp.toml", "[part.lamp]\norigin = \"bougt\"\n"),
        6 => {
            let _ = std::fs::remove_file(workshop.folder.join("parts/bulb.toml"));
        }
        7 => write("cad/frame.step", &next(random).to_string()),
        8 => write("README.md", &next(random).to_string()),
        9 => edit("tagworthy.toml", &|text| match text.contains("1200 g") {
            true => text.replace("1200 g", "1100 g"),
            false => text.replace("1100 g", "1200 g"),
        }),
        10 => edit("tagworthy.toml", &|text| match text.contains("parts/*.toml") {
            true => text.replace("parts/*.toml", "parts/**"),
            false => text.replace("parts/**", "parts/*.toml"),
        }),
        11 => {
            let mut text = String::new();
            let _ = writeln!(text, "[item.item-{}]\ntitle = \"An item\"", next(random) % 3);
            write("parts/items.toml", &text);
        }
        12 => edit("parts/scanner.toml", &|text| match text.contains("lamp = 1") {
            true => text.replace("lamp = 1", "lamp = 2"),
            false => text.replace("lamp = 2", "lamp = 1"),
        }),
        _ => write("parts/note.toml", &format!("# {}\n", next(random))),
    }
}

#[test]
fn what_was_kept_is_what_a_fresh_clone_says() {
    for seed in 0..5 {
        let (workshop, mut random) = (Workshop::new(), seed);
        for round in 0..4 {
            for number in 0..5 {
                change(&workshop, &mut random);
                workshop.scratch.commit(&format!("Change {number} of round {round}"));
            }
            workshop.git(&["checkout", "--quiet", "-b", &format!("side-{round}"), "HEAD~2"]);
            change(&workshop, &mut random);
            workshop.scratch.commit("Aside");
            workshop.git(&["checkout", "--quiet", "main"]);
            let side = format!("side-{round}");
            let merge = ["merge", "--quiet", "--no-ff", "-X", "ours", "--message", "Merge", &side];
            if !workshop.scratch.try_git_in(&workshop.folder, &merge).status.success() {
                workshop.git(&["merge", "--abort"]);
            }
            let (line, all) = (workshop.rows(&[]), workshop.rows(&["--all"]));
            let (scratch, folder) = (&workshop.scratch, workshop.scratch.folder("clone"));
            let _ = std::fs::remove_dir_all(&folder);
            let origin = workshop.folder.to_str().unwrap();
            scratch.git(&["clone", "--quiet", origin, folder.to_str().unwrap()]);
            let fresh = |arguments: &[&str]| workshop.rows_in(&folder, arguments);
            assert_eq!(fresh(&[]), line, "seed {seed}, round {round}");
            assert_eq!(fresh(&["--all"]), all, "seed {seed}, round {round}");
        }
    }
}
