//! What the bytes of a file say: mesh, exchange geometry, or pointer to a large file. Pure, and
//! equal for equal bytes, so that facts can be kept by content and no file is read twice.

pub mod body;
mod edges;
mod geometry;
mod mesh;
mod moments;
mod nearness;
mod printed;
mod step;
mod stl;
mod table;
#[cfg(test)]
pub(crate) mod tests;
mod threemf;

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::pointer::Pointer;

pub use edges::Edges;
pub use geometry::GeometryKey;
pub use mesh::{MeshFacts, Solid};
pub use nearness::Nearness;
pub use printed::{Print, printed_mass};
pub use table::Table;

/// What kept facts are marked with: they hold for this version of the program alone.
pub const VERSION: &str = concat!(env!("CARGO_PKG_VERSION"), "/2");

/// Three corners, counter-clockwise seen from outside, each as x, y, z in units of the file.
///
/// Single precision in every format, so that a mesh is the same whichever format holds it.
pub type Triangle = [[f32; 3]; 3];

/// What facts are wanted of a file. Its text form is part of the key that they are kept by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// A mesh: binary or ASCII STL, or 3MF, told apart by content.
    Mesh {
        /// Metres in one unit of the file; a 3MF file states its own, which is then used.
        unit_m: f64,
    },
    /// Exchange geometry by ISO 10303-21 (STEP).
    Step,
}

impl fmt::Display for Kind {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Mesh { unit_m } => write!(formatter, "mesh in {unit_m} m"),
            Self::Step => formatter.write_str("step"),
        }
    }
}

/// What a file says.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Facts {
    /// A mesh that was read to its end.
    Mesh(Box<MeshFacts>),
    /// Geometry of which nothing but its key is computed.
    Geometry(GeometryKey),
    /// The content isn't here; only a pointer to it.
    Pointer(Pointer),
    /// The content isn't here, nor can it be used.
    OutOfReach {
        /// The reason, as a clause.
        why: String,
    },
    /// The file is not what it should be.
    Unreadable {
        /// The reason, as a clause: `the file is cut short: …`.
        why: String,
    },
}

impl Facts {
    /// What identifies the geometry, if it could be read.
    #[must_use]
    pub fn geometry(&self) -> Option<GeometryKey> {
        match self {
            Self::Mesh(mesh) => Some(mesh.geometry),
            Self::Geometry(key) => Some(*key),
            Self::Pointer(_) | Self::OutOfReach { .. } | Self::Unreadable { .. } => None,
        }
    }

    /// Whether they are of the content itself, and so the same wherever it is looked into.
    #[must_use]
    pub fn are_of_content(&self) -> bool {
        !matches!(self, Self::Pointer(_) | Self::OutOfReach { .. })
    }
}

/// The facts of the given kind about a file that holds `bytes`.
#[must_use]
pub fn of(kind: Kind, bytes: &[u8]) -> Facts {
    if let Some(pointer) = Pointer::read(bytes) {
        return Facts::Pointer(pointer);
    }
    let facts = match kind {
        Kind::Mesh { unit_m } => mesh_of(bytes, unit_m).map(|facts| Facts::Mesh(Box::new(facts))),
        Kind::Step => step::geometry_key(bytes).map(Facts::Geometry),
    };
    facts.unwrap_or_else(|Refusal(why)| Facts::Unreadable { why })
}

fn mesh_of(bytes: &[u8], unit_m: f64) -> Result<MeshFacts, Refusal> {
    if bytes.is_empty() {
        return refuse("the file is empty");
    }
    if threemf::is_package(bytes) {
        let model = threemf::Model::read(bytes)?;
        let facts = mesh::measure(&model, model.unit_m())?;
        return Ok(MeshFacts { unit_m: Some(model.unit_m()), ..facts });
    }
    match stl::Stl::read(bytes)? {
        stl::Stl::Binary(mesh) => {
            let facts = mesh::measure(&mesh, unit_m)?;
            Ok(MeshFacts { trailing_bytes: mesh.trailing_bytes(), ..facts })
        }
        stl::Stl::Ascii(mesh) => mesh::measure(&mesh, unit_m),
    }
}

/// A file whose triangles can be gone through, more than once.
trait Triangles {
    /// How many there are, or somewhat more; a wrong number costs time and nothing else.
    fn expected(&self) -> usize;

    /// Hands every triangle to `sink`, in the order of the file.
    ///
    /// # Errors
    /// What is wrong with the file, or the error of `sink`.
    fn each(&self, sink: impl FnMut(Triangle) -> Result<(), Refusal>) -> Result<(), Refusal>;

    /// The same triangles in at most `number` pieces, in their order, each but the last a multiple of
    /// `multiple` triangles long; `None` where they can only be gone through one after the other.
    fn pieces(&self, _number: usize, _multiple: usize) -> Option<Vec<Self>>
    where
        Self: Sized,
    {
        None
    }
}

/// Why a file is not what it should be.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Refusal(String);

fn refuse<T>(why: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal(why.into()))
}
