//! Parts that become as warm as their material softens.

use super::heat::Extreme;
use super::known::{self, coverage_factor};
use super::multiplicity::multiplicities;
use super::number::root_of_squares;
use super::steady::Steady;
use crate::design::{Design, PartIx};
use crate::quantity::Dimension;
use crate::record::Id;

/// A part that may soften.
#[derive(Clone, Debug, PartialEq)]
pub struct Softening {
    /// The part.
    pub part: PartIx,
    /// Its temperature at the highest ambient, in K: by its heat paths, with optional parts where it is
    /// warmer with them; else as it is stated.
    pub temperature_k: f64,
    /// The temperature from which on its material gives way, in K.
    pub softens_k: f64,
    /// Expanded uncertainty of the difference of the two, in K.
    pub expanded_u_k: f64,
}

/// The parts of the product that are not surely below the temperature at which their material
/// softens, in the order of parts: T + U > T_softens.
#[must_use]
pub fn softening(design: &Design, steady: Option<&Steady>) -> Vec<Softening> {
    if design.materials.iter().all(|material| material.softens.is_none()) {
        return Vec::new();
    }
    let held = multiplicities(design, design.top, true);
    let parts = design.part_indices().filter(|part| held.holds(*part));
    parts.filter_map(|part| of_part(design, steady, part)).collect()
}

fn of_part(design: &Design, steady: Option<&Steady>, part: PartIx) -> Option<Softening> {
    let material = design.material(design.record(part).material.as_ref()?.as_str())?;
    let softens = known::of_figure(design, material.softens.as_ref()?);
    let builds = [false, true].into_iter().filter_map(|with| steady?.build(with));
    let found = builds.filter_map(|build| build.temperature(part, Extreme::Hot));
    let traced = found.max_by(|one, other| one.value.total_cmp(&other.value));
    let (temperature_k, u_k) = match traced {
        Some(traced) => (traced.value, traced.u()),
        None => {
            let name = Id::from("temperature");
            let stated = known::of_part(design, part, &name, Dimension::NONE)?;
            (stated.value.to_f64(), stated.u)
        }
    };
    let expanded_u_k = coverage_factor(design) * root_of_squares([softens.u, u_k].into_iter());
    let softens_k = softens.value.to_f64();
    let may_soften = temperature_k + expanded_u_k > softens_k;
    may_soften.then_some(Softening { part, temperature_k, softens_k, expanded_u_k })
}
