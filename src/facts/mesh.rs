//! Triangles → what a mesh is: size, surface, solid, and what identifies it.

use serde::{Deserialize, Serialize};

use super::body::{Body, Tensor};
use super::edges::{self, Balance, Count, Edges};
use super::geometry::{self, Cell, GeometryKey, Grid, Keyed};
use super::moments::{BLOCK, Moments, Volume};
use super::{Refusal, Triangle, Triangles, refuse};
use crate::threads;

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
    let mut surveys = surveys(mesh, grid)?.into_iter();
    let Survey { mut triangles, mut moments, mut keyed, balance } =
        surveys.next().unwrap_or_else(|| Survey::of(0, None));
    let mut balances = vec![balance];
    for next in surveys {
        triangles += next.triangles;
        moments.append(next.moments);
        keyed.append(&next.keyed);
        balances.push(next.balance);
    }
    if triangles == 0 {
        return refuse("it has no triangles");
    }
    let edges = edges(mesh, grid, balances)?;
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
struct Survey {
    triangles: u64,
    moments: Moments,
    keyed: Keyed,
    balance: Balance,
}

impl Survey {
    /// Of nothing yet, for so many triangles of a mesh whose first corner is `apex`.
    fn of(expected: usize, apex: Option<[f32; 3]>) -> Self {
        Self {
            triangles: 0,
            moments: apex.map(Moments::about).unwrap_or_default(),
            keyed: Keyed::default(),
            balance: Balance::new(expected),
        }
    }
}

/// The surveys of the pieces of a mesh, in their order. Where it is cut is no matter: what comes of
/// all of them does not depend on it.
fn surveys(mesh: &(impl Triangles + Sync), grid: Grid) -> Result<Vec<Survey>, Refusal> {
    let threads = if mesh.expected() < MANY_TRIANGLES { 1 } else { threads::threads() };
    match mesh.pieces(threads, BLOCK as usize) {
        Some(pieces) => {
            let apex = first_corner(mesh);
            threads::each(&pieces, |piece| survey(piece, grid, apex)).into_iter().collect()
        }
        None => Ok(vec![survey(mesh, grid, None)?]),
    }
}

fn first_corner(mesh: &impl Triangles) -> Option<[f32; 3]> {
    let mut corner = None;
    // Refused at once: the first triangle is enough.
    let _ = mesh.each(|triangle| {
        corner = Some(triangle[0]);
        refuse("")
    });
    corner
}

fn survey(mesh: &impl Triangles, grid: Grid, apex: Option<[f32; 3]>) -> Result<Survey, Refusal> {
    let mut survey = Survey::of(mesh.expected(), apex);
    mesh.each(|triangle| {
        let cells = grid.cells(triangle).ok_or_else(|| misplaced(triangle))?;
        survey.triangles += 1;
        survey.moments.add(triangle);
        if !geometry::is_collapsed(&cells) {
            survey.keyed.add(&cells);
            survey.balance.add(&cells);
        }
        Ok(())
    })?;
    survey.moments.close_block();
    Ok(survey)
}

/// What is wrong with the edges of a mesh whose pieces have these balances.
fn edges(mesh: &impl Triangles, grid: Grid, balances: Vec<Balance>) -> Result<Edges, Refusal> {
    if edges::are_perfect(&balances) {
        return Ok(Edges::default());
    }
    drop(balances);
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

#[cold]
fn misplaced(triangle: Triangle) -> Refusal {
    let all_finite = triangle.as_flattened().iter().all(|value| value.is_finite());
    Refusal(match all_finite {
        false => "a corner has a coordinate that is no finite number".to_owned(),
        true => "a corner lies more than 2 km from the origin: is the unit right?".to_owned(),
    })
}
