//! `bom --format okh`: the manifest of Open Know-How, against the keys of its schema.

use serde_json::Value;

use crate::bench::Bench;

/// The keys of the schema, with their source.
const SCHEMA: &str = include_str!("../fixtures/open_know_how.json");

const DESIGN: &str = r#"
[design]
name = "lantern"
title = "Lantern, \"the\" scanner\n[part]"
top = "scanner"
next = "1.0.0"
currency = "EUR"
license = "CERN-OHL-S-2.0"
licensor = "Ada Frame"
function = "Scans film on a desk"
repo = "https://lantern.example/design"
records = ["parts/*.toml", "design/*.toml"]
docs = { readme = "README.md", assembly = "docs/assembly.md" }
"#;

const GATE: &str = r#"
[part.scanner]
origin = "assembled"
contains = { gate = 1, lamp = 1 }
[part.gate]
title = "Gate"
origin = "printed"
mass = "31 g"
size = "62 x 40.5 x 8 mm"
sources = ["gate.scad"]
exports = ["gate.stl"]
"#;

fn bench() -> Bench {
    let bench = Bench::new();
    bench.0.write("tagworthy.toml", DESIGN).write("parts/scanner.toml", GATE);
    bench.0.write("parts/gate.scad", "cube(5);\n").write("parts/gate.stl", "solid g\nendsolid g\n");
    bench.0.write("README.md", "Lantern\n").write("docs/assembly.md", "Close it.\n");
    bench
}

/// The keys that `table` lacks of those required, and has beyond those known.
#[track_caller]
fn holds(table: &toml::Table, schema: &Value) {
    let keys = |of: &str| -> Vec<String> {
        let keys = schema[of].as_array().unwrap().iter();
        keys.map(|key| key.as_str().unwrap().to_owned()).collect()
    };
    for key in keys("required") {
        assert!(table.contains_key(&key), "{key} is required");
    }
    let known = keys("properties");
    for key in table.keys() {
        assert!(known.contains(key), "{key} is no key of the schema");
    }
}

#[test]
fn the_manifest_has_the_keys_of_the_schema_and_no_others() {
    let schema: Value = serde_json::from_str(SCHEMA).unwrap();
    let bench = bench();
    let text = bench.says(&["bom", "--format", "okh"]);
    let manifest: toml::Table = text.parse().unwrap();
    holds(&manifest, &schema);
    assert_eq!(manifest["okhv"].as_str(), schema["okhv"].as_str());
    assert_eq!(manifest["name"].as_str(), Some("Lantern, \"the\" scanner [part]"));
    assert_eq!(manifest["version"].as_str(), Some("1.0.0"));
    assert_eq!(manifest["manufacturing-instructions"].as_str(), Some("docs/assembly.md"));
    // 31 g of the gate and 250 g of the lamp.
    assert_eq!(manifest["mass"].as_float(), Some(281.0));
    let [gate] = &manifest["part"].as_array().unwrap()[..] else { panic!("{text}") };
    let gate = gate.as_table().unwrap();
    holds(gate, &schema["part"]);
    let one_of = schema["part"]["one-of"].as_array().unwrap();
    assert!(one_of.iter().any(|key| gate.contains_key(key.as_str().unwrap())));
    let technologies = schema["tsdc-examples"].as_array().unwrap();
    assert!(technologies.iter().any(|known| known.as_str() == gate["tsdc"].as_str()));
    assert_eq!(gate["source"].as_array().unwrap()[0].as_str(), Some("parts/gate.scad"));
    let size = gate["outer-dimensions"].as_table().unwrap();
    holds(size, &schema["outer-dimensions"]);
    assert_eq!(size["depth"].as_float(), Some(40.5));
}

#[test]
fn what_the_manifest_of_the_design_lacks_is_told() {
    let bench = bench();
    let bare = DESIGN.replace("repo = ", "# ").replace("licensor = ", "# ");
    bench.0.write("tagworthy.toml", bare);
    let told = bench.fails(&["bom", "--format", "okh"]);
    assert!(told.contains("add `repo`, `licensor` to [design]"), "{told}");
    let told = bench.fails(&["steps", "--format", "okh"]);
    assert!(told.contains("only `bom` is written as an Open Know-How manifest"), "{told}");
    bench.0.write("tagworthy.toml", DESIGN.replace("https://", "git@"));
    let told = bench.run_in(".", &["check"]);
    let told = String::from_utf8_lossy(&told.stdout).into_owned();
    assert!(told.contains("this is no address on the web"), "{told}");
}
