//! One change of each key of a part changes exactly the facet that the key belongs to.

use std::collections::BTreeSet;

use super::changes;
use crate::fixture::cuboid_stl;

/// Every key of a part at least once.
const GATE: &str = r#"
[material.petg]
title = "PETG"
density = "1.27 g/cm³"
softens = "80 °C"
[[material.petg.offer]]
supplier = "print-shop"
pack = "1 kg"
price = "22 EUR"
[material.pla]
density = "1.24 g/cm³"
[supplier.print-shop]
[supplier.bolt-shop]
[rail.five-volt]
voltage = "5 V"
[part.panel]
origin = "bought"
[part.screw]
origin = "bought"
[part.scanner]
title = "Film gate"
note = "Prints flat."
version = "2.1.0"
origin = "printed"
sources = ["/cad/gate.step"]
exports = ["/cad/gate.stl"]
material = "petg"
mesh = { file = "/cad/gate.stl", unit = "mm", walls = "1.2 mm", infill = "20 %" }
size = "84 x 60 x 9 mm"
designation = "ISO 1"
maker = "Own"
mpn = "G-1"
replaces = "slotted-gate"
phased-out = "3.0.0"
hazard = ["hot-surface"]
mass = "31 g ± 0.5 g"
centre-of-mass = "42 x 30 x 4 mm"
heat = { value = "6 W", plus-minus = "0.4 W", basis = "stated", from = "sheet 3", on = 2026-05-01 }
heat-path = [{ to = "ambient", resistance = "5.2 K/W" }]
draws = { five-volt = { mean = "1.2 A", peak = "1.6 A" } }
capacity = "2.6 A·h"
[part.scanner.fits]
panel = "^1.2"
[part.scanner.dimension]
slot = { value = "5.00 mm +0.05/-0.02", sigmas = 3 }
[part.scanner.setting]
drive = "350 mA"
mode = "slow"
[part.scanner.value]
modulus = "2.1 GPa ± 8 %"
[part.scanner.formula]
sag = "2 * slot"
[part.scanner.contains]
screw = 14
[part.scanner.contains.panel]
count = 1
version = "^1.3"
place = "12 x 0 x 48 mm ± 0.5 mm, 90 ° about z"
optional = true
[[part.scanner.offer]]
supplier = "bolt-shop"
code = "912"
pack = 50
price = "3.90 EUR"
breaks = { 5 = "3.50 EUR" }
minimum-order = 2
lead-time = "10 d"
quoted = 2026-09-12
maker = "Other"
mpn = "O-1"
[part.scanner.consumption]
spare = 1
waste = "10 %"
== cad/gate.step
the source
== cad/gate.stl
the mesh
"#;

/// (key, as it stands, another value, the facet of `scanner` that changes)
const CHANGES: [(&str, &str, &str, &str); 62] = [
    ("title", "Film gate", "The film gate", "prose"),
    ("note", "Prints flat", "Prints upright", "prose"),
    ("version", "version = \"2.1.0\"", "version = \"2.1.1\"", "interface"),
    ("origin", "origin = \"printed\"", "origin = \"machined\"", "identity"),
    ("sources", "sources = [\"/cad/gate.step\"]", "sources = []", ""),
    ("sources", "the source", "another source", ""),
    ("exports", "exports = [\"/cad/gate.stl\"]", "exports = [\"/cad/gate.step\"]", "geometry"),
    ("exports", "exports = [\"/cad/gate.stl\"]", "exports = [\"/cad/no.stl\"]", "geometry"),
    ("exports", "exports = [\"/cad/gate.stl\"]", "exports = [\"/cad/*.stl\"]", ""),
    ("mesh", "the mesh", "another mesh", "geometry"),
    ("mesh", "unit = \"mm\"", "unit = \"in\"", "geometry"),
    ("mesh", "walls = \"1.2 mm\"", "walls = \"1.6 mm\"", "material"),
    ("mesh", "infill = \"20 %\"", "infill = \"25 %\"", "material"),
    ("material", "material = \"petg\"", "material = \"pla\"", "material, figures, offers"),
    ("material", "1.27 g/cm³", "1.28 g/cm³", "figures"),
    ("material", "80 °C", "78 °C", "figures"),
    ("material", "22 EUR", "24 EUR", "offers"),
    ("material", "title = \"PETG\"", "title = \"Polyester\"", ""),
    ("size", "84 x 60", "84 x 61", "dimensions"),
    ("designation", "ISO 1", "ISO 2", "identity"),
    ("maker", "maker = \"Own\"", "maker = \"Owner\"", "identity"),
    ("mpn", "G-1", "G-2", "identity"),
    ("replaces", "slotted-gate", "round-gate", "interface"),
    ("phased-out", "3.0.0", "4.0.0", "offers"),
    ("hazard", "hot-surface", "sharp", "figures"),
    ("mass", "31 g", "32 g", "figures"),
    ("centre-of-mass", "42 x 30", "41 x 30", "figures"),
    ("mass", "± 0.5 g", "± 0.4 g", "figures"),
    ("mass", "31 g ± 0.5 g", "31 g ± 0.5 g measured", "figures"),
    ("mass", "31 g ± 0.5 g", "31 g ± 0.5 g estimated", ""),
    (
        "heat",
        "plus-minus = \"0.4 W\"",
        "plus-minus = \"0.4 W\", distribution = \"uniform\"",
        "figures",
    ),
    ("heat", "stated", "calculated", "figures"),
    ("heat", "sheet 3", "sheet 4", "figures"),
    ("heat", "2026-05-01", "2026-05-02", "figures"),
    ("heat-path", "to = \"ambient\"", "to = \"panel\"", "figures"),
    ("heat-path", "5.2 K/W", "5.3 K/W", "figures"),
    ("draws", "1.2 A", "1.3 A", "figures"),
    ("draws", "1.6 A", "1.7 A", "figures"),
    ("capacity", "2.6 A·h", "2.8 A·h", "figures"),
    ("fits", "^1.2", "^1.4", "interface"),
    ("dimension", "5.00 mm", "5.01 mm", "dimensions"),
    ("dimension", "+0.05", "+0.06", "dimensions"),
    ("dimension", "-0.02", "-0.01", "dimensions"),
    ("setting", "350 mA", "360 mA", "settings"),
    ("setting", "slow", "fast", "settings"),
    ("value", "2.1 GPa", "2.2 GPa", "figures"),
    ("formula", "2 * slot", "3 * slot", "figures"),
    ("contains", "screw = 14", "screw = 12", "composition"),
    ("contains", "^1.3", "^1.4", "interface"),
    ("dimension", "sigmas = 3", "sigmas = 4", "figures"),
    ("contains", "12 x 0 x 48", "12 x 0 x 47", "composition"),
    ("contains", "± 0.5 mm, 90", "± 0.4 mm, 90", "figures"),
    ("contains", "90 ° about z", "90 ° about x", "composition"),
    ("contains", "optional = true", "optional = false", "composition"),
    ("offer", "supplier = \"bolt-shop\"", "supplier = \"print-shop\"", "offers"),
    ("offer", "code = \"912\"", "code = \"913\"", "offers"),
    ("offer", "3.90 EUR", "3.80 EUR", "offers"),
    ("offer", "5 = \"3.50 EUR\"", "6 = \"3.50 EUR\"", "offers"),
    ("offer", "pack = 50", "pack = 100", "offers"),
    ("offer", "quoted = 2026-09-12", "quoted = 2026-09-13", "offers"),
    ("consumption", "spare = 1", "spare = 2", "offers"),
    ("consumption", "10 %", "12 %", "offers"),
];

#[test]
fn every_key_belongs_to_its_facet() {
    for (key, from, to, expected) in CHANGES {
        assert_eq!(GATE.matches(from).count(), 1, "`{from}` stands once in the fixture");
        let expected =
            if expected.is_empty() { String::new() } else { format!("scanner: {expected}") };
        assert_eq!(changes(GATE, &GATE.replace(from, to)), expected, "{key}: {from} → {to}");
    }
}

#[test]
fn every_key_of_a_part_is_in_the_table() {
    let keys = crate::parse::vocabulary();
    let known = keys.iter().filter(|key| key.table == "part").map(|key| key.key);
    let changed: BTreeSet<&str> = CHANGES.iter().map(|(key, ..)| *key).collect();
    let forgotten: Vec<_> = known.filter(|key| !changed.contains(key)).collect();
    assert_eq!(forgotten, Vec::<&str>::new());
}

#[test]
fn another_name_of_what_is_contained_is_another_composition() {
    let renamed = GATE.replace("panel", "light-panel");
    assert_eq!(changes(GATE, &renamed), "scanner: composition, interface, figures");
}

#[test]
fn the_version_tells_apart_only_what_nothing_else_does() {
    let firmware = |more: &str, version: &str| {
        format!("[part.scanner]\norigin = \"firmware\"\n{more}\nversion = \"{version}\"\n")
    };
    let step = |more, to| changes(&firmware(more, "1.2.0"), &firmware(more, to));
    assert_eq!(step("", "1.3.0"), "scanner: identity, interface");
    assert_eq!(step("", "1.2.1"), "scanner: interface");
    assert_eq!(step("mpn = \"F\"", "1.3.0"), "scanner: interface");
    assert_eq!(step("sources = [\"fw.c\"]", "1.3.0"), "scanner: interface");
}

#[test]
fn sources_count_only_without_exports_and_mesh() {
    let part = |keys: &str, source: &str| {
        format!("[part.scanner]\norigin = \"printed\"\n{keys}\n== a.step\n{source}\n== a.stl\nmesh")
    };
    let edit = |keys| changes(&part(keys, "one"), &part(keys, "two"));
    assert_eq!(edit("sources = [\"/a.step\"]"), "scanner: geometry");
    assert_eq!(edit("sources = [\"/a.step\"]\nexports = [\"/a.stl\"]"), "");
    assert_eq!(edit("sources = [\"/a.step\"]\nmesh = { file = \"/a.stl\", unit = \"mm\" }"), "");
    assert_eq!(edit("sources = [\"/a.step\"]\nexports = [\"/gone.stl\"]"), "");
}

/// The same triangles by another program, in another unit or in other words are no other thing.
#[test]
fn a_mesh_is_known_by_its_shape() {
    let part = |unit: &str, size, name: &str| {
        let mesh = cuboid_stl(size).replace("facet of the gate", name);
        format!(
            "[part.scanner]\norigin = \"printed\"\nmesh = {{ file = \"/a.stl\", unit = \"{unit}\" }}\n\
             exports = [\"/a.stl\"]\n== a.stl\n{mesh}"
        )
    };
    let gate = part("mm", [80.0, 60.0, 10.0], "gate");
    assert_eq!(changes(&gate, &part("mm", [80.0, 60.0, 10.0], "the gate again")), "");
    assert_eq!(changes(&gate, &part("cm", [8.0, 6.0, 1.0], "gate")), "");
    assert_eq!(changes(&gate, &part("mm", [80.0, 60.0, 10.1], "gate")), "scanner: geometry");
    assert_eq!(changes(&gate, &part("in", [80.0, 60.0, 10.0], "gate")), "scanner: geometry");
}

/// ISO 10303-21: what stands between HEADER and ENDSEC tells of the file, not of the shape.
#[test]
fn exchange_geometry_is_known_without_its_header() {
    let part = |written: &str, point: &str| {
        format!(
            "[part.scanner]\norigin = \"machined\"\nexports = [\"/a.step\"]\n== a.step\n\
             ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\n\
             FILE_NAME('a','{written}',(''),(''),'','','');\nFILE_SCHEMA(('AP214'));\nENDSEC;\n\
             DATA;\n#1=CARTESIAN_POINT('',({point}));\nENDSEC;\nEND-ISO-10303-21;\n"
        )
    };
    let gate = part("2026-01-01T00:00:00", "0.,0.,0.");
    assert_eq!(changes(&gate, &part("2026-02-01T00:00:00", "0.,0.,0.")), "");
    assert_eq!(changes(&gate, &part("2026-01-01T00:00:00", "0.,0.,1.")), "scanner: geometry");
}

#[test]
fn a_missing_file_is_not_the_same_as_none() {
    let part = |keys: &str| format!("[part.scanner]\norigin = \"printed\"\nmpn = \"A\"\n{keys}");
    let (none, one) = (part(""), part("exports = [\"a.stl\"]"));
    let two = part("exports = [\"a.stl\", \"b.stl\"]");
    assert_eq!(changes(&none, &one), "scanner: geometry");
    assert_eq!(changes(&one, &two), "scanner: geometry");
}
