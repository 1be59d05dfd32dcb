//! A large mesh, read and measured, beside the least that could be done with it: the file read, and
//! the volumes of its tetrahedra summed in one plain loop.
//!
//! `cargo bench --bench mesh`

#![allow(clippy::print_stdout, reason = "a benchmark says what it measured")]
#![allow(clippy::unwrap_used, reason = "a measurement that can't go on has failed")]

mod paired;

use std::f64::consts::{PI, TAU};
use std::fs::{self, File};
use std::hint::black_box;
use std::io::{BufWriter, Write};
use std::path::Path;

use divan::Bencher;
use tagworthy::facts::{self, Facts, Kind};

/// Quadrilaterals round the ring, and round its tube: four million triangles, 200 MB.
const ROUND: [u32; 2] = [2_000, 1_000];

/// Radii of the ring and of its tube, in mm.
const RADII: [f64; 2] = [60.0, 20.0];

const HEADER_BYTES: usize = 84;
const TRIANGLE_BYTES: usize = 50;

fn main() {
    divan::main();
    paired::tell();
}

#[divan::bench(sample_count = 15, sample_size = 1)]
fn binary_stl(bencher: Bencher<'_, '_>) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("ring.stl");
    write_ring(&file);
    let megabytes = fs::metadata(&file).unwrap().len() / 1_000_000;
    // Pappus's theorem (common knowledge): the area of the tube times the way of its centre. The facets lie within it.
    let volume = PI * RADII[1] * RADII[1] * TAU * RADII[0];
    for found in [measured(&file), summed(&file)] {
        assert!((found / volume - 1.0).abs() < 1e-4, "{found} of {volume}");
    }
    let name = format!("facts of a binary STL of {megabytes} MB");
    let of = |way: fn(&Path) -> f64| {
        let file = &file;
        move || {
            black_box(way(file));
        }
    };
    paired::compare(bencher, [&name, "a plain loop"], of(measured), of(summed));
}

/// The volume that the facts of the file have, in mm³.
fn measured(file: &Path) -> f64 {
    let bytes = fs::read(file).unwrap();
    match facts::of(Kind::Mesh { unit_m: 1e-3 }, &bytes) {
        Facts::Mesh(mesh) => mesh.solid.unwrap().volume,
        other => panic!("no mesh: {other:?}"),
    }
}

/// The volume by one plain loop.
fn summed(file: &Path) -> f64 {
    let bytes = fs::read(file).unwrap();
    let (triangles, _) = bytes[HEADER_BYTES..].as_chunks::<TRIANGLE_BYTES>();
    let mut volume_6 = 0.0;
    for triangle in triangles {
        let (values, _) = triangle[12..].as_chunks::<4>();
        let at = |index: usize| f64::from(f32::from_le_bytes(values[index]));
        let [a, b, c] = [0, 3, 6].map(|first| [at(first), at(first + 1), at(first + 2)]);
        volume_6 += a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0]);
    }
    volume_6 / 6.0
}

/// A ring with a round tube, closed, its triangles facing out.
fn write_ring(file: &Path) {
    let mut writer = BufWriter::new(File::create(file).unwrap());
    writer.write_all(&[b' '; 80]).unwrap();
    writer.write_all(&(2 * ROUND[0] * ROUND[1]).to_le_bytes()).unwrap();
    for at in (0..ROUND[0]).flat_map(|i| (0..ROUND[1]).map(move |j| [i, j])) {
        let [a, b, c, d] =
            [[0, 0], [1, 0], [1, 1], [0, 1]].map(|[i, j]| corner(at[0] + i, at[1] + j));
        for triangle in [[a, b, c], [a, c, d]] {
            writer.write_all(&[0; 12]).unwrap();
            for value in triangle.as_flattened() {
                writer.write_all(&value.to_le_bytes()).unwrap();
            }
            writer.write_all(&[0; 2]).unwrap();
        }
    }
    writer.flush().unwrap();
}

/// A corner of the ring; the last of each round is the first.
fn corner(i: u32, j: u32) -> [f32; 3] {
    let angle = |step: u32, steps: u32| TAU * f64::from(step % steps) / f64::from(steps);
    let (round, tube) = (angle(i, ROUND[0]), angle(j, ROUND[1]));
    let radius = RADII[0] + RADII[1] * tube.cos();
    [radius * round.cos(), radius * round.sin(), RADII[1] * tube.sin()].map(|value| value as f32)
}
