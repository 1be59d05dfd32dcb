//! The example's history: rows against the state checked out by git and evaluated by itself.

use serde_json::Value;

use crate::workshop::Workshop;

/// The budgets of a row, by name.
fn of_row(row: &Value) -> Vec<(String, f64, f64)> {
    let budgets = row["budgets"].as_array().unwrap().iter();
    let there = budgets.filter(|budget| !budget["predicted"].is_null());
    there.map(|budget| figures(budget, "predicted")).collect()
}

fn figures(budget: &Value, predicted: &str) -> (String, f64, f64) {
    let name = budget["name"].as_str().unwrap().to_owned();
    let base = |which: &str| budget[which]["base"].as_f64().unwrap();
    (name, base("basic"), base(predicted))
}

/// What the example's design is made of. (Its documents and logs are none of it.)
const PATHS: [&str; 3] = ["tagworthy.toml", "parts", "design"];

/// `git log` with the paths of each commit against its first parent, merges included.
#[test]
fn rows_are_the_revisions_in_which_git_sees_the_design_change() {
    let workshop = Workshop::lantern();
    for walk in [&["--first-parent"][..], &["--full-history", "--diff-merges=first-parent"]] {
        let log = ["log", "--raw", "-m", "--no-renames", "--format=commit %H"];
        let printed = workshop.git(&[&log, walk, &["--"], &PATHS].concat());
        let mut ids: Vec<&str> = Vec::new();
        for part in printed.split("commit ").filter(|part| part.contains("\n:")) {
            ids.extend(part.lines().next());
        }
        ids.sort_unstable();
        let all = walk[0] != "--first-parent";
        let rows = workshop.rows(if all { &["--all"] } else { &[] });
        let mut told: Vec<&str> = rows.iter().map(|row| row["id"].as_str().unwrap()).collect();
        told.sort_unstable();
        assert!(told.len() >= 50, "{} rows", told.len());
        assert_eq!(told, ids);
    }
}

/// Of the rows that are held against a process of its own: every so many, and the last.
const EVERY: usize = 4;

fn is_held_against(at: usize, rows: &[Value]) -> bool {
    at.is_multiple_of(EVERY) || at + 1 == rows.len()
}

#[test]
fn a_row_says_what_a_checkout_says() {
    let workshop = Workshop::lantern();
    let rows = workshop.rows(&[]);
    assert!(rows.len() >= 40, "{} rows", rows.len());
    for (_, row) in rows.iter().enumerate().filter(|(at, _)| is_held_against(*at, &rows)) {
        let revision = row["id"].as_str().unwrap();
        workshop.git(&["checkout", "--quiet", revision]);
        let output = workshop.run(&["check", "--format", "json"]);
        let checked: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(row["readable"], checked["readable"], "{revision}");
        let mut expected = Vec::new();
        for budget in checked["budgets"].as_array().unwrap() {
            expected.push(figures(budget, "predicted"));
        }
        // Computed figures stand in the rows beside the budgets.
        let mut told = of_row(row);
        told.retain(|(name, ..)| expected.iter().any(|(known, ..)| known == name));
        told.sort_by(|one, other| one.0.cmp(&other.0));
        expected.retain(|(name, ..)| told.iter().any(|(known, ..)| known == name));
        expected.sort_by(|one, other| one.0.cmp(&other.0));
        assert!(!row["readable"].as_bool().unwrap() || told.len() >= 2, "{revision}: {told:?}");
        assert_eq!(told, expected, "{revision}");
    }
    workshop.git(&["checkout", "--quiet", "main"]);
}

#[test]
fn a_verdict_is_the_one_that_ready_gives() {
    let workshop = Workshop::lantern();
    let mut now = std::collections::BTreeMap::new();
    let rows = workshop.rows(&[]);
    for (at, row) in rows.iter().enumerate() {
        for turn in row["verdicts"].as_array().unwrap() {
            if turn["variant"].is_null() {
                let requirement = turn["requirement"].as_str().unwrap().to_owned();
                match turn["after"].as_str() {
                    Some(verdict) => now.insert(requirement, verdict.to_owned()),
                    None => now.remove(&requirement),
                };
            }
        }
        if row["readable"] == false || !is_held_against(at, &rows) {
            continue;
        }
        let revision = row["id"].as_str().unwrap();
        let output = workshop.run(&["ready", "--at", revision, "--format", "json"]);
        let ready: Value = serde_json::from_slice(&output.stdout).unwrap();
        let text = |value: &Value| value.as_str().unwrap().to_owned();
        let requirements = ready["requirements"].as_array().unwrap().iter();
        let expected = requirements.map(|row| (text(&row["id"]), text(&row["verdict"])));
        assert_eq!(now, expected.collect(), "{revision}");
    }
}

#[test]
fn the_same_is_told_at_the_second_time_and_of_the_rest_alone() {
    let workshop = Workshop::lantern();
    let first = workshop.rows(&[]);
    assert_eq!(workshop.rows(&[]), first);
    let last = workshop.rows(&["HEAD~5..HEAD"]);
    assert_eq!(last, first[first.len() - last.len()..]);
    workshop.forget();
    assert_eq!(workshop.rows(&["HEAD~5..HEAD"]), last);
}

/// Mass in grams, basic and predicted, and the cost of one of ten in euros, as `lantern_series.py`
/// computes them from the same history, by tomllib, networkx and pint.
#[test]
fn mass_and_cost_are_those_of_a_second_implementation() {
    let series = include_str!("../fixtures/lantern_series.json");
    let series: Vec<Value> = serde_json::from_str(series).unwrap();
    let rows = Workshop::lantern().rows(&[]);
    let readable: Vec<&Value> = rows.iter().filter(|row| row["readable"] == true).collect();
    let mut compared = 0;
    for row in readable {
        let expected = series.iter().find(|other| other["revision"] == row["id"]);
        let expected = expected.unwrap_or_else(|| panic!("{} is not in the fixture", row["id"]));
        let budgets = row["budgets"].as_array().unwrap();
        let of = |name: &str| budgets.iter().find(|budget| budget["name"] == name).unwrap();
        let number = |value: &Value| value.as_f64().unwrap();
        let near = |one: f64, other: f64| (one - other).abs() <= 1e-9 * other.abs();
        let mass = of("mass");
        for (at, which) in ["basic", "predicted"].into_iter().enumerate() {
            let (told, wanted) = (&mass[which]["number"], &expected["mass_g"][at]);
            assert!(near(number(told), number(wanted)), "{}: {told} {wanted}", row["subject"]);
        }
        let (cost, wanted) = (&of("cost (10 builds)")["basic"], &expected["cost_eur"]);
        assert_eq!(cost["lower_bound"] == true, wanted.is_null(), "{}", row["subject"]);
        if !wanted.is_null() {
            let told = cost["exact"].as_str().unwrap().parse().unwrap();
            assert!(near(told, number(wanted)), "{}: {told} {wanted}", row["subject"]);
            compared += 1;
        }
    }
    assert!(compared >= 20, "{compared} costs were compared");
}
