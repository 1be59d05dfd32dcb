//! Laws: the order of triangles, the corner that they begin at and the format of the file make no
//! difference; moving moves and turning turns; a flipped triangle is found.

use proptest::prelude::*;
use proptest::sample::Index;

use super::{ascii_stl, binary_stl, cuboid, mesh, threemf};
use crate::facts::body::Tensor;
use crate::facts::{MeshFacts, Triangle};

/// Coordinates are multiples of 1/1024, so that moving them rounds nothing.
const STEPS: f32 = 1024.0;

/// A ring of bricks with a hole: a closed surface of many triangles, scaled by `size`.
fn ring(size: [f32; 3]) -> Vec<Triangle> {
    const SIDES: usize = 9;
    let corner = |side: usize, at: usize| {
        let angle = std::f64::consts::TAU * (side % SIDES) as f64 / SIDES as f64;
        let (radius, z) = [(2.0, 0.0), (3.0, 0.0), (3.5, 1.0), (2.0, 1.0)][at % 4];
        let point = [radius * libm::cos(angle), radius * libm::sin(angle), z];
        [0, 1, 2].map(|axis| (point[axis] as f32 * size[axis] * STEPS).round() / STEPS)
    };
    let faces = (0..SIDES).flat_map(|side| (0..4).map(move |at| (side, at)));
    let halves = |(side, at): (usize, usize)| {
        let [a, b] = [corner(side, at), corner(side, at + 1)];
        let [c, d] = [corner(side + 1, at + 1), corner(side + 1, at)];
        [[a, c, b], [a, d, c]]
    };
    faces.flat_map(halves).collect()
}

fn shuffled(triangles: &[Triangle], order: &[Index], turns: &[usize]) -> Vec<Triangle> {
    let mut left = triangles.to_vec();
    let mut taken = Vec::new();
    for (index, turn) in order.iter().cycle().zip(turns.iter().cycle()) {
        if left.is_empty() {
            break;
        }
        let mut triangle = left.swap_remove(index.index(left.len()));
        triangle.rotate_left(*turn);
        taken.push(triangle);
    }
    taken
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(1.0)
}

fn largest(tensor: &Tensor) -> f64 {
    tensor.as_flattened().iter().fold(0.0, |largest, value| value.abs().max(largest))
}

/// The same but for the last digits of its sums, and what only its file has.
fn assert_same(a: &MeshFacts, b: &MeshFacts) {
    assert_eq!(a.geometry, b.geometry);
    assert_eq!((a.triangles, a.bounds, a.edges), (b.triangles, b.bounds, b.edges));
    let (solid_a, solid_b) = (a.solid.unwrap(), b.solid.unwrap());
    assert!(near(a.area, b.area) && near(solid_a.volume, solid_b.volume), "{a:?}\n{b:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn order_and_first_corner_and_format_make_no_difference(
        size in prop::array::uniform3(0.1_f32..100.0),
        order in prop::collection::vec(any::<Index>(), 72),
        turns in prop::collection::vec(0_usize..3, 72),
    ) {
        let triangles = ring(size);
        let first = mesh(&binary_stl(&triangles));
        prop_assert!(first.solid.is_some_and(|solid| !solid.inside_out));
        let other = shuffled(&triangles, &order, &turns);
        for bytes in [binary_stl(&other), ascii_stl(&other), threemf(&other)] {
            assert_same(&first, &mesh(&bytes));
        }
    }

    #[test]
    fn a_moved_mesh_has_a_moved_centroid(
        size in prop::array::uniform3(0.5_f32..20.0),
        by in prop::array::uniform3(-500_000_i32..500_000),
    ) {
        let by = by.map(|steps| steps as f32 / STEPS);
        let before = mesh(&binary_stl(&ring(size))).solid.unwrap();
        let moved = |corner: [f32; 3]| [0, 1, 2].map(|axis| corner[axis] + by[axis]);
        let triangles: Vec<Triangle> = ring(size).iter().map(|t| t.map(moved)).collect();
        let after = mesh(&binary_stl(&triangles)).solid.unwrap();
        for (axis, by) in by.into_iter().enumerate() {
            prop_assert!(near(after.centroid[axis] - before.centroid[axis], f64::from(by)));
        }
        prop_assert!(near(after.volume, before.volume));
        let scale = largest(&before.inertia);
        for (after, before) in after.inertia.as_flattened().iter().zip(before.inertia.as_flattened()) {
            prop_assert!((after - before).abs() <= 1e-9 * scale);
        }
    }

    /// Turned about z, by the tuple of cosine and sine 3/5, 4/5, so that little is rounded.
    #[test]
    fn a_turned_mesh_has_a_turned_inertia(size in prop::array::uniform3(0.5_f32..20.0)) {
        const TURN: [[f64; 3]; 3] = [[0.6, -0.8, 0.0], [0.8, 0.6, 0.0], [0.0, 0.0, 1.0]];
        let before = mesh(&binary_stl(&cuboid(size))).solid.unwrap();
        let turned = |corner: [f32; 3]| TURN.map(|row| {
            (0..3).map(|k| row[k] * f64::from(corner[k])).sum::<f64>() as f32
        });
        let triangles: Vec<Triangle> = cuboid(size).iter().map(|t| t.map(turned)).collect();
        let after = mesh(&binary_stl(&triangles)).solid.unwrap();
        let scale = largest(&before.inertia);
        let pairs = || (0..3).flat_map(|i| (0..3).map(move |j| (i, j)));
        for (i, j) in pairs() {
            let terms = pairs().map(|(k, l)| TURN[i][k] * before.inertia[k][l] * TURN[j][l]);
            prop_assert!((after.inertia[i][j] - terms.sum::<f64>()).abs() < 1e-5 * scale);
        }
        prop_assert!((after.volume / before.volume - 1.0).abs() < 1e-5);
    }

    #[test]
    fn a_flipped_triangle_is_found(at in any::<Index>()) {
        let mut triangles = ring([1.0; 3]);
        let at = at.index(triangles.len());
        triangles[at].swap(0, 1);
        let facts = mesh(&binary_stl(&triangles));
        prop_assert_eq!((facts.edges.open, facts.edges.mismatched), (0, 3));
        prop_assert_eq!(facts.solid, None);
        prop_assert_ne!(facts.geometry, mesh(&binary_stl(&ring([1.0; 3]))).geometry);
    }

    #[test]
    fn a_missing_triangle_is_found(at in any::<Index>()) {
        let mut triangles = ring([1.0; 3]);
        triangles.remove(at.index(triangles.len()));
        let facts = mesh(&binary_stl(&triangles));
        prop_assert_eq!((facts.edges.open, facts.edges.mismatched), (3, 0));
        prop_assert_eq!(facts.solid, None);
    }

    #[test]
    fn no_bytes_make_it_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..300),
        start in prop::sample::select(vec![&b""[..], b"solid ", b"PK\x03\x04", b"ISO-10303-21;"]),
        at in any::<Index>(),
    ) {
        let mut whole = [start, &bytes].concat();
        for kind in [super::MM, crate::facts::Kind::Step] {
            let _ = crate::facts::of(kind, &whole);
        }
        let mut package = threemf(&cuboid([1.0; 3]));
        let at = at.index(package.len());
        package.splice(at..package.len().min(at + whole.len()), whole.drain(..));
        let _ = crate::facts::of(super::MM, &package);
    }
}
