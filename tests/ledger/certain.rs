//! What is kept of a ledger holds whatever was fetched since, and wherever names of revisions point.

use serde_json::Value;

use crate::common::large::{fetch, pointer_to, tetrahedron};
use crate::workshop::Workshop;

const MANIFEST: &str = r#"
[design]
name = "lantern"
top = "gate"
next = "1.0.0"
currency = "EUR"
records = ["parts/*.toml"]
"#;

/// A gate that weighs what its mesh encloses, at 1 g/cm³.
const GATE: &str = r#"
[part.gate]
origin = "printed"
material = "wax"
mesh = { file = "/gate.stl", unit = "mm" }
[material.wax]
density = "1 g/cm³"
[requirement.flat-film]
part = "gate"
title = "The film lies flat"
method = "test"
"#;

fn result(revision: &str) -> String {
    format!(
        "[evidence.flat-1]\nverifies = [\"flat-film\"]\nmethod = \"test\"\non = 2026-03-01\n\
         revision = \"{revision}\"\noutcome = \"pass\"\n"
    )
}

/// A gate whose mesh is this file.
fn workshop(mesh: &str) -> Workshop {
    let workshop = Workshop::new();
    workshop.scratch.git(&["rm", "--quiet", "-r", "parts", "cad"]);
    workshop.scratch.write("tagworthy.toml", MANIFEST).write("parts/gate.toml", GATE);
    workshop.change("gate.stl", mesh, "Only a gate");
    workshop
}

/// What the ledger says when all of it is worked out anew.
fn anew(workshop: &Workshop) -> Vec<Value> {
    workshop.forget();
    workshop.rows(&[])
}

#[test]
fn a_row_beside_what_was_out_of_reach_is_not_kept() {
    let (flat, tall) = (tetrahedron(60), tetrahedron(70));
    let workshop = workshop(&pointer_to(flat.as_bytes()));
    workshop.change("gate.stl", &tall, "Taller");
    let before = workshop.rows(&[]);
    fetch(&workshop.scratch, &flat);
    let after = workshop.rows(&[]);
    assert_ne!(before, after);
    assert_eq!(after, anew(&workshop));
}

#[test]
fn a_row_that_rests_on_a_bench_out_of_reach_is_not_kept() {
    let (flat, tall) = (tetrahedron(60), tetrahedron(70));
    let workshop = workshop(&pointer_to(flat.as_bytes()));
    let bench = workshop.git(&["rev-parse", "HEAD"]);
    workshop.change("gate.stl", &tall, "Taller");
    workshop.rows(&[]);
    workshop.change("parts/flat.toml", &result(&bench), "On the bench");
    workshop.change("parts/item.toml", "[item.glare]\ntitle = \"Glare\"\n", "An item");
    let before = workshop.rows(&[]);
    fetch(&workshop.scratch, &flat);
    let after = workshop.rows(&[]);
    assert_ne!(before, after);
    assert_eq!(after, anew(&workshop));
}

#[test]
fn a_row_that_rests_on_a_name_is_kept_while_it_names_the_same() {
    let workshop = workshop(&tetrahedron(60));
    workshop.git(&["tag", "bench"]);
    workshop.change("gate.stl", &tetrahedron(70), "Taller");
    workshop.change("parts/flat.toml", &result("bench"), "On the bench");
    let before = workshop.rows(&[]);
    assert_eq!(workshop.rows(&[]), before);
    workshop.git(&["tag", "--force", "bench", "HEAD~1"]);
    let after = workshop.rows(&[]);
    assert_ne!(before, after);
    assert_eq!(after, anew(&workshop));
}
