//! 3MF, the core specification with model parts in several files (its production extension).
//!
//! A ZIP package of XML. An object is a mesh or made of other objects, each moved by a matrix of four
//! rows of three; the build says which objects are made. Everything is bounded: bytes unpacked,
//! objects laid out, triangles handed on.

mod read;

use std::collections::BTreeMap;

use super::{Refusal, Triangle, Triangles, refuse};

/// How deep objects may be made of objects.
const MAX_DEPTH: usize = 64;
/// How many objects may be laid out, each as often as it is used.
const MAX_LAID_OUT: u64 = 100_000;
/// How many triangles a build may have, each as often as it is used.
const MAX_TRIANGLES: u64 = 100_000_000;

/// Whether the file begins as a ZIP package does.
pub(super) fn is_package(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

/// A number that means an object within one file of the package.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct ObjectId {
    /// The file within the package, without a leading slash.
    file: String,
    number: u32,
}

/// A matrix of four rows of three, by rows: a point is a row before it.
type Transform = [f64; 12];

const IN_PLACE: Transform = [1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0];

/// An object that is used somewhere.
#[derive(Clone, Debug)]
struct Placed {
    object: ObjectId,
    transform: Transform,
}

#[derive(Clone, Debug, Default)]
struct Object {
    /// Not part of what is made: a support structure.
    is_support: bool,
    corners: Vec<[f32; 3]>,
    /// Three corners each, that exist.
    triangles: Vec<[u32; 3]>,
    components: Vec<Placed>,
}

/// What a 3MF file describes.
#[derive(Clone, Debug)]
pub(super) struct Model {
    unit_m: f64,
    objects: BTreeMap<ObjectId, Object>,
    build: Vec<Placed>,
}

impl Model {
    /// Metres in one unit.
    pub(super) fn unit_m(&self) -> f64 {
        self.unit_m
    }
}

impl Triangles for Model {
    fn expected(&self) -> usize {
        let mut triangles = 0;
        let counted = self.each(|_| {
            triangles += 1;
            Ok(())
        });
        // Where the layout is refused, the next look at it says so.
        counted.map_or(0, |()| triangles)
    }

    fn each(&self, sink: impl FnMut(Triangle) -> Result<(), Refusal>) -> Result<(), Refusal> {
        let mut layout = Layout { objects: &self.objects, sink, laid_out: 0, triangles: 0 };
        self.build.iter().try_for_each(|item| layout.add(item, &IN_PLACE, 0))
    }
}

/// Lays objects out as the build says.
struct Layout<'a, Sink> {
    objects: &'a BTreeMap<ObjectId, Object>,
    sink: Sink,
    laid_out: u64,
    triangles: u64,
}

impl<Sink: FnMut(Triangle) -> Result<(), Refusal>> Layout<'_, Sink> {
    fn add(&mut self, placed: &Placed, outer: &Transform, depth: usize) -> Result<(), Refusal> {
        let objects = self.objects;
        let ObjectId { file, number } = &placed.object;
        let Some(object) = objects.get(&placed.object) else {
            return refuse(format!("object {number} of `{file}` is used and does not exist"));
        };
        self.laid_out += 1;
        self.triangles += object.triangles.len() as u64;
        if depth > MAX_DEPTH {
            return refuse(format!(
                "object {number} of `{file}` contains itself, or too many levels"
            ));
        }
        if self.laid_out > MAX_LAID_OUT || self.triangles > MAX_TRIANGLES {
            return refuse("its objects are used so often that it has too many triangles");
        }
        if object.is_support {
            return Ok(());
        }
        let transform = product(&placed.transform, outer);
        self.add_mesh(object, &transform)?;
        object.components.iter().try_for_each(|part| self.add(part, &transform, depth + 1))
    }

    fn add_mesh(&mut self, object: &Object, transform: &Transform) -> Result<(), Refusal> {
        let is_mirrored = determinant(transform) < 0.0;
        for corners in &object.triangles {
            let [a, b, c] = corners.map(|corner| moved(object.corners[corner as usize], transform));
            // A mirror turns a triangle round, and with it what counts as outside.
            (self.sink)(if is_mirrored { [a, c, b] } else { [a, b, c] })?;
        }
        Ok(())
    }
}

fn moved(point: [f32; 3], transform: &Transform) -> [f32; 3] {
    if *transform == IN_PLACE {
        return point;
    }
    let [x, y, z] = point.map(f64::from);
    let t = transform;
    [0, 1, 2].map(|axis| (x * t[axis] + y * t[3 + axis] + z * t[6 + axis] + t[9 + axis]) as f32)
}

/// First `inner`, then `outer`.
fn product(inner: &Transform, outer: &Transform) -> Transform {
    std::array::from_fn(|at| {
        let (row, axis) = (at / 3, at % 3);
        let linear: f64 = (0..3).map(|k| inner[row * 3 + k] * outer[k * 3 + axis]).sum();
        if row == 3 { linear + outer[9 + axis] } else { linear }
    })
}

fn determinant(t: &Transform) -> f64 {
    t[0] * (t[4] * t[8] - t[5] * t[7]) - t[1] * (t[3] * t[8] - t[5] * t[6])
        + t[2] * (t[3] * t[7] - t[4] * t[6])
}
