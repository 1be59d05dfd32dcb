//! How near two meshes are: shown when one was tessellated anew, never decided by.

use super::MeshFacts;

/// Differences of two meshes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearness {
    /// Change of the volume as a share of the former; `None` where one has none.
    pub volume: Option<f64>,
    /// Change of the area as a share of the former.
    pub area: f64,
    /// The largest distance that a face of the bounding box moved by, in m.
    pub bounds_m: f64,
    /// Distance of the centroids in m; `None` where there is no volume.
    pub centroid_m: Option<f64>,
}

impl Nearness {
    /// How far `new` is from `old`, each with the metres in one unit of its file.
    #[must_use]
    pub fn between((old, old_m): (&MeshFacts, f64), (new, new_m): (&MeshFacts, f64)) -> Self {
        let faces = old.bounds.as_flattened().iter().zip(new.bounds.as_flattened());
        let solids = old.solid.zip(new.solid);
        let scale = new_m / old_m;
        let placed = |point: [f64; 3], unit_m: f64| point.map(|value| value * unit_m);
        Self {
            volume: solids.map(|(old, new)| new.volume * scale.powi(3) / old.volume - 1.0),
            area: new.area * scale.powi(2) / old.area - 1.0,
            bounds_m: faces.map(|(old, new)| (new * new_m - old * old_m).abs()).fold(0.0, f64::max),
            centroid_m: solids.map(|(old, new)| {
                distance(placed(old.centroid, old_m), placed(new.centroid, new_m))
            }),
        }
    }
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt()
}
