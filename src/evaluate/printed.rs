//! The mass of a printed part that states none: from its mesh and how it is printed.

use serde::{Deserialize, Serialize};

use super::known::{self, Known};
use crate::design::{Design, PartIx};
use crate::facts::{Facts, MeshFacts, Print, Solid, printed_mass};
use crate::record::{Mesh, Origin, Part};

/// Why a mesh does not give the mass of its part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Unprinted {
    /// No such file was looked into.
    NoFile,
    /// Only a pointer to the content is here.
    NotFetched,
    /// The file is no mesh.
    Unreadable,
    /// The surface encloses nothing.
    Open,
    /// The part names no material, or one without a density.
    NoDensity,
}

impl Unprinted {
    /// Every reason.
    pub const ALL: [Self; 5] =
        [Self::NoFile, Self::NotFetched, Self::Unreadable, Self::Open, Self::NoDensity];

    /// The reason, as a clause.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::NoFile => "states none, and its mesh is not there",
            Self::NotFetched => "states none, and the content of its mesh was not fetched",
            Self::Unreadable => "states none, and its mesh cannot be read",
            Self::Open => "states none, and its mesh is not closed",
            Self::NoDensity => "states none, and the density of its material is not known",
        }
    }
}

/// The mass in kg of a printed part with a mesh, or why its mesh does not give it; `None` for parts
/// that are not printed or name no mesh.
///
/// A part is solid where it says nothing of its infill, and has no walls of their own where it says
/// nothing of these.
pub(super) fn mass(design: &Design, part: PartIx) -> Option<Result<Known, Unprinted>> {
    let record = design.record(part);
    let mesh = record.mesh.as_ref().filter(|_| record.origin.value == Origin::Printed)?;
    Some(solid(design, part).and_then(|(facts, solid)| {
        let density = density(design, record)?;
        let unit_m = facts.unit_m.unwrap_or(mesh.unit_m.value);
        Ok(of_solid(
            design,
            mesh,
            (facts.area * unit_m.powi(2), solid.volume * unit_m.powi(3)),
            density,
        ))
    }))
}

/// What the mesh of the part encloses, or why it encloses nothing.
pub(super) fn solid(design: &Design, part: PartIx) -> Result<(&MeshFacts, &Solid), Unprinted> {
    match design.mesh_facts(part) {
        None => Err(Unprinted::NoFile),
        Some(Facts::Pointer(_) | Facts::OutOfReach { .. }) => Err(Unprinted::NotFetched),
        Some(Facts::Unreadable { .. } | Facts::Geometry(_)) => Err(Unprinted::Unreadable),
        Some(Facts::Mesh(facts)) => {
            facts.solid.as_ref().map(|solid| (&**facts, solid)).ok_or(Unprinted::Open)
        }
    }
}

/// The density of what the part is made of, with the place of that among all materials.
fn density(design: &Design, record: &Part) -> Result<(usize, Known), Unprinted> {
    let named = record.material.as_ref();
    let place = named.and_then(|id| design.place_of_material(id.as_str()));
    let known = place.and_then(|place| Some((place, known::density(design, place)?)));
    known.ok_or(Unprinted::NoDensity)
}

fn of_solid(
    design: &Design,
    mesh: &Mesh,
    (area_m2, volume_m3): (f64, f64),
    (material, density): (usize, Known),
) -> Known {
    let print = Print {
        walls_m: mesh.walls.as_ref().map_or(0.0, |walls| walls.base),
        infill: mesh.infill.as_ref().map_or(1.0, |infill| infill.value),
        density: density.value.to_f64(),
    };
    known::calculated(design, printed_mass(volume_m3, area_m2, &print), (material, &density))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts;
    use crate::fixture;

    /// A cube of 20 in its file's unit: 8 cm³ and 24 cm² in mm. The density of PETG is from memory.
    fn cube(mesh: &str, body: &str) -> String {
        format!(
            "\n== parts/cube.toml\n[part.scanner]\norigin = \"printed\"\nmaterial = \"petg\"\n\
             mesh = {{ file = \"cube.stl\", {mesh} }}\n[material.petg]\n\
             density = \"1.27 g/cm³\"\n== parts/cube.stl\n{body}"
        )
    }

    fn solid_cube() -> String {
        fixture::cuboid_stl([20.0; 3])
    }

    /// The mass in mg, or why there is none.
    fn mass_mg(text: &str) -> Result<f64, Unprinted> {
        let design = fixture::design(text);
        let found = mass(&design, design.top).expect("a printed part with a mesh")?;
        assert_eq!(found.basis, crate::quantity::Basis::Calculated);
        Ok((found.value.to_f64() * 1e6).round())
    }

    #[test]
    fn a_printed_part_weighs_its_walls_and_its_infill() {
        let of = |mesh: &str| mass_mg(&cube(mesh, &solid_cube()));
        assert_eq!(of("unit = \"mm\""), Ok(10_160.0), "solid");
        assert_eq!(of("unit = \"mm\", walls = \"1 mm\", infill = \"0 %\""), Ok(3_048.0));
        assert_eq!(of("unit = \"mm\", walls = \"1 mm\", infill = \"20 %\""), Ok(4_470.0));
        assert_eq!(of("unit = \"mm\", walls = \"1 mm\""), Ok(10_160.0), "no infill stated");
        assert_eq!(of("unit = \"cm\""), Ok(10_160_000.0));
    }

    #[test]
    fn a_mass_that_is_stated_counts_alone() {
        let stated = cube("unit = \"mm\"", &solid_cube())
            .replace("material = \"petg\"", "material = \"petg\"\nmass = \"31 g\"");
        let design = fixture::design(&stated);
        let figures = crate::evaluate::figures(None, &design, &Default::default());
        let mass = figures.budgets.values().next().expect("the mass is in use");
        assert_eq!(mass.total.basic, 0.031);
    }

    #[test]
    fn the_uncertainty_of_the_density_is_that_of_the_mass() {
        let text = cube("unit = \"mm\"", &solid_cube()).replace("cm³", "cm³ ± 2 %");
        let design = fixture::design(&text);
        let mass = mass(&design, design.top).expect("a mesh").expect("it is sound");
        assert!((mass.u / mass.value.to_f64() - 0.01).abs() < 1e-12, "± 2 % are two of them");
        assert!(mass.uncertain);
    }

    #[test]
    fn why_a_mesh_gives_no_mass_is_said() {
        let in_mm = |body: &str| cube("unit = \"mm\"", body);
        let open = solid_cube().replacen("facet normal", "other normal", 1);
        assert_eq!(mass_mg(&in_mm(&open)), Err(Unprinted::Unreadable));
        let last = solid_cube().rfind("  facet").expect("a facet");
        let open = format!("{}endsolid\n", &solid_cube()[..last]);
        assert_eq!(mass_mg(&in_mm(&open)), Err(Unprinted::Open));
        let pointer = fixture::pointer_to(&solid_cube());
        assert_eq!(mass_mg(&in_mm(&pointer)), Err(Unprinted::NotFetched));
        let nowhere = in_mm("").replace("== parts/cube.stl", "== parts/other.stl");
        assert_eq!(mass_mg(&nowhere), Err(Unprinted::NoFile));
        let nothing = in_mm(&solid_cube()).replace("density", "# density");
        assert_eq!(mass_mg(&nothing), Err(Unprinted::NoDensity));
    }

    #[test]
    fn the_reason_stands_where_the_figure_is_missing() {
        let text = cube("unit = \"mm\"", "nothing");
        let design = fixture::design(&text);
        let figures = crate::evaluate::figures(None, &design, &Default::default());
        let mass = figures.budgets.values().next().expect("the mass is in use");
        let why = crate::evaluate::Missing::Mesh(Unprinted::Unreadable);
        assert_eq!(mass.missing, [(design.top, why)]);
    }

    /// A file that states its unit is right about it, whatever the record says.
    #[test]
    fn a_unit_that_the_file_states_counts() {
        let design = fixture::design(&cube("unit = \"cm\"", &solid_cube()));
        let demand = design.demands().remove(0);
        let Facts::Mesh(mut mesh) = facts::of(demand.kind, solid_cube().as_bytes()) else {
            panic!("a mesh");
        };
        mesh.unit_m = Some(1e-3);
        let known = [(demand.key, demand.kind, Facts::Mesh(mesh))].into_iter().collect();
        let design = design.knowing(known);
        let mass = mass(&design, design.top).expect("a mesh").expect("it is sound");
        assert!((mass.value.to_f64() - 0.010_16).abs() < 1e-9);
    }
}
