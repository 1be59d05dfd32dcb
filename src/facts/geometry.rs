//! What identifies a geometry, whatever file holds it.
//!
//! Corners are rounded to single precision, then to a grid of 1 µm. A triangle is written from its
//! smallest corner, orientation kept, and hashed (XXH3, 128 bits); the hashes are added modulo 2¹²⁸,
//! so their order does not count and none has to be held, and, unlike by exclusive or, a triangle
//! that occurs twice does not vanish. Sum and number are hashed to the key (SHA-256, cut to 128
//! bits). Sums of a fast hash guard against accident, not against someone who builds a collision.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::{Digest, Sha256};
use twox_hash::XxHash3_128;

use super::Triangle;

const GRID_PER_M: f64 = 1e6;

/// Beyond this many grid steps (2 km) from the origin nothing is taken for a part.
const MAX_STEPS: f64 = 2e9;

/// Identifies a geometry: 128 bits, shown in hexadecimal.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct GeometryKey([u8; 16]);

impl GeometryKey {
    /// The key of what was fed to `digest`.
    pub(super) fn from_digest(digest: Sha256) -> Self {
        let full = digest.finalize();
        let mut key = [0; 16];
        key.copy_from_slice(&full[..16]);
        Self(key)
    }

    /// The 16 bytes.
    #[must_use]
    pub fn as_bytes(&self) -> &[u8; 16] {
        &self.0
    }
}

impl fmt::Display for GeometryKey {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(formatter, "{byte:02x}"))
    }
}

impl fmt::Debug for GeometryKey {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, formatter)
    }
}

impl Serialize for GeometryKey {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for GeometryKey {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let value = (text.len() == 32).then(|| u128::from_str_radix(&text, 16).ok()).flatten();
        let value = value.ok_or_else(|| serde::de::Error::custom("not 32 hexadecimal digits"))?;
        Ok(Self(value.to_be_bytes()))
    }
}

/// A corner on the grid.
pub(super) type Cell = [i32; 3];

/// Rounds corners to the grid of 1 µm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grid {
    steps_per_unit: f64,
}

impl Grid {
    /// The grid for a file whose unit is `unit_m` metres.
    pub(super) fn new(unit_m: f64) -> Self {
        Self { steps_per_unit: unit_m * GRID_PER_M }
    }

    /// The corners on the grid; `None` if one is not a number or too far away.
    pub(super) fn cells(self, triangle: Triangle) -> Option<[Cell; 3]> {
        let mut within = true;
        let cells = triangle.map(|corner| {
            corner.map(|value| {
                let steps = f64::from(value) * self.steps_per_unit;
                within &= steps.abs() <= MAX_STEPS;
                nearest(steps)
            })
        });
        within.then_some(cells)
    }
}

/// The nearest integer, ties to even, of a value within ±2³¹; 0 for −0.
///
/// Added to 1.5·2⁵² a double has no room left for a fraction, and its lowest 32 bits are the integer
/// in two's complement. Several times faster than `round`, which is a call on a plain x86-64.
fn nearest(value: f64) -> i32 {
    const NO_FRACTION: f64 = 6_755_399_441_055_744.0;
    let lowest = (value + NO_FRACTION).to_bits() as u32;
    lowest.cast_signed()
}

/// Whether two corners fall together, so that nothing is left of the triangle.
pub(super) fn is_collapsed([a, b, c]: &[Cell; 3]) -> bool {
    a == b || b == c || c == a
}

const CELL_BYTES: usize = 12;
const TRIANGLE_BYTES: usize = 3 * CELL_BYTES;

/// A number that orders corners by x, then y, then z.
fn in_order(cell: Cell) -> u128 {
    let [x, y, z] = cell.map(|steps| u128::from(steps.cast_unsigned() ^ 1 << 31));
    x << 64 | y << 32 | z
}

/// Adds triangles up to a [`GeometryKey`]; collapsed ones are to be left out.
#[derive(Clone, Debug, Default)]
pub(super) struct Keyed {
    sum: u128,
    triangles: u64,
}

impl Keyed {
    pub(super) fn add(&mut self, cells: &[Cell; 3]) {
        let [a, b, c] = cells.map(in_order);
        let smallest = if c < a.min(b) { 2 } else { usize::from(b < a) };
        // Twice round the triangle: from each corner on there are three, without a branch.
        let mut bytes = [0; 2 * TRIANGLE_BYTES];
        let corners = cells.as_flattened().iter().chain(cells.as_flattened());
        for (place, value) in bytes.chunks_exact_mut(4).zip(corners) {
            place.copy_from_slice(&value.to_le_bytes());
        }
        let bytes = &bytes[smallest * CELL_BYTES..][..TRIANGLE_BYTES];
        self.sum = self.sum.wrapping_add(XxHash3_128::oneshot(bytes));
        self.triangles += 1;
    }

    /// Takes in other triangles of the same mesh.
    pub(super) fn append(&mut self, other: &Self) {
        self.sum = self.sum.wrapping_add(other.sum);
        self.triangles += other.triangles;
    }

    pub(super) fn key(&self) -> GeometryKey {
        let mut digest = Sha256::new_with_prefix(b"triangles on a grid of 1 um, 1\n");
        digest.update(self.triangles.to_le_bytes());
        digest.update(self.sum.to_le_bytes());
        GeometryKey::from_digest(digest)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_goes_to_the_nearest_and_to_even() {
        let rounded = [-2.5, -1.5, -0.0, 0.49, 0.5, 1.5, 1.999_999e9, -2e9].map(nearest);
        assert_eq!(rounded, [-2, -2, 0, 0, 0, 2, 1_999_999_000, -2_000_000_000]);
    }

    #[test]
    fn the_usual_units_have_whole_numbers_of_steps() {
        let steps =
            [1e-3, 1e-2, 1.0, 1e-6, 0.0254, 0.3048].map(|unit| Grid::new(unit).steps_per_unit);
        assert_eq!(steps, [1e3, 1e4, 1e6, 1.0, 25_400.0, 304_800.0]);
    }

    #[test]
    fn what_is_no_number_or_kilometres_away_has_no_cell() {
        let grid = Grid::new(1e-3);
        for value in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, 2.1e6] {
            assert_eq!(grid.cells([[0.0; 3], [1.0; 3], [0.0, value, 0.0]]), None);
        }
    }
}
