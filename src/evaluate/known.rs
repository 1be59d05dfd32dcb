//! What is known of one part by itself: its figure, how sure it is, how much it may still grow.

use serde::{Deserialize, Serialize};

use super::number::{Number, root_of_squares};
use super::printed;
use crate::design::{Design, PartIx};
use crate::quantity::{Basis, Dimension, Distribution, Figure};
use crate::record::{Allowance, Draw, Id};

/// What of an uncertainty comes from the density of a material, and so is the same error in all that is made
/// of it (JCGM 100:2008, 5.2: correlated input quantities).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct ByDensity {
    /// The place of the material among those of the design.
    pub material: usize,
    /// Standard uncertainty that comes from its density.
    pub u: f64,
    /// Standard uncertainty that comes from all else.
    pub rest: f64,
}

impl ByDensity {
    /// The same of `count` times as much, all of which errs alike.
    pub(super) fn times(self, count: f64) -> Self {
        Self { u: self.u * count, rest: self.rest * count, ..self }
    }

    /// The same of two lots of one part together.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { u: self.u + other.u, rest: self.rest + other.rest, ..self }
    }

    /// What it is of the first without the other.
    pub(super) fn minus(self, other: Self) -> Self {
        Self { u: self.u - other.u, rest: self.rest - other.rest, ..self }
    }
}

/// A figure of one part, or of one unit of length, mass … of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Known {
    pub(super) value: Number,
    /// Standard uncertainty.
    pub(super) u: f64,
    pub(super) basis: Basis,
    /// Whether it says how sure it is, or the manifest says it for its basis.
    pub(super) uncertain: bool,
    /// What of `u` it shares with others of the same material.
    pub(super) density: Option<ByDensity>,
}

/// What ± of a figure means, as a multiple of its standard uncertainty (JCGM 100:2008, 6.2).
#[must_use]
pub fn coverage_factor(design: &Design) -> f64 {
    design.manifest.rule.coverage_factor.as_ref().map_or(2.0, |factor| factor.value)
}

/// Whether the part holds others: it is then judged on what it holds.
pub(super) fn is_assembly(design: &Design, part: PartIx) -> bool {
    !design.links[part.index()].is_empty()
}

/// What the part itself says of the quantity, or what follows from what it draws and is;
/// `amounts` is what it comes in.
pub(super) fn of_part(
    design: &Design,
    part: PartIx,
    quantity: &Id,
    amounts: Dimension,
) -> Option<Known> {
    let stated = design.figures[part.index()].get(quantity);
    stated.map(|stated| of_figure(design, &stated.figure)).or_else(|| match quantity.as_str() {
        "power" => drawn_power(design, part),
        "mass" => derived_mass(design, part, amounts),
        _ => None,
    })
}

/// The further figure `name` of the part, which belongs to no quantity of the design.
pub(super) fn named_value(design: &Design, part: PartIx, name: &Id) -> Option<Known> {
    let values = &design.record(part).values;
    let (_, sourced) = values.iter().find(|(known, _)| known.value == *name)?;
    Some(of_figure(design, &sourced.figure))
}

/// What came out of a measurement.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Measured {
    pub(super) value: Number,
    /// Standard uncertainty, in base units.
    pub u: f64,
    /// Whether the result says how sure it is, or the manifest says it for what is measured.
    pub uncertain: bool,
}

impl Measured {
    /// The value, in base units.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.value.to_f64()
    }
}

/// The figure of a result, whose basis is that it was measured.
#[must_use]
pub fn measured(design: &Design, figure: &Figure) -> Measured {
    let figure = Figure { basis: Some(Basis::Measured), ..figure.clone() };
    let Known { value, u, uncertain, .. } = of_figure(design, &figure);
    Measured { value, u, uncertain }
}

/// A figure with its standard uncertainty.
pub(super) fn of_figure(design: &Design, figure: &Figure) -> Known {
    let basis = figure.basis.unwrap_or_default();
    let value = Number::of(&figure.measure);
    let u = match &figure.spread {
        Some(spread) if spread.distribution == Distribution::Uniform => {
            // A half-width of a rectangular distribution: u = a/√3 (JCGM 100:2008, 4.3.7).
            Some(spread.half_width / 3.0_f64.sqrt())
        }
        Some(spread) => Some(spread.half_width / coverage_factor(design)),
        // A share of a temperature point would be one of the way from absolute zero.
        None if figure.measure.kind.point => None,
        None => unstated(design, basis)
            .map(|share| share * figure.measure.base.abs() / coverage_factor(design)),
    };
    Known { value, u: u.unwrap_or(0.0), basis, uncertain: u.is_some(), density: None }
}

/// The density of the material at this place among all, where it is known.
pub(super) fn density(design: &Design, material: usize) -> Option<Known> {
    let stated = design.materials[material].density.as_ref();
    stated.map(|stated| of_figure(design, stated)).filter(|known| known.value.to_f64() > 0.0)
}

/// The same in kg/m³, with its standard uncertainty.
#[must_use]
pub fn density_of(design: &Design, material: usize) -> Option<(f64, f64)> {
    density(design, material).map(|known| (known.value.to_f64(), known.u))
}

/// A constant of the manifest. It is no estimate: without a ± it is exact, whatever the manifest
/// assumes of figures that have none.
pub(super) fn constant(design: &Design, figure: &Figure) -> Known {
    let known = of_figure(design, figure);
    if figure.spread.is_some() { known } else { Known { u: 0.0, uncertain: true, ..known } }
}

/// A value in base units that is calculated from the density of a material and follows it in proportion,
/// with the ± to assume of what is calculated.
pub(super) fn calculated(
    design: &Design,
    value: f64,
    (material, density): (usize, &Known),
) -> Known {
    let share = unstated(design, Basis::Calculated);
    let assumed = share.unwrap_or(0.0) * value.abs() / coverage_factor(design);
    let inherited = value * density.u / density.value.to_f64();
    let of_density = ByDensity { material, u: inherited, rest: assumed };
    Known {
        value: Number::Float(value),
        u: root_of_squares([assumed, inherited].into_iter()),
        basis: Basis::Calculated,
        uncertain: share.is_some() || density.uncertain,
        density: (inherited > 0.0).then_some(of_density),
    }
}

/// The ± to assume where a figure has none, as a share of it.
fn unstated(design: &Design, basis: Basis) -> Option<f64> {
    let rules = &design.manifest.rule.unstated;
    rules.iter().find(|(known, _)| *known == basis).map(|(_, share)| share.value)
}

/// Σ rail voltage × mean current, of a part that draws from rails.
fn drawn_power(design: &Design, part: PartIx) -> Option<Known> {
    let draws = &design.record(part).draws;
    let powers = draws.iter().filter_map(|(rail, draw)| power_of(design, rail.as_str(), draw));
    powers.reduce(|sum, next| Known {
        value: sum.value.plus(next.value),
        u: root_of_squares([sum.u, next.u].into_iter()),
        basis: sum.basis.min(next.basis),
        uncertain: sum.uncertain && next.uncertain,
        density: None,
    })
}

fn power_of(design: &Design, rail: &str, draw: &Draw) -> Option<Known> {
    let voltage = &design.rail(rail)?.voltage;
    let current = of_figure(design, &draw.mean);
    let value = Number::of(voltage).times(current.value);
    Some(Known { value, u: current.u * voltage.base.abs(), ..current })
}

/// The mass of a part that comes by mass is its amount; by volume it follows from the density of
/// its material, and by the piece, where it is printed, from its mesh.
fn derived_mass(design: &Design, part: PartIx, amounts: Dimension) -> Option<Known> {
    match amounts {
        Dimension::MASS => {
            let (u, basis, uncertain) = (0.0, Basis::Calculated, false);
            Some(Known { value: Number::ONE, u, basis, uncertain, density: None })
        }
        Dimension::VOLUME => {
            let named = design.record(part).material.as_ref()?;
            let material = design.place_of_material(named.as_str())?;
            let known = density(design, material)?;
            let of_density = ByDensity { material, u: known.u, rest: 0.0 };
            Some(Known { density: (known.u > 0.0).then_some(of_density), ..known })
        }
        Dimension::NONE => printed::mass(design, part)?.ok(),
        _ => None,
    }
}

/// The growth that the manifest allows a figure of this basis.
///
/// A measurement that is written beside a part with files belongs to no state of those files: it
/// has the allowance of a calculated figure.
pub(super) fn allowance<'a>(
    design: &'a Design,
    part: PartIx,
    quantity: &Id,
    basis: Basis,
) -> Option<&'a Allowance> {
    let is_unpinned = basis == Basis::Measured && design.files[part.index()].all().next().is_some();
    allowance_of(design, quantity, if is_unpinned { Basis::Calculated } else { basis })
}

/// The growth that the manifest allows a measurement of the very thing that it is about.
pub(super) fn measured_allowance<'a>(design: &'a Design, quantity: &Id) -> Option<&'a Allowance> {
    allowance_of(design, quantity, Basis::Measured)
}

fn allowance_of<'a>(design: &'a Design, quantity: &Id, basis: Basis) -> Option<&'a Allowance> {
    let (_, allowances) =
        design.manifest.allowance.iter().find(|(name, _)| name.value == *quantity)?;
    allowances.0.iter().find(|(known, _)| *known == basis).map(|(_, allowance)| &allowance.value)
}

/// `total` with its growth allowance; a fixed amount is added `count` times.
pub(super) fn grown(allowance: Option<&Allowance>, total: Number, count: Number) -> Number {
    match allowance {
        None => total,
        Some(Allowance::Share(share)) => total.plus(total.abs().times(Number::Exact(*share))),
        Some(Allowance::Amount(amount)) => total.plus(Number::of(amount).times(count)),
    }
}
