//! What a printed part weighs, from its mesh and how it is printed.

/// How a part is printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Print {
    /// Thickness of its walls, floors and roofs, in m.
    pub walls_m: f64,
    /// Share of the space between them that is filled, from 0 to 1.
    pub infill: f64,
    /// Density of the material, in kg/m³.
    pub density: f64,
}

/// Mass in kg of a printed part of `volume_m3` and `area_m2`.
///
/// Walls take about area × thickness, and never more than the solid has. *Common practice*: a slicer
/// knows better, having laid the paths.
#[must_use]
pub fn printed_mass(volume_m3: f64, area_m2: f64, print: &Print) -> f64 {
    let walls = (area_m2 * print.walls_m).clamp(0.0, volume_m3.max(0.0));
    print.density * (walls + print.infill.clamp(0.0, 1.0) * (volume_m3 - walls))
}

#[cfg(test)]
mod tests {
    use super::*;

    const PETG: f64 = 1270.0;

    /// A cube of 20 mm: 8 cm³, 24 cm². With 1 mm of wall 2.4 cm³ are wall and 5.6 cm³ are not.
    fn cube_g(walls_m: f64, infill: f64) -> f64 {
        let print = Print { walls_m, infill, density: PETG };
        (printed_mass(8e-6, 24e-4, &print) * 1e6).round() / 1e3
    }

    #[test]
    fn walls_count_whole_and_the_rest_by_its_infill() {
        assert_eq!(cube_g(1e-3, 0.0), 3.048);
        assert_eq!(cube_g(1e-3, 0.2), 4.47);
    }

    #[test]
    fn it_is_never_more_than_solid() {
        assert_eq!(cube_g(1e-3, 1.0), 10.16);
        assert_eq!(cube_g(0.1, 0.2), 10.16);
    }
}
