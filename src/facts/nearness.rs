//! How near two meshes are: shown when one was tessellated anew, never decided by.

use super::MeshFacts;

/// Differences of two meshes whose files have the same unit, in that unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearness {
    /// Change of the volume as a share of the former; `None` where one has none.
    pub volume: Option<f64>,
    /// Change of the area as a share of the former.
    pub area: f64,
    /// The largest distance that a face of the bounding box moved by.
    pub bounds: f64,
    /// Distance of the centroids; `None` where there is no volume.
    pub centroid: Option<f64>,
}

impl Nearness {
    /// How far `new` is from `old`.
    #[must_use]
    pub fn between(old: &MeshFacts, new: &MeshFacts) -> Self {
        let faces = old.bounds.as_flattened().iter().zip(new.bounds.as_flattened());
        let solids = old.solid.zip(new.solid);
        Self {
            volume: solids.map(|(old, new)| new.volume / old.volume - 1.0),
            area: new.area / old.area - 1.0,
            bounds: faces.map(|(old, new)| (new - old).abs()).fold(0.0, f64::max),
            centroid: solids.map(|(old, new)| distance(old.centroid, new.centroid)),
        }
    }
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt()
}
