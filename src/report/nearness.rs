//! How near two meshes are, in numbers and in words.

use serde::Serialize;

use super::shown::Shown;
use crate::facts::Nearness;
use crate::quantity::Unit;

/// What is nearer than this is the same: the grid that corners are rounded to.
const GRID_M: f64 = 1e-6;

/// Differences of a mesh from a former one.
#[derive(Clone, Debug, Serialize)]
pub struct NearnessRow {
    /// Change of the volume as a share of the former; `None` where one encloses nothing.
    pub volume: Option<f64>,
    /// Change of the area as a share of the former.
    pub area: f64,
    /// The largest distance that a face of the bounding box moved by.
    pub bounds: Shown,
    /// Distance of the centroids.
    pub centroid: Option<Shown>,
    /// All of it in words.
    pub text: String,
}

/// The differences as they are shown.
pub(super) fn row(near: &Nearness) -> NearnessRow {
    let unit = Unit::parse("mm").unwrap_or_else(|_| Unit::none());
    let length = |metres: f64| Shown::difference((metres / GRID_M).round() * GRID_M, &unit);
    let (bounds, centroid) = (length(near.bounds_m), near.centroid_m.map(length));
    let volume = near.volume.map_or("one encloses no volume".into(), |by| changed("volume", by));
    let centre = centroid.iter().map(|by| moved("centroid", by));
    let words = [volume, changed("area", near.area), moved("box", &bounds)];
    let text = words.into_iter().chain(centre).collect::<Vec<_>>().join(", ");
    NearnessRow { volume: near.volume, area: near.area, bounds, centroid, text }
}

/// `box by 0.02 mm`, `centroid as it was`.
fn moved(what: &str, by: &Shown) -> String {
    match by.base {
        0.0 => format!("{what} as it was"),
        _ => format!("{what} by {}", by.text),
    }
}

/// `volume +0.25 %`, `area as it was`, `volume 16400-fold`.
fn changed(what: &str, share: f64) -> String {
    let ratio = 1.0 + share;
    match share.abs() {
        by if by < 5e-7 => format!("{what} as it was"),
        _ if ratio >= 2.0 => format!("{what} {}-fold", significant(ratio, 3)),
        _ if ratio <= 0.5 => format!("{what} 1/{} of it", significant(1.0 / ratio, 3)),
        _ => format!(
            "{what} {}{} %",
            if share > 0.0 { "+" } else { "" },
            significant(share * 100.0, 2)
        ),
    }
}

/// `value` to so many significant digits, as a plain number.
fn significant(value: f64, digits: i32) -> String {
    let place = digits - 1 - libm::floor(libm::log10(value.abs())) as i32;
    let power = libm::pow(10.0, f64::from(place));
    format!("{:.*}", usize::try_from(place).unwrap_or_default(), (value * power).round() / power)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(volume: Option<f64>, area: f64, bounds_m: f64, centroid_m: Option<f64>) -> String {
        row(&Nearness { volume, area, bounds_m, centroid_m }).text
    }

    #[test]
    fn differences_are_told_to_two_digits_and_lengths_to_a_micrometre() {
        assert_eq!(
            told(Some(0.002_53), -0.000_051, 2.04e-5, Some(3e-7)),
            "volume +0.25 %, area -0.0051 %, box by 0.02 mm, centroid as it was"
        );
        assert_eq!(
            told(Some(0.0), 1e-9, 0.0, Some(0.0)),
            "volume as it was, area as it was, box as it was, centroid as it was"
        );
        assert_eq!(told(None, 0.1, 1e-3, None), "one encloses no volume, area +10 %, box by 1 mm");
    }

    /// An inch is 25.4 mm, and 25.4³ is 16387.064.
    #[test]
    fn another_unit_is_told_as_a_ratio() {
        let (volume, area) = (16_387.064, 645.16);
        let grown = told(Some(volume - 1.0), area - 1.0, 0.1, None);
        assert_eq!(grown, "volume 16400-fold, area 645-fold, box by 100 mm");
        let shrunk = told(Some(1.0 / volume - 1.0), 1.0 / area - 1.0, 0.1, None);
        assert_eq!(shrunk, "volume 1/16400 of it, area 1/645 of it, box by 100 mm");
    }
}
