//! Against a reference library: figures of trimesh for meshes of packages, by
//! tests/fixtures/meshes/make.py.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Deserialize;

use super::{mesh, model};
use crate::facts::tests::{cuboid, mesh_xml};

#[derive(Deserialize)]
struct Figures {
    triangles: u64,
    volume: f64,
    area: f64,
    centroid: [f64; 3],
    inertia: [[f64; 3]; 3],
    bounds: [[f64; 3]; 2],
}

fn read(file: &str) -> Vec<u8> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/meshes");
    std::fs::read(folder.join(file)).unwrap()
}

#[track_caller]
fn assert_near(ours: &[f64], theirs: &[f64], scale: f64, what: &str) {
    for (ours, theirs) in ours.iter().zip(theirs) {
        assert!((ours - theirs).abs() <= 1e-9 * scale, "{what}: {ours} against {theirs}");
    }
}

#[test]
fn closed_meshes_have_the_figures_of_a_reference_library() {
    let all: BTreeMap<String, Figures> = serde_json::from_slice(&read("figures.json")).unwrap();
    assert_eq!(all.len(), 4);
    for (name, theirs) in all {
        let ours = mesh(&read(&format!("{name}.stl")));
        let solid = ours.solid.unwrap();
        assert_eq!((ours.triangles, ours.bounds), (theirs.triangles, theirs.bounds), "{name}");
        assert!(!solid.inside_out && ours.edges.crowded == 0, "{name}");
        let extent = ours.size().into_iter().fold(0.0, f64::max);
        assert_near(&[ours.area], &[theirs.area], theirs.area, &name);
        assert_near(&[solid.volume], &[theirs.volume], theirs.volume, &name);
        assert_near(&solid.centroid, &theirs.centroid, extent, &name);
        let scale = theirs.volume * extent * extent;
        assert_near(solid.inertia.as_flattened(), theirs.inertia.as_flattened(), scale, &name);
    }
}

/// Values that were computed elsewhere, and are in no file of this project.
#[test]
fn the_nut_and_the_ant_have_their_known_volumes() {
    for (file, volume) in [("nut.stl", 32_171.322_2), ("ant.stl", 482.143_628)] {
        let ours = mesh(&read(file)).solid.unwrap().volume;
        assert!((ours / volume - 1.0).abs() < 2e-9, "{ours}");
    }
}

/// A cuboid: m/12·(b² + c²), any textbook of mechanics.
#[test]
fn a_cuboid_of_plastic_is_a_body() {
    let content = format!(
        "<resources><object id='1'>{}</object></resources><build><item objectid='1'/></build>",
        mesh_xml(&cuboid([2.0, 4.0, 6.0]))
    );
    let facts = mesh(&model("unit='centimeter'", &content));
    let body = facts.solid.unwrap().body(facts.unit_m.unwrap(), 1240.0);
    let mass = 1240.0 * 48e-6;
    let inertia = |b: f64, c: f64| mass / 12.0 * (b * b + c * c);
    assert_near(&[body.mass], &[mass], mass, "mass");
    assert_near(&body.centre, &[0.01, 0.02, 0.03], 0.01, "centre");
    let diagonal = [body.inertia[0][0], body.inertia[1][1], body.inertia[2][2]];
    let expected = [inertia(0.04, 0.06), inertia(0.06, 0.02), inertia(0.02, 0.04)];
    assert_near(&diagonal, &expected, mass * 1e-3, "inertia");
}
