//! Every crate that is built, for the program or for its tests, is under a licence that lets
//! anyone use, change and pass on what is made of it.

#![allow(clippy::unwrap_used, reason = "a test that can't go on has failed")]

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::process::Command;

use serde_json::Value;
use spdx::{Expression, LicenseReq, Licensee, ParseMode};

/// Licences by their identifiers in the SPDX licence list, with the exceptions that go with them.
const ALLOWED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

#[test]
fn every_crate_may_be_used() {
    let refused = refused(&metadata());
    assert!(refused.is_empty(), "\n{}\n", refused.join("\n"));
}

#[test]
fn a_choice_needs_one_licence_and_a_conjunction_all() {
    assert!(is_allowed("MIT OR GPL-3.0-or-later"));
    assert!(is_allowed("(MIT OR Apache-2.0) AND Unicode-3.0"));
    assert!(is_allowed("MIT/Apache-2.0"), "the way older crates write it");
    assert!(!is_allowed("MIT AND GPL-3.0-or-later"));
}

#[test]
fn licences_that_bind_those_who_build_on_them_are_refused() {
    for licence in
        ["GPL-2.0-only", "GPL-3.0-or-later", "AGPL-3.0-only", "LGPL-2.1-or-later", "MPL-2.0"]
    {
        assert!(!is_allowed(licence), "{licence}");
    }
}

#[test]
fn an_exception_counts() {
    assert!(is_allowed("Apache-2.0 WITH LLVM-exception"));
    assert!(!is_allowed("MIT WITH LLVM-exception"));
    assert!(!is_allowed("GPL-2.0-only WITH Classpath-exception-2.0"));
}

#[test]
fn what_is_no_licence_is_refused() {
    assert!(!is_allowed("") && !is_allowed("proprietary"));
}

#[test]
fn a_refusal_names_the_crate_and_the_way_to_it() {
    let metadata = serde_json::json!({
        "packages": [
            { "id": "1", "name": "tool", "version": "0.1.0", "license": "MIT" },
            { "id": "2", "name": "middle", "version": "1.2.0", "license": "MIT" },
            { "id": "3", "name": "bound", "version": "2.0.1", "license": "GPL-3.0-only" },
            { "id": "4", "name": "unsaid", "version": "0.3.0", "license": null },
        ],
        "resolve": {
            "root": "1",
            "nodes": [
                { "id": "1", "dependencies": ["2", "4"] },
                { "id": "2", "dependencies": ["3"] },
                { "id": "3", "dependencies": [] },
                { "id": "4", "dependencies": [] },
            ],
        },
    });
    assert_eq!(
        refused(&metadata),
        [
            "bound 2.0.1: GPL-3.0-only (tool → middle → bound)",
            "unsaid 0.3.0: no licence (tool → unsaid)",
        ]
    );
}

/// Whether an SPDX expression can be satisfied by licences that are allowed.
fn is_allowed(expression: &str) -> bool {
    let allowed: BTreeSet<LicenseReq> =
        ALLOWED.iter().map(|licence| Licensee::parse(licence).unwrap().into_req()).collect();
    Expression::parse_mode(expression, ParseMode::LAX)
        .is_ok_and(|expression| expression.evaluate(|licence| allowed.contains(licence)))
}

/// Crates whose licence does not do: `name version: licence (way to it)`.
fn refused(metadata: &Value) -> Vec<String> {
    let ways = ways(metadata);
    let mut refused = Vec::new();
    for package in metadata["packages"].as_array().unwrap() {
        let licence = package["license"].as_str();
        let Some(way) = ways.get(text(&package["id"])) else { continue };
        if !licence.is_some_and(is_allowed) {
            let (name, version) = (text(&package["name"]), text(&package["version"]));
            let licence = licence.unwrap_or("no licence");
            refused.push(format!("{name} {version}: {licence} ({})", way.join(" → ")));
        }
    }
    refused
}

/// The names on a shortest way from the program to each crate, by the crate's id.
fn ways(metadata: &Value) -> BTreeMap<&str, Vec<&str>> {
    let packages = metadata["packages"].as_array().unwrap();
    let names: BTreeMap<&str, &str> =
        packages.iter().map(|package| (text(&package["id"]), text(&package["name"]))).collect();
    let nodes = metadata["resolve"]["nodes"].as_array().unwrap();
    let needs: BTreeMap<&str, &Value> =
        nodes.iter().map(|node| (text(&node["id"]), &node["dependencies"])).collect();
    let root = text(&metadata["resolve"]["root"]);
    let mut ways = BTreeMap::from([(root, vec![names[root]])]);
    let mut next = VecDeque::from([root]);
    while let Some(id) = next.pop_front() {
        for need in needs[id].as_array().unwrap().iter().map(text) {
            if !ways.contains_key(need) {
                let way = ways[id].iter().copied().chain([names[need]]).collect();
                ways.insert(need, way);
                next.push_back(need);
            }
        }
    }
    ways
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap()
}

/// What cargo says about this crate and all that it needs, on any platform. Crates that only other
/// platforms need may not have been fetched yet: only then is cargo let out to fetch them.
fn metadata() -> Value {
    let ask = |further: &[&str]| {
        Command::new(env!("CARGO"))
            .args(["metadata", "--format-version", "1", "--locked"])
            .args(further)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .unwrap()
    };
    let at_hand = ask(&["--offline"]);
    let output = if at_hand.status.success() { at_hand } else { ask(&[]) };
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}
