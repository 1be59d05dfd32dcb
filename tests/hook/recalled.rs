//! What record files say, kept from one commit to the next.

use std::fs;
use std::path::PathBuf;

use crate::workshop::{Workshop, lamp};

/// Enough record files that it is worth it.
const SCREWS: usize = 120;

/// The design with a file for each of many screws of a gram, which no assembly holds.
fn with_many_files() -> Workshop {
    let workshop = Workshop::new();
    commit_screws(&workshop, "", "1 g");
    workshop
}

/// Commits a file for each of many screws in the design in `folder`.
fn commit_screws(workshop: &Workshop, folder: &str, mass: &str) {
    for number in 0..SCREWS {
        let screw = format!("[part.screw-{number}]\norigin = \"bought\"\nmass = \"{mass}\"\n");
        workshop.write(&format!("{folder}parts/screw-{number}.toml"), &screw);
    }
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-qm", "Many files"]);
}

/// Where git has what a file says.
fn object(workshop: &Workshop, path: &str) -> PathBuf {
    let id = workshop.scratch.git_line(&["rev-parse", &format!("HEAD:{path}")]);
    workshop.scratch.path().join(".git/objects").join(&id[..2]).join(&id[2..])
}

fn kept(workshop: &Workshop) -> PathBuf {
    workshop.scratch.path().join(".git/tagworthy/kept.sqlite")
}

const HEAVIER: &str = "lantern: mass +5 g (now 1155 g)\n";

#[test]
fn what_did_not_change_is_not_read_again() {
    let workshop = with_many_files();
    fs::remove_file(object(&workshop, "parts/screw-7.toml")).unwrap();
    workshop.write("parts/lamp.toml", &lamp("L-250", "255 g"));
    workshop.lets(&["add", "parts/lamp.toml"]);
    let judged = workshop.tagworthy(&["hook", "pre-commit"]);
    assert_eq!(String::from_utf8_lossy(&judged.stderr), HEAVIER);

    fs::remove_file(kept(&workshop)).unwrap();
    let judged = workshop.tagworthy(&["hook", "pre-commit"]);
    assert_ne!(String::from_utf8_lossy(&judged.stderr), HEAVIER, "it would have to be read");
}

#[test]
fn a_store_that_is_damaged_or_gone_changes_nothing() {
    let workshop = with_many_files();
    let whole = fs::read(kept(&workshop)).unwrap();
    let mut damaged = whole.clone();
    let middle = damaged.len() / 2;
    damaged[middle..].fill(b'?');
    for content in [&whole[..], &damaged, &whole[..middle], b"no database", b""] {
        fs::write(kept(&workshop), content).unwrap();
        workshop.write("parts/lamp.toml", &lamp("L-250", "255 g"));
        assert_eq!(workshop.lets(&["commit", "-qam", "Heavier"]), HEAVIER);
        workshop.lets(&["reset", "-q", "--hard", "HEAD~1"]);
    }
}

/// The line that is shown stands in a file that nobody read.
#[test]
fn what_is_wrong_now_is_shown_where_it_stands() {
    let workshop = with_many_files();
    workshop.lets(&["rm", "-q", "parts/lamp.toml"]);
    let said = workshop.refuses(&["commit", "-qm", "No lamp"]);
    assert!(said.contains("parts/scanner.toml:6"), "{said}");
    assert!(said.contains("contains = { frame = 1, lamp = 1 }"), "{said}");
}

#[test]
fn what_one_design_keeps_another_keeps_too() {
    let workshop = with_many_files();
    let cart = "[design]\nname = \"cart\"\ntop = \"cart\"\nnext = \"1.0.0\"\ncurrency = \"EUR\"\nrecords = [\"parts/*.toml\"]\n";
    workshop.write("cart/tagworthy.toml", cart);
    workshop
        .write("cart/parts/cart.toml", "[part.cart]\norigin = \"assembled\"\ncontains.bed = 1\n");
    let bed = "[part.bed]\norigin = \"machined\"\nmass = \"80 g\"\n";
    workshop.write("cart/parts/bed.toml", bed);
    commit_screws(&workshop, "cart/", "2 g");
    for path in ["parts/screw-7.toml", "cart/parts/screw-7.toml"] {
        fs::remove_file(object(&workshop, path)).unwrap();
    }
    workshop.write("parts/lamp.toml", &lamp("L-250", "255 g"));
    workshop.write("cart/parts/bed.toml", &bed.replace("80 g", "70 g"));
    workshop.lets(&["add", "parts/lamp.toml", "cart/parts/bed.toml"]);
    let judged = workshop.tagworthy(&["hook", "pre-commit"]);
    let said = String::from_utf8_lossy(&judged.stderr);
    assert_eq!(said, format!("cart: mass -10 g (now 70 g)\n{HEAVIER}"));
}
