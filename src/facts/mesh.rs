//! Triangles → what a mesh is: size, surface, solid, and what identifies it.

use std::panic::resume_unwind;
use std::thread;

use serde::{Deserialize, Serialize};

use super::body::{Body, Tensor};
use super::edges::{Balance, Count, Edges};
use super::geometry::{self, Cell, GeometryKey, Grid, Keyed};
use super::moments::{Moments, Volume};
use super::{Refusal, Triangle, Triangles, refuse};

/// What a mesh is, in units of its file.
///
/// Areas, volumes and moments are rounded to twelve digits: more would depend on the order of the
/// triangles in the file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeshFacts {
    /// What identifies the geometry.
    pub geometry: GeometryKey,
    /// Number of triangles in the file.
    pub triangles: u64,
    /// Corners of the bounding box with the lowest and the highest coordinates.
    pub bounds: [[f64; 3]; 2],
    /// Area of all triangles.
    pub area: f64,
    /// Edges that keep the surface from enclosing a solid.
    pub edges: Edges,
    /// What the surface encloses: nothing unless it is closed, oriented, and not flat.
    pub solid: Option<Solid>,
    /// Metres in one unit, where the file states it (3MF).
    pub unit_m: Option<f64>,
    /// Bytes after the last triangle of a binary STL, which some programs write and none need.
    pub trailing_bytes: u64,
}

impl MeshFacts {
    /// Outer size along x, y, z.
    #[must_use]
    pub fn size(&self) -> [f64; 3] {
        let [low, high] = self.bounds;
        [0, 1, 2].map(|axis| high[axis] - low[axis])
    }
}

/// What a closed surface encloses, in units of its file.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Solid {
    /// Volume; positive also where the surface is inside out.
    pub volume: f64,
    /// Centre of the volume.
    pub centroid: [f64; 3],
    /// Inertia tensor about the centroid for a density of 1.
    pub inertia: Tensor,
    /// Whether the triangles face inwards, so that their volume came out negative.
    pub inside_out: bool,
}

impl Solid {
    /// The solid as a homogeneous body: of a file whose unit is `unit_m` metres, and of `density` in
    /// kg/m³. In kg, m and kg·m².
    #[must_use]
    pub fn body(&self, unit_m: f64, density: f64) -> Body {
        let per_volume = density * unit_m.powi(3);
        Body {
            mass: self.volume * per_volume,
            centre: self.centroid.map(|value| value * unit_m),
            inertia: self.inertia.map(|row| row.map(|value| value * per_volume * unit_m.powi(2))),
        }
    }
}

impl From<Volume> for Solid {
    fn from(Volume { volume, centroid, inertia }: Volume) -> Self {
        let sign = volume.signum();
        Self {
            volume: volume.abs(),
            centroid,
            inertia: inertia.map(|row| row.map(|value| value * sign + 0.0)),
            inside_out: sign < 0.0,
        }
    }
}

/// From so many triangles on a second thread is worth its start.
const MANY_TRIANGLES: usize = 50_000;

/// The facts of a mesh whose unit is `unit_m` metres.
pub(super) fn measure(mesh: &(impl Triangles + Sync), unit_m: f64) -> Result<MeshFacts, Refusal> {
    if !(unit_m.is_finite() && unit_m > 0.0) {
        return refuse("its unit is no length");
    }
    let grid = Grid::new(unit_m);
    let (survey, edges) = match mesh.expected() {
        0..MANY_TRIANGLES => (survey(mesh, grid), edges(mesh, grid)),
        _ => side_by_side(|| survey(mesh, grid), || edges(mesh, grid)),
    };
    let (Survey { triangles, moments, keyed }, edges) = (survey?, edges?);
    if triangles == 0 {
        return refuse("it has no triangles");
    }
    let encloses = edges.closed() && edges.oriented();
    Ok(MeshFacts {
        geometry: keyed.key(),
        triangles,
        bounds: moments.bounds(),
        area: moments.area(),
        edges,
        solid: encloses.then(|| moments.volume()).flatten().map(Solid::from),
        unit_m: None,
        trailing_bytes: 0,
    })
}

/// What takes one look at each triangle by itself.
#[derive(Default)]
struct Survey {
    triangles: u64,
    moments: Moments,
    keyed: Keyed,
}

fn survey(mesh: &impl Triangles, grid: Grid) -> Result<Survey, Refusal> {
    let mut survey = Survey::default();
    mesh.each(|triangle| {
        let cells = grid.cells(triangle).ok_or_else(|| misplaced(triangle))?;
        survey.triangles += 1;
        survey.moments.add(triangle);
        if !geometry::is_collapsed(&cells) {
            survey.keyed.add(&cells);
        }
        Ok(())
    })?;
    survey.moments.close_block();
    Ok(survey)
}

fn edges(mesh: &impl Triangles, grid: Grid) -> Result<Edges, Refusal> {
    let mut balance = Balance::new(mesh.expected());
    each_on_grid(mesh, grid, |cells| balance.add(cells))?;
    if balance.is_perfect() {
        return Ok(Edges::default());
    }
    drop(balance);
    let mut count = Count::default();
    each_on_grid(mesh, grid, |cells| count.add(cells))?;
    Ok(count.edges())
}

/// Hands on every triangle that is one on the grid.
fn each_on_grid(
    mesh: &impl Triangles,
    grid: Grid,
    mut sink: impl FnMut(&[Cell; 3]),
) -> Result<(), Refusal> {
    mesh.each(|triangle| {
        let cells = grid.cells(triangle).ok_or_else(|| misplaced(triangle))?;
        if !geometry::is_collapsed(&cells) {
            sink(&cells);
        }
        Ok(())
    })
}

/// Both results, the second from a thread of its own where there is one to be had.
fn side_by_side<A, B: Send>(here: impl FnOnce() -> A, there: impl Fn() -> B + Sync) -> (A, B) {
    thread::scope(|scope| {
        let elsewhere = thread::Builder::new().spawn_scoped(scope, &there);
        let first = here();
        let second = match elsewhere {
            Ok(thread) => thread.join().unwrap_or_else(|panic| resume_unwind(panic)),
            Err(_) => there(),
        };
        (first, second)
    })
}

#[cold]
fn misplaced(triangle: Triangle) -> Refusal {
    let all_finite = triangle.as_flattened().iter().all(|value| value.is_finite());
    Refusal(match all_finite {
        false => "a corner has a coordinate that is no finite number".to_owned(),
        true => "a corner lies more than 2 km from the origin: is the unit right?".to_owned(),
    })
}
