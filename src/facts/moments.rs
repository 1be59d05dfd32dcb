//! Area, volume and its first and second moments from the triangles of a surface.
//!
//! Volume by signed tetrahedra, Σ a·(b×c)/6 (C. Zhang and T. Chen, "Efficient feature extraction for
//! 2D/3D objects in mesh representation", ICIP 2001). The second moment of such a tetrahedron is
//! V/20·(aaᵀ + bbᵀ + ccᵀ + ssᵀ) with s = a + b + c. The apex is the first corner of the mesh, not the
//! origin, which may be far away.

use super::Triangle;
use super::body::Tensor;

/// So many triangles are summed by themselves before they are added to the total: less is lost.
pub(super) const BLOCK: u32 = 1 << 14;

/// Digits that are kept of a sum. The rest depends on the order of the triangles; these do not, unless
/// a sum lies on the border between two of them.
const DIGITS: i32 = 12;

/// Six times the volume, and the moments scaled alike.
#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    double_area: f64,
    volume_6: f64,
    first_24: [f64; 3],
    /// xx, yy, zz, xy, yz, zx.
    second_120: [f64; 6],
}

impl Sums {
    fn add(&mut self, [a, b, c]: [[f64; 3]; 3]) {
        let normal = cross(minus(b, a), minus(c, a));
        self.double_area += dot(normal, normal).sqrt();
        let volume_6 = dot(a, cross(b, c));
        self.volume_6 += volume_6;
        let s = [a[0] + b[0] + c[0], a[1] + b[1] + c[1], a[2] + b[2] + c[2]];
        let product = |i: usize, j: usize| a[i] * a[j] + b[i] * b[j] + c[i] * c[j] + s[i] * s[j];
        for (axis, sum) in s.into_iter().enumerate() {
            self.first_24[axis] += volume_6 * sum;
            let next = (axis + 1) % 3;
            self.second_120[axis] += volume_6 * product(axis, axis);
            self.second_120[axis + 3] += volume_6 * product(axis, next);
        }
    }

    fn merge(&mut self, other: &Self) {
        self.double_area += other.double_area;
        self.volume_6 += other.volume_6;
        add_each(&mut self.first_24, &other.first_24);
        add_each(&mut self.second_120, &other.second_120);
    }
}

/// Adds triangles up.
#[derive(Clone, Debug, Default)]
pub(super) struct Moments {
    apex: Option<[f64; 3]>,
    bounds: Option<[[f32; 3]; 2]>,
    /// The blocks that are full, in their order.
    blocks: Vec<Sums>,
    block: Sums,
    in_block: u32,
}

/// What the moments of a closed surface come to, in units of the file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Volume {
    /// Negative if the surface is inside out.
    pub volume: f64,
    pub centroid: [f64; 3],
    /// About the centroid, of density 1.
    pub inertia: Tensor,
}

impl Moments {
    /// For triangles of a mesh whose first corner is `apex`.
    pub(super) fn about(apex: [f32; 3]) -> Self {
        Self { apex: Some(apex.map(f64::from)), ..Self::default() }
    }

    pub(super) fn add(&mut self, triangle: Triangle) {
        let apex = *self.apex.get_or_insert_with(|| triangle[0].map(f64::from));
        let [lowest, highest] = self.bounds.get_or_insert([triangle[0]; 2]);
        for corner in triangle {
            for (axis, value) in corner.into_iter().enumerate() {
                lowest[axis] = lowest[axis].min(value);
                highest[axis] = highest[axis].max(value);
            }
        }
        self.block.add(triangle.map(|corner| minus(corner.map(f64::from), apex)));
        self.in_block += 1;
        if self.in_block == BLOCK {
            self.close_block();
        }
    }

    /// To be called after the last triangle.
    pub(super) fn close_block(&mut self) {
        self.blocks.push(std::mem::take(&mut self.block));
        self.in_block = 0;
    }

    /// Takes in the triangles that follow in the mesh. Both must be closed, the first of them after a
    /// multiple of [`BLOCK`] triangles: then the sums are those of one pass.
    pub(super) fn append(&mut self, mut next: Self) {
        self.blocks.append(&mut next.blocks);
        self.bounds = match (self.bounds, next.bounds) {
            (Some([low, high]), Some([next_low, next_high])) => {
                let both = |a: [f32; 3], b: [f32; 3], of: fn(f32, f32) -> f32| {
                    [0, 1, 2].map(|axis| of(a[axis], b[axis]))
                };
                Some([both(low, next_low, f32::min), both(high, next_high, f32::max)])
            }
            (one, other) => one.or(other),
        };
    }

    fn total(&self) -> Sums {
        let mut total = Sums::default();
        self.blocks.iter().for_each(|block| total.merge(block));
        total
    }

    /// The corners of the bounding box with the lowest and the highest coordinates.
    pub(super) fn bounds(&self) -> [[f64; 3]; 2] {
        let bounds = self.bounds.unwrap_or_default();
        bounds.map(|corner| corner.map(|value| f64::from(value) + 0.0))
    }

    pub(super) fn area(&self) -> f64 {
        let area = self.total().double_area / 2.0;
        rounded(area, area)
    }

    /// The volume inside the surface, which must be closed; `None` if there is none.
    pub(super) fn volume(&self) -> Option<Volume> {
        let total = self.total();
        let volume = total.volume_6 / 6.0;
        let extent = self.extent();
        let is_flat = volume.abs() <= 1e-12 * extent.powi(3);
        if is_flat || !volume.is_finite() {
            return None;
        }
        let from_apex = total.first_24.map(|sum| sum / 24.0 / volume);
        let apex = self.apex?;
        let centroid = [0, 1, 2].map(|axis| rounded(apex[axis] + from_apex[axis], extent));
        let [xx, yy, zz, xy, yz, zx] = total.second_120.map(|sum| sum / 120.0);
        let second = [[xx, xy, zx], [xy, yy, yz], [zx, yz, zz]];
        let central = |i: usize, j: usize| second[i][j] - volume * from_apex[i] * from_apex[j];
        let trace = central(0, 0) + central(1, 1) + central(2, 2);
        let scale = volume * extent * extent;
        let inertia = [0, 1, 2].map(|i| {
            [0, 1, 2].map(|j| rounded(if i == j { trace } else { 0.0 } - central(i, j), scale))
        });
        Some(Volume { volume: rounded(volume, volume), centroid, inertia })
    }

    /// The longest edge of the bounding box.
    fn extent(&self) -> f64 {
        let [low, high] = self.bounds();
        minus(high, low).into_iter().fold(0.0, f64::max)
    }
}

/// `value` without what lies below the twelfth digit of `scale`; 0 for −0.
fn rounded(value: f64, scale: f64) -> f64 {
    let Some(exponent) = exponent_of(scale) else { return value };
    let place = exponent - (DIGITS - 1);
    let power = libm::pow(10.0, f64::from(place.abs()));
    let rounded =
        if place < 0 { (value * power).round() / power } else { (value / power).round() * power };
    if rounded.is_finite() { rounded + 0.0 } else { value }
}

/// The power of ten of the first digit.
fn exponent_of(value: f64) -> Option<i32> {
    let text = format!("{value:e}");
    text.split_once('e')?.1.parse().ok().filter(|_| value != 0.0)
}

fn minus(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn add_each<const N: usize>(to: &mut [f64; N], from: &[f64; N]) {
    to.iter_mut().zip(from).for_each(|(to, from)| *to += from);
}

#[cfg(test)]
mod tests {
    use super::rounded;

    #[test]
    fn twelve_digits_of_the_scale_are_kept() {
        assert_eq!(rounded(1.0 / 3.0, 1.0 / 3.0), 0.333_333_333_333);
        assert_eq!(rounded(1.0 / 3.0, 1000.0), 0.333_333_33);
        assert_eq!(rounded(1.5e-17, 10.0).to_bits(), 0.0_f64.to_bits());
        assert_eq!(rounded(-1.5e-17, 10.0).to_bits(), 0.0_f64.to_bits());
        assert_eq!(rounded(123_456_789_012_345.0, 1e14), 123_456_789_012_000.0);
        assert_eq!(rounded(0.0, 0.0), 0.0);
    }
}
