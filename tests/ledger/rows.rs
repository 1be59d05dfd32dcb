//! Which revisions have a row, and what stands in it.

use crate::workshop::{Workshop, lamp, subjects};

#[test]
fn only_revisions_that_touched_the_design_have_a_row() {
    let workshop = Workshop::new();
    workshop
        .change("README.md", "Of no matter", "A text")
        .change("parts/lamp.toml", &lamp(260), "Another lamp")
        .change("firmware/main.c", "int main;", "Firmware")
        .change("cad/frame.step", "two", "Drawn anew")
        .change("parts/lamp.toml", &format!("# Bright.\n{}", lamp(260)), "A remark");
    let rows = workshop.rows(&[]);
    assert_eq!(subjects(&rows), ["First light", "Another lamp", "Drawn anew", "A remark"]);
    assert_eq!(rows[1]["parts"][0]["part"], "lamp");
    assert_eq!(rows[1]["parts"][0]["facets"], serde_json::json!(["identity", "figures"]));
    assert_eq!(rows[2]["parts"][0]["facets"], serde_json::json!(["geometry"]));
    assert_eq!(rows[3]["parts"], serde_json::json!([]));
    assert_eq!(subjects(&workshop.rows(&["HEAD~4..HEAD~1"])), ["Another lamp", "Drawn anew"]);
    assert_eq!(subjects(&workshop.rows(&["--part", "frame"])), ["First light", "Drawn anew"]);
    assert_eq!(workshop.rows(&["--since", "2026-03-05"]).len(), 0);
}

#[test]
fn a_merge_is_one_row_with_what_it_brought() {
    let workshop = Workshop::new();
    workshop.git(&["checkout", "--quiet", "-b", "brighter"]);
    workshop.change("parts/lamp.toml", &lamp(280), "Brighter");
    workshop.change("parts/lamp.toml", &lamp(310), "Brighter still");
    workshop.git(&["checkout", "--quiet", "main"]);
    workshop.change("parts/more.toml", "[item.glare]\ntitle = \"Glare\"\n", "An item");
    workshop.git(&["merge", "--quiet", "--no-ff", "--message", "Merge the lamp", "brighter"]);
    let rows = workshop.rows(&[]);
    assert_eq!(subjects(&rows), ["First light", "An item", "Merge the lamp"]);
    assert_eq!(rows[1]["opened"][0]["id"], "glare");
    assert_eq!(rows[2]["is_merge"], true);
    assert_eq!(rows[2]["budgets"][0]["difference"]["text"], "+60 g");
    assert_eq!(rows[2]["verdicts"][0]["before"], "pass");
    assert_eq!(rows[2]["verdicts"][0]["after"], "fail");
    assert_eq!(rows[2]["verdicts"][0]["shares"][0]["part"], "lamp");
    let all = workshop.rows(&["--all"]);
    let mut told = subjects(&all);
    told.sort_unstable();
    let every = ["An item", "Brighter", "Brighter still", "First light", "Merge the lamp"];
    assert_eq!(told, every);
}

#[test]
fn after_what_cannot_be_read_comparison_is_with_the_last_that_could() {
    let workshop = Workshop::new();
    workshop
        .change("parts/lamp.toml", "[part.lamp]\norigin = \"bougt\"\n", "Broken")
        .change("parts/lamp.toml", "[part", "Worse")
        .change("parts/lamp.toml", &lamp(240), "Mended");
    let rows = workshop.rows(&[]);
    assert_eq!(subjects(&rows), ["First light", "Broken", "Worse", "Mended"]);
    assert_eq!(rows[1]["readable"], false);
    let why = rows[1]["unreadable"].as_str().unwrap();
    assert!(why.starts_with("parts/lamp.toml:2: `bougt` is not known here"), "{why}");
    assert_eq!(rows[3]["budgets"][0]["difference"]["text"], "-10 g");
    assert!(workshop.ledger(&[]).contains("cannot be read: parts/lamp.toml:2"));
}

#[test]
fn a_manifest_that_comes_goes_and_is_rewritten() {
    let workshop = Workshop::new();
    let manifest = std::fs::read_to_string(workshop.folder.join("tagworthy.toml")).unwrap();
    workshop.git(&["mv", "parts", "records"]);
    workshop.change(
        "tagworthy.toml",
        &manifest.replace("parts/*", "records/*").replace("1200 g", "1300 g"),
        "Moved, and less promised",
    );
    workshop.git(&["mv", "tagworthy.toml", "elsewhere"]);
    workshop.scratch.commit("Away");
    workshop.git(&["mv", "elsewhere", "tagworthy.toml"]);
    workshop.scratch.commit("And back");
    let rows = workshop.rows(&[]);
    assert_eq!(subjects(&rows), ["First light", "Moved, and less promised", "Away", "And back"]);
    assert_eq!(rows[1]["parts"], serde_json::json!([]));
    assert_eq!(rows[1]["loosened"][0]["what"], "at-most");
    assert_eq!(rows[2]["unreadable"], "its manifest is gone");
    assert_eq!(rows[3]["verdicts"], serde_json::json!([]));
}

#[test]
fn a_clone_that_was_cut_off_says_so() {
    let workshop = Workshop::new();
    workshop.change("parts/lamp.toml", &lamp(260), "Another lamp");
    let clone = workshop.scratch.folder("clone");
    let origin = format!("file://{}", workshop.folder.display());
    workshop.git(&["clone", "--quiet", "--depth=1", &origin, clone.to_str().unwrap()]);
    let cut = Workshop { scratch: workshop.scratch, folder: clone };
    let shown = cut.ledger(&[]);
    assert!(shown.contains("git fetch --unshallow"), "{shown}");
    assert_eq!(subjects(&cut.rows(&[])), ["Another lamp"]);
}

#[test]
fn a_missing_record_is_named_and_nothing_decided() {
    let workshop = Workshop::new();
    let lost = workshop.git(&["rev-parse", "HEAD:parts/lamp.toml"]);
    workshop.change("parts/lamp.toml", &lamp(260), "Another lamp");
    workshop.names_when_lost(&lost);
}

#[test]
fn what_is_asked_wrongly_is_explained() {
    let workshop = Workshop::new();
    let said = |arguments: &[&str]| {
        let output = workshop.run(&[&["ledger"], arguments].concat());
        assert_eq!(output.status.code(), Some(2));
        String::from_utf8(output.stderr).unwrap()
    };
    assert!(said(&["--of", "carry-mas"]).contains("did you mean `carry-mass`?"));
    assert!(said(&["--since", "May"]).contains("is no date such as"));
    assert!(said(&["nowhere"]).contains("`nowhere` names no commit here"));
    let no_part = said(&["--part", "scaner"]);
    assert!(no_part.contains("no part in this history is called `scaner`"), "{no_part}");
    assert!(no_part.contains("did you mean `scanner`?"), "{no_part}");
}

#[test]
fn no_subject_is_a_formula_or_acts_on_a_terminal() {
    let workshop = Workshop::new();
    workshop.change("parts/lamp.toml", &lamp(260), "=HYPERLINK(\"x\") \u{1b}[31m");
    let sheet = workshop.ledger(&["--format", "csv"]);
    assert!(sheet.contains(",\"'=HYPERLINK(\"\"x\"\") \\u{1b}[31m\","), "{sheet}");
    assert!(!workshop.ledger(&["--format", "ndjson"]).contains('\u{1b}'));
    assert!(!workshop.ledger(&[]).contains('\u{1b}'));
}
