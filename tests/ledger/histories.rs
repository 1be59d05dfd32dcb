//! Histories that hurt: many parents, none in common, clocks that are wrong, objects that are not there,
//! repositories of other kinds.

use std::process::Output;

use crate::workshop::{Workshop, lamp, subjects};

/// Commits a change of one file as if on another day.
fn change_on(workshop: &mut Workshop, day: &str, grams: u32) {
    for role in ["AUTHOR", "COMMITTER"] {
        workshop.scratch.set(&format!("GIT_{role}_DATE"), format!("{day}T12:00:00+00:00"));
    }
    workshop.change("parts/lamp.toml", &lamp(grams), &format!("{grams} g on {day}"));
}

#[test]
fn a_merge_of_many_heads_is_one_row_with_what_all_of_them_brought() {
    let workshop = Workshop::new();
    let sides = [
        ("lamp", "parts/lamp.toml", lamp(280)),
        ("glare", "parts/glare.toml", "[item.glare]\ntitle = \"Glare\"\n".to_owned()),
        ("frame", "cad/frame.step", "two".to_owned()),
    ];
    for (branch, path, content) in &sides {
        workshop.git(&["checkout", "--quiet", "-b", branch, "main"]);
        workshop.change(path, content, branch);
    }
    workshop.git(&["checkout", "--quiet", "main"]);
    let merge = ["merge", "--quiet", "--no-ff", "--message", "All", "lamp", "glare", "frame"];
    workshop.git(&merge);
    let parents = workshop.git(&["log", "-1", "--format=%P"]);
    assert_eq!(parents.split(' ').count(), 4, "git made it with all of its parents");
    let rows = workshop.rows(&[]);
    assert_eq!(subjects(&rows), ["First light", "All"]);
    let parts = rows[1]["parts"].as_array().unwrap();
    let parts: Vec<&str> = parts.iter().map(|part| part["part"].as_str().unwrap()).collect();
    assert_eq!(parts, ["frame", "lamp"]);
    assert_eq!(rows[1]["opened"][0]["id"], "glare");
    assert_eq!(rows[1]["budgets"][0]["difference"]["text"], "+30 g");
    assert_eq!(workshop.rows(&["--all"]).len(), 5);
}

#[test]
fn a_history_that_was_unrelated_comes_with_its_merge() {
    let workshop = Workshop::new();
    workshop.git(&["checkout", "--quiet", "--orphan", "apart"]);
    workshop.git(&["rm", "--quiet", "-r", "-f", "."]);
    workshop.change("parts/more.toml", "[item.glare]\ntitle = \"Glare\"\n", "Apart");
    workshop.git(&["checkout", "--quiet", "main"]);
    let merge = ["merge", "--quiet", "--allow-unrelated-histories", "--message", "Join", "apart"];
    workshop.git(&merge);
    workshop.change("parts/lamp.toml", &lamp(260), "Another lamp");
    let rows = workshop.rows(&[]);
    assert_eq!(subjects(&rows), ["First light", "Join", "Another lamp"]);
    assert_eq!(rows[1]["opened"][0]["id"], "glare");
    // There is no manifest in the other history: it has no row of its own.
    assert_eq!(workshop.rows(&["--all"]).len(), 3);
    let none = workshop.run(&["impact", "apart...main~2"]);
    let said = String::from_utf8(none.stderr).unwrap();
    assert!(said.contains("have no common past"), "{said}");
}

#[test]
fn revisions_follow_each_other_whatever_their_dates_say() {
    let mut workshop = Workshop::new();
    for (day, grams) in [("2026-06-01", 260), ("2020-01-01", 270), ("2030-01-01", 280)] {
        change_on(&mut workshop, day, grams);
    }
    let expected =
        ["First light", "260 g on 2026-06-01", "270 g on 2020-01-01", "280 g on 2030-01-01"];
    for arguments in [&[][..], &["--all"]] {
        let rows = workshop.rows(arguments);
        assert_eq!(subjects(&rows), expected);
        let by = |row: &serde_json::Value| row["budgets"][0]["difference"]["text"].clone();
        assert_eq!(rows[1..].iter().map(by).collect::<Vec<_>>(), ["+10 g", "+10 g", "+10 g"]);
    }
    // A day leaves out rows, and no row is compared with another for it.
    let since = workshop.rows(&["--since", "2026-06-01"]);
    assert_eq!(subjects(&since), [expected[1], expected[3]]);
    assert_eq!(since[1]["budgets"][0]["difference"]["text"], "+10 g");
}

/// The ledger of a clone with `filter`; what it lacks cannot be fetched.
fn of_partial_clone(workshop: &Workshop, filter: &str) -> Output {
    workshop.git(&["config", "uploadpack.allowFilter", "true"]);
    let clone = workshop.scratch.folder(filter);
    let origin = format!("file://{}", workshop.folder.display());
    let to = clone.to_str().unwrap();
    workshop.git(&[
        "clone",
        "--quiet",
        &format!("--filter={filter}"),
        "--no-checkout",
        &origin,
        to,
    ]);
    let program = env!("CARGO_BIN_EXE_tagworthy");
    workshop.scratch.command(program, &clone).arg("ledger").output().unwrap()
}

#[test]
fn what_a_partial_clone_lacks_is_named_and_nothing_decided() {
    let workshop = Workshop::new();
    workshop.change("parts/lamp.toml", &lamp(260), "Another lamp");
    for (filter, kind) in [("blob:none", "blob"), ("tree:1", "tree")] {
        let output = of_partial_clone(&workshop, filter);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{filter}: {said}");
        let is_named = said.contains(" is missing from the repository; fetch it");
        assert!(is_named && said.contains("git fetch --refetch"), "{filter}: {said}");
        let named = said.split("object ").nth(1).and_then(|rest| rest.split(' ').next()).unwrap();
        // Which of those that are not there is met first is not promised; that it is one is.
        assert_eq!(workshop.git(&["cat-file", "-t", named]), kind, "{filter}: {said}");
        assert_eq!(output.stdout, b"", "nothing is told of the half that is there");
    }
}

#[test]
fn a_commit_that_is_missing_is_named() {
    let workshop = Workshop::new();
    let lost = workshop.git(&["rev-parse", "HEAD"]);
    workshop.change("parts/lamp.toml", &lamp(260), "Another lamp");
    workshop.names_when_lost(&lost);
}

#[test]
fn a_repository_of_longer_ids_has_the_same_rows() {
    let rows = |init: &[&str]| {
        let workshop = Workshop::with_init(init);
        workshop.change("parts/lamp.toml", &lamp(310), "Brighter");
        workshop.change("parts/lamp.toml", "[part", "Broken");
        workshop.change("parts/lamp.toml", &lamp(240), "Mended");
        let mut rows = workshop.rows(&[]);
        // Kept, they are found again.
        assert_eq!(workshop.rows(&[]), rows);
        let last = rows.last().unwrap()["id"].as_str().unwrap();
        assert_eq!(last, workshop.git(&["rev-parse", "HEAD"]));
        for row in &mut rows {
            let row = row.as_object_mut().unwrap();
            row.remove("id");
            row.remove("revision");
        }
        rows
    };
    let longer = rows(&["--object-format=sha256"]);
    assert_eq!(longer.len(), 4);
    assert_eq!(longer, rows(&["--object-format=sha1"]));
}

#[test]
fn references_in_tables_are_refused_in_words() {
    let workshop = Workshop::with_init(&["--ref-format=reftable"]);
    for arguments in [&["ledger"][..], &["ledger", "--of", "mass"], &["impact", "--at", "HEAD"]] {
        let output = workshop.run(arguments);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains("uses the reference storage `reftable`"), "{said}");
    }
}

#[test]
fn records_of_a_folder_that_moves_go_on_being_followed() {
    let workshop = Workshop::new();
    workshop.change("parts/lamp.toml", &lamp(260), "Another lamp");
    workshop.git(&["mv", "parts", "records"]);
    let manifest = std::fs::read_to_string(workshop.folder.join("tagworthy.toml")).unwrap();
    workshop.change("tagworthy.toml", &manifest.replace("parts/*", "records/*"), "Moved");
    workshop.change("records/lamp.toml", &lamp(280), "A third lamp");
    let rows = workshop.rows(&["--of", "lamp.mass"]);
    assert_eq!(subjects(&rows), ["First light", "Another lamp", "A third lamp"]);
    assert_eq!(rows[2]["difference"]["text"], "+20 g");
}

/// The example of this room in the folder `lantern`, and then in `scanner` of a repository of several.
fn moved() -> Workshop {
    let workshop = Workshop::new();
    workshop.change("parts/lamp.toml", &lamp(260), "Another lamp");
    for (path, into) in [("lantern", "lantern"), ("scanner/", "scanner")] {
        std::fs::create_dir_all(workshop.folder.join(path)).unwrap();
        let there = if into == "lantern" {
            ["tagworthy.toml", "parts", "cad"]
        } else {
            ["lantern/tagworthy.toml", "lantern/parts", "lantern/cad"]
        };
        workshop.git(&[&["mv"], &there[..], &[into]].concat());
        workshop.scratch.commit(&format!("Into {into}"));
        let grams = if into == "lantern" { 280 } else { 310 };
        workshop.change(&format!("{into}/parts/lamp.toml"), &lamp(grams), &format!("{grams} g"));
    }
    workshop
}

#[test]
fn a_design_that_moves_with_its_folder_goes_on_being_followed() {
    let workshop = moved();
    let folder = workshop.folder.join("scanner");
    let rows = workshop.rows_in(&folder, &[]);
    let expected =
        ["First light", "Another lamp", "Into lantern", "280 g", "Into scanner", "310 g"];
    assert_eq!(subjects(&rows), expected);
    for row in [&rows[2], &rows[4]] {
        assert_eq!(row["parts"], serde_json::json!([]), "it is the same in another place");
        assert_eq!(row["verdicts"], serde_json::json!([]));
        assert_eq!(row["budgets"][0]["difference"]["base"], 0.0);
    }
    assert_eq!(rows[3]["budgets"][0]["difference"]["text"], "+20 g");
    let of = workshop.rows_in(&folder, &["--of", "lamp.mass"]);
    assert_eq!(subjects(&of), ["First light", "Another lamp", "280 g", "310 g"]);
    // Kept, it is found again.
    assert_eq!(workshop.rows_in(&folder, &[]), rows);
    assert_eq!(workshop.rows_in(&folder, &["HEAD~4..HEAD"]), rows[2..]);
    // Across the move it is one design, too.
    let program = env!("CARGO_BIN_EXE_tagworthy");
    let mut impact = workshop.scratch.command(program, &folder);
    let output = impact.args(["impact", "HEAD~2..HEAD"]).output().unwrap();
    let told = String::from_utf8(output.stdout).unwrap();
    assert!(told.contains(": 1 part changed, mass +30 g"), "{told}");
}

#[test]
fn a_design_of_another_name_is_another_design() {
    let workshop = Workshop::new();
    let manifest = std::fs::read_to_string(workshop.folder.join("tagworthy.toml")).unwrap();
    workshop.git(&["rm", "--quiet", "tagworthy.toml"]);
    let other = manifest.replace("\"lantern\"", "\"projector\"").replace("parts/*", "../parts/*");
    std::fs::create_dir(workshop.folder.join("projector")).unwrap();
    workshop.git(&["mv", "parts", "projector/parts"]);
    workshop.git(&["mv", "cad", "projector/cad"]);
    workshop.change("projector/tagworthy.toml", &other.replace("../", ""), "Another design");
    let rows = workshop.rows_in(&workshop.folder.join("projector"), &[]);
    assert_eq!(subjects(&rows), ["Another design"]);
    assert_eq!(rows[0]["parts"][0]["how"], "added");
}
