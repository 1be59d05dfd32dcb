//! What record files say, and the state that was judged last, kept from one commit to the next.

use std::fs;
use std::path::PathBuf;

use crate::common::large::{fetch, place_of, pointer_to, tetrahedron};
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

/// Where it is kept what the files say.
const RECORDS: &str = "records";

/// Where the state is kept that was judged last.
const STATE: &str = "state";

/// Where it is kept what files of parts say.
const FACTS: &str = "kept.sqlite";

fn kept(workshop: &Workshop, name: &str) -> PathBuf {
    workshop.scratch.path().join(".git/tagworthy").join(name)
}

/// The same design after two more commits: one was judged with what the first had kept, and kept its state.
fn with_a_state() -> Workshop {
    let workshop = with_many_files();
    assert!(!kept(&workshop, STATE).exists(), "what was written first are the records");
    for grams in [252, 250] {
        workshop.write("parts/lamp.toml", &lamp("L-250", &format!("{grams} g")));
        workshop.lets(&["commit", "-qam", "Another lamp"]);
    }
    assert!(kept(&workshop, STATE).exists());
    workshop
}

/// What the hook says of what is staged.
fn judged(workshop: &Workshop) -> String {
    let judged = workshop.tagworthy(&["hook", "pre-commit"]);
    String::from_utf8_lossy(&judged.stderr).into_owned()
}

const HEAVIER: &str = "lantern: mass +5 g (now 1155 g)\n";

#[test]
fn what_did_not_change_is_not_read_again() {
    let workshop = with_many_files();
    fs::remove_file(object(&workshop, "parts/screw-7.toml")).unwrap();
    workshop.write("parts/lamp.toml", &lamp("L-250", "255 g"));
    workshop.lets(&["add", "parts/lamp.toml"]);
    assert_eq!(judged(&workshop), HEAVIER);
    assert_eq!(judged(&workshop), HEAVIER, "from the state that the first one kept");

    fs::remove_file(kept(&workshop, RECORDS)).unwrap();
    assert_eq!(judged(&workshop), HEAVIER, "from the state alone");
    fs::remove_file(kept(&workshop, STATE)).unwrap();
    assert_ne!(judged(&workshop), HEAVIER, "it would have to be read");
}

/// The commit that was not judged changed what all parts are judged by.
#[test]
fn where_another_manifest_came_between_nothing_is_taken_from_the_state() {
    let workshop = with_a_state();
    let manifest = workshop.read("tagworthy.toml");
    workshop.write(
        "tagworthy.toml",
        &format!("{manifest}[allowance]\nmass = {{ estimated = \"2 %\", stated = \"2 %\", measured = \"2 %\" }}\n"),
    );
    workshop.lets(&["commit", "--no-verify", "-qam", "An allowance"]);
    workshop.write("parts/lamp.toml", &lamp("L-250", "255 g"));
    workshop.lets(&["add", "."]);
    let from_state = judged(&workshop);
    fs::remove_dir_all(kept(&workshop, "")).unwrap();
    assert_eq!(from_state, judged(&workshop));
    assert_ne!(from_state, HEAVIER, "the allowance counts");
}

/// Leaves of all files that are as they were nothing but what the state says.
fn leave_the_state_alone(workshop: &Workshop) {
    fs::remove_file(kept(workshop, RECORDS)).unwrap();
    for number in 0..SCREWS {
        fs::remove_file(object(workshop, &format!("parts/screw-{number}.toml"))).unwrap();
    }
}

#[test]
fn what_is_warned_of_is_kept_all_the_same() {
    let workshop = with_many_files();
    workshop.change("tagworthy.toml", "\"parts/*.toml\"", "\"parts/*.toml\", \"none/*.toml\"");
    workshop.lets(&["commit", "-qam", "A glob that finds nothing"]);
    leave_the_state_alone(&workshop);
    workshop.write("parts/lamp.toml", &lamp("L-250", "255 g"));
    workshop.lets(&["add", "parts/lamp.toml"]);
    assert_eq!(judged(&workshop), HEAVIER);
}

#[test]
fn what_moves_a_figure_starts_from_the_state_that_was_judged_last() {
    let workshop = with_a_state();
    leave_the_state_alone(&workshop);
    workshop.write("parts/lamp.toml", &lamp("L-250", "255 g"));
    workshop.write("README.md", "Lantern\n");
    workshop.lets(&["add", "parts/lamp.toml", "README.md"]);
    assert_eq!(judged(&workshop), HEAVIER);

    let scanner = workshop.read("parts/scanner.toml");
    workshop.write("parts/scanner.toml", &scanner.replace("lamp = 1", "lamp = 2"));
    workshop.lets(&["add", "parts/scanner.toml"]);
    let said = judged(&workshop);
    assert!(
        said.contains("is missing from the repository"),
        "another scanner is linked as a whole: {said}"
    );
}

#[test]
fn whatever_changed_it_is_judged_as_without_a_state() {
    let changes: [&[(&str, &str, &str)]; 6] = [
        &[("parts/lamp.toml", "250 g", "255 g")],
        &[("parts/lamp.toml", "250 g", "9 kg")],
        &[("parts/lamp.toml", "250 g", "9 kilo")],
        &[("parts/scanner.toml", "lamp = 1", "lamp = 2")],
        &[("tagworthy.toml", "next", "title = \"Another\"\nnext")],
        &[("parts/screw-3.toml", "1 g", "2 g"), ("parts/lamp.toml", "250 g", "251 g")],
    ];
    for change in changes {
        let workshop = with_a_state();
        for (path, was, is) in change {
            let text = workshop.read(path);
            assert!(text.contains(was), "{path}");
            workshop.write(path, &text.replace(was, is));
        }
        workshop.lets(&["add", "."]);
        let from_state = judged(&workshop);
        fs::remove_dir_all(kept(&workshop, "")).unwrap();
        assert_eq!(from_state, judged(&workshop), "{change:?}");
    }
}

#[test]
fn what_is_damaged_or_gone_changes_nothing() {
    let workshop = with_a_state();
    for name in [RECORDS, STATE] {
        let whole = fs::read(kept(&workshop, name)).unwrap();
        let mut damaged = whole.clone();
        let middle = damaged.len() / 2;
        damaged[middle..].fill(b'?');
        for content in [&whole[..], &damaged, &whole[..middle], b"nothing of it", b""] {
            fs::write(kept(&workshop, name), content).unwrap();
            workshop.write("parts/lamp.toml", &lamp("L-250", "255 g"));
            assert_eq!(workshop.lets(&["commit", "-qam", "Heavier"]), HEAVIER);
            workshop.lets(&["reset", "-q", "--hard", "HEAD~1"]);
        }
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
    assert_eq!(judged(&workshop), format!("cart: mass -10 g (now 70 g)\n{HEAVIER}"));
}

/// A lid that is printed of a material of 1 g/cm³ and weighs what its mesh encloses.
const LID: &str = r#"
[part.lid]
origin = "printed"
material = "wax"
mesh = { file = "lid.stl", unit = "mm" }
[material.wax]
density = "1 g/cm³"
"#;

/// What the hook says of another lamp, whatever it kept before.
fn judged_as_from_nothing(workshop: &Workshop) -> String {
    workshop.write("parts/lamp.toml", &lamp("L-250", "255 g"));
    workshop.lets(&["add", "."]);
    let from_state = judged(workshop);
    fs::remove_dir_all(kept(workshop, "")).unwrap();
    assert_eq!(from_state, judged(workshop));
    from_state
}

/// 60 mm · 60 mm · 30 mm / 6 are 18 g.
#[test]
fn what_was_fetched_or_lost_meanwhile_is_judged_as_it_is_now() {
    let mesh = tetrahedron(30);
    let pointed_at = |is_fetched: bool| {
        let workshop = with_many_files();
        if is_fetched {
            fetch(&workshop.scratch, &mesh);
        }
        workshop.write("parts/lid.toml", LID);
        workshop.write("parts/lid.stl", &pointer_to(mesh.as_bytes()));
        workshop.change("parts/scanner.toml", "lamp = 1", "lamp = 1, lid = 1");
        workshop.lets(&["add", "."]);
        workshop.lets(&["commit", "-qm", "A lid"]);
        for grams in [252, 250] {
            workshop.write("parts/lamp.toml", &lamp("L-250", &format!("{grams} g")));
            workshop.lets(&["commit", "-qam", "Another lamp"]);
        }
        assert_eq!(kept(&workshop, STATE).exists(), is_fetched);
        workshop
    };
    let workshop = pointed_at(false);
    fetch(&workshop.scratch, &mesh);
    assert_eq!(judged_as_from_nothing(&workshop), "lantern: mass +5 g (now 1173 g)\n");

    let workshop = pointed_at(true);
    fs::remove_file(place_of(&workshop.scratch, mesh.as_bytes())).unwrap();
    fs::remove_file(kept(&workshop, FACTS)).unwrap();
    assert_eq!(judged_as_from_nothing(&workshop), "lantern: mass +5 g (now from 1155 g)\n");
}
