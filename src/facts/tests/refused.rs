//! Files that are damaged, hostile or odd.

use super::{MM, ascii_stl, binary_stl, cuboid, mesh, why};
use crate::facts::{Edges, Facts, Kind, Nearness, Triangle, of};

fn cube() -> Vec<Triangle> {
    cuboid([10.0; 3])
}

#[test]
fn a_binary_file_may_begin_with_solid_and_go_on_after_its_end() {
    let mut bytes = binary_stl(&cube());
    assert!(bytes.starts_with(b"solid"));
    let exact = mesh(&bytes);
    bytes.extend(b"tail");
    let facts = mesh(&bytes);
    assert_eq!((facts.trailing_bytes, facts.geometry), (4, exact.geometry));
}

#[test]
fn what_is_cut_short_or_lies_about_its_length_is_refused() {
    let mut bytes = binary_stl(&cube());
    bytes[..5].copy_from_slice(b"gate ");
    let cut = "it is cut short: its header promises 12 triangles, it has bytes for 11";
    assert_eq!(why(&bytes[..bytes.len() - 1]), cut);
    bytes[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
    let lie = "it is cut short: its header promises 4294967295 triangles, it has bytes for 12";
    assert_eq!(why(&bytes), lie);
    bytes[80..84].copy_from_slice(&[0; 4]);
    assert_eq!(why(&bytes), "it has no triangles");
    assert_eq!(why(&bytes[..83]), "it is too short for an STL file");
    assert_eq!(why(b""), "the file is empty");
    assert_eq!(why(b"solid nothing\nendsolid nothing\n"), "it has no triangles");
}

#[test]
fn coordinates_that_are_no_place_are_refused() {
    let with = |value: f32| {
        let mut triangles = cube();
        triangles[7][1][2] = value;
        why(&binary_stl(&triangles))
    };
    let no_number = "a corner has a coordinate that is no finite number";
    for value in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
        assert_eq!(with(value), no_number);
    }
    assert_eq!(with(3e6), "a corner lies more than 2 km from the origin: is the unit right?");
    let text = String::from_utf8(ascii_stl(&cube())).unwrap();
    assert_eq!(why(text.replacen("1e1", "nan", 1).as_bytes()), no_number);
}

#[test]
fn ascii_says_the_line() {
    let text = String::from_utf8(ascii_stl(&cube())).unwrap();
    let with = |from: &str, to: &str| why(text.replacen(from, to, 1).as_bytes());
    assert_eq!(with("0e0 0e0", "0e0 O"), "line 4 has `O` where a number should be");
    assert_eq!(with("endloop", "endlop"), "line 7 has `endlop` where endloop should be");
    assert_eq!(with("endsolid", ""), "line 86 has `of` where normal should be");
    assert_eq!(
        why(&text.as_bytes()[..60]),
        "it is cut short in line 3, where vertex should follow"
    );
}

#[test]
fn ascii_may_be_in_capitals_with_other_line_ends_and_in_several_solids() {
    let text = String::from_utf8(ascii_stl(&cube())).unwrap();
    let first = mesh(text.as_bytes());
    assert_eq!(mesh(text.to_uppercase().as_bytes()), first);
    assert_eq!(mesh(text.replace('\n', "\r\n").as_bytes()), first);
    assert_eq!(mesh(format!("\n  {text}{text}").as_bytes()).triangles, 24);
}

#[test]
fn an_open_mesh_has_no_volume_and_an_inside_out_one_says_so() {
    let open = mesh(&binary_stl(&cube()[1..]));
    assert_eq!((open.edges, open.solid), (Edges { open: 3, mismatched: 0, crowded: 0 }, None));
    let inward: Vec<Triangle> = cube().into_iter().map(|[a, b, c]| [a, c, b]).collect();
    let solid = mesh(&binary_stl(&inward)).solid.unwrap();
    assert_eq!((solid.volume, solid.inside_out), (1000.0, true));
    assert_eq!(solid.inertia, mesh(&binary_stl(&cube())).solid.unwrap().inertia);
    assert_eq!(mesh(&binary_stl(&[[[0.0; 3]; 3]])).solid, None);
}

#[test]
fn bodies_that_touch_along_an_edge_have_a_volume_and_it_is_said() {
    let beside = |by: f32| cube().into_iter().map(move |t| t.map(|[x, y, z]| [x + by, y + by, z]));
    let touching: Vec<Triangle> = cube().into_iter().chain(beside(10.0)).collect();
    let facts = mesh(&binary_stl(&touching));
    assert_eq!(facts.edges, Edges { open: 0, mismatched: 0, crowded: 1 });
    assert_eq!(facts.solid.unwrap().volume, 2000.0);
    let twice: Vec<Triangle> = cube().into_iter().chain(beside(0.0)).collect();
    assert_eq!(mesh(&binary_stl(&twice)).edges.crowded, 18);
}

/// Four thousand five hundred cubes: enough for a second thread.
#[test]
fn a_large_mesh_is_measured_like_a_small_one() {
    let places = (0..4500_u16).map(|at| [at % 70, at / 70].map(|step| f32::from(step) * 11.0));
    let moved = |[x, y]: [f32; 2]| {
        cube().into_iter().map(move |triangle| triangle.map(|c| [c[0] + x, c[1] + y, c[2]]))
    };
    let mut triangles: Vec<Triangle> = places.flat_map(moved).collect();
    let facts = mesh(&binary_stl(&triangles));
    assert_eq!((facts.triangles, facts.edges), (54_000, Edges::default()));
    assert_eq!(facts.solid.unwrap().volume, 4_500_000.0);
    triangles.pop();
    assert_eq!(mesh(&binary_stl(&triangles)).edges.open, 3);
    triangles[53_000][0][0] = f32::NAN;
    assert_eq!(why(&binary_stl(&triangles)), "a corner has a coordinate that is no finite number");
}

#[test]
fn a_pointer_is_told_from_content() {
    let pointer = "version https://git-lfs.github.com/spec/v1\n\
        oid sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad\nsize 3\n";
    for kind in [MM, Kind::Step] {
        let Facts::Pointer(told) = of(kind, pointer.as_bytes()) else { panic!("a pointer") };
        assert_eq!(told.bytes, 3);
    }
}

#[test]
fn the_unit_counts_in_the_key_and_must_be_a_length() {
    let bytes = binary_stl(&cube());
    let in_unit = |unit_m: f64| of(Kind::Mesh { unit_m }, &bytes);
    assert_ne!(in_unit(1e-3).geometry(), in_unit(0.0254).geometry());
    for unit in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(in_unit(unit), Facts::Unreadable { why: "its unit is no length".to_owned() });
    }
}

#[test]
fn a_thousandth_of_the_grid_is_no_change_and_a_step_is() {
    let with = |size: f32| mesh(&binary_stl(&cuboid([size, 10.0, 10.0]))).geometry;
    assert_eq!(with(10.0), with(10.000_001));
    assert_ne!(with(10.0), with(10.001));
}

#[test]
fn facts_come_back_from_text_as_they_were() {
    let pointer = format!(
        "version https://git-lfs.github.com/spec/v1\noid sha256:{}\nsize 9\n",
        "0a".repeat(32)
    );
    for bytes in [binary_stl(&cube()), binary_stl(&cube()[1..]), Vec::new(), pointer.into_bytes()] {
        let facts = of(MM, &bytes);
        let text = serde_json::to_string(&facts).unwrap();
        assert_eq!(serde_json::from_str::<Facts>(&text).unwrap(), facts);
    }
}

#[test]
fn how_near_two_meshes_are() {
    const MM: f64 = 1e-3;
    let old = mesh(&binary_stl(&cube()));
    let new = mesh(&binary_stl(&cuboid([10.0, 10.0, 12.0])));
    let near = Nearness::between((&old, MM), (&new, MM));
    let rounded = |value: f64| (value * 1e9).round() / 1e9;
    assert_eq!((near.volume.map(rounded), rounded(near.area)), (Some(0.2), 0.133_333_333));
    assert_eq!((near.bounds_m, near.centroid_m.map(rounded)), (0.002, Some(0.001)));
    let in_cm = mesh(&binary_stl(&cuboid([1.0; 3])));
    let near = Nearness::between((&old, MM), (&in_cm, 1e-2));
    assert_eq!((near.volume.map(rounded), near.area, near.bounds_m), (Some(0.0), 0.0, 0.0));
}
