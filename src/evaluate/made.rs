//! What a made part costs: its material, and the time of the machine that prints it.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::Missing;
use super::known::{ByDensity, Known};
use super::number::{Number, root_of_squares};
use super::offers::{Reached, cheapest};
use super::order::{Cost, Need, Order};
use super::since::Since;
use crate::design::{Design, PartIx, pieces};
use crate::late::Late;
use crate::quantity::Dimension;
use crate::record::{Id, Material, Origin};

/// What one order pays for each material, all of its parts together.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Materials {
    /// What neighbours are made of, in pieces that two states share where no part of one changed.
    pieces: Vec<Arc<Needed>>,
    reached: BTreeMap<Id, Result<Reached, Missing>>,
}

/// Masses by material, in kg; nothing beyond what a decimal holds.
type Masses = BTreeMap<Id, Option<Decimal>>;

/// What neighbours need, in the order of parts, and what that comes to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
struct Needed {
    each: Late<Vec<(PartIx, Id, Decimal)>>,
    all: Masses,
}

impl Materials {
    /// The materials of those parts that are made and that nobody offers ready-made.
    pub(super) fn of(order: &Order<'_>, before: Option<(&Since<'_>, &Self)>) -> Self {
        let design = order.context.design;
        let piece = |(number, places): (usize, Range<usize>)| {
            let was = before.and_then(|(since, was)| {
                Some((since.changed_at(&places), was.pieces.get(number)?))
            });
            match was {
                Some(([], was)) => Arc::clone(was),
                Some((changed, was)) => Arc::new(was.with(order, changed)),
                None => Arc::new(Needed::of(needed(order, order.needs_at(places)).collect())),
            }
        };
        let pieces: Vec<Arc<Needed>> = pieces(design.parts.len()).enumerate().map(piece).collect();
        let mut all = Masses::new();
        for (id, mass_kg) in pieces.iter().flat_map(|piece| &piece.all) {
            add(&mut all, id, *mass_kg);
        }
        let reached = |(id, mass_kg): (Id, Option<Decimal>)| {
            let material = design.material(id.as_str()).ok_or(Missing::MaterialOffer);
            let reached = mass_kg
                .ok_or(Missing::Overflow)
                .and_then(|mass_kg| reached(design, material?, mass_kg));
            (id, reached)
        };
        Self { reached: all.into_iter().map(reached).collect(), pieces }
    }

    /// Whether both orders reach the same prices.
    pub(super) fn cost_the_same(&self, other: &Self) -> bool {
        self.reached == other.reached
    }
}

impl Needed {
    fn of(each: Vec<(PartIx, Id, Decimal)>) -> Self {
        let mut all = Masses::new();
        each.iter().for_each(|(_, id, mass_kg)| add(&mut all, id, Some(*mass_kg)));
        Self { each: each.into(), all }
    }

    /// The same where these of the parts are others.
    fn with(&self, order: &Order<'_>, changed: &[PartIx]) -> Self {
        let kept = self.each.iter().filter(|(part, ..)| !changed.contains(part)).cloned();
        let mut each: Vec<_> = kept.chain(needed(order, order.needs_of(changed))).collect();
        each.sort_by_key(|(part, ..)| *part);
        Self::of(each)
    }
}

/// What parts need of materials: those that are made, and that nobody offers ready-made.
fn needed(
    order: &Order<'_>,
    needs: impl Iterator<Item = (PartIx, Option<Need>)>,
) -> impl Iterator<Item = (PartIx, Id, Decimal)> {
    needs.filter_map(|(part, need)| {
        let is_offered = !order.context.design.record(part).offers.is_empty();
        let (material, mass_kg) = material_needed(order, &need.filter(|_| !is_offered)?).ok()?;
        Some((part, material.id.value.clone(), mass_kg))
    })
}

fn add(masses_kg: &mut Masses, material: &Id, mass_kg: Option<Decimal>) {
    let Some(sum) = masses_kg.get_mut(material) else {
        // What nothing is added to yet is itself.
        masses_kg.insert(material.clone(), mass_kg);
        return;
    };
    *sum = sum.zip(mass_kg).and_then(|(sum, mass_kg)| sum.checked_add(mass_kg));
}

/// The material of a made part, and how much of it the order consumes, in kg.
///
/// # Errors
/// Why that is not known, or why it is not made of what is bought.
pub(super) fn material_needed<'d>(
    order: &Order<'d>,
    need: &Need,
) -> Result<(&'d Material, Decimal), Missing> {
    let material = material_of(order.context.design, need.part)?;
    Ok((material, mass(order, need)?.0))
}

/// The volume of a mass in kg, in m³, where the density is known.
pub(super) fn volume_of(material: &Material, mass_kg: Decimal) -> Option<Decimal> {
    let density = Number::of(&material.density.as_ref()?.measure).to_decimal()?;
    mass_kg.checked_div(density)
}

/// The cost of a part by what it is made of.
pub(super) fn made(order: &Order<'_>, need: &Need, materials: &Materials) -> Result<Cost, Missing> {
    let material = material_of(order.context.design, need.part)?;
    let (mass_kg, mass) = mass(order, need)?;
    let reached = match materials.reached.get(&material.id.value) {
        Some(Ok(reached)) => reached,
        Some(Err(missing)) => return Err(missing.clone()),
        None => return Err(Missing::MaterialOffer),
    };
    let consumed = in_dimension(material, mass_kg, reached.dimension);
    let material_cost =
        consumed.and_then(|consumed| reached.cost_of(consumed)).ok_or(Missing::Overflow)?;
    let machine = machine_time(order, need);
    let machine_cost = match machine {
        Machine::Costs(_, amount) => amount.ok_or(Missing::Overflow)?,
        Machine::None | Machine::Unknown => Decimal::ZERO,
    };
    let machine_u = match machine {
        Machine::Costs(time, _) => relative_u(&time) * Number::Exact(machine_cost).to_f64(),
        Machine::None | Machine::Unknown => 0.0,
    };
    let cost_of_mass = Number::Exact(material_cost).to_f64();
    let material_u = relative_u(&mass) * cost_of_mass;
    let each_kg = cost_of_mass / mass.value.to_f64();
    let density = mass.density.map(|density| density.times(each_kg)).map(|density| ByDensity {
        rest: root_of_squares([density.rest, machine_u].into_iter()),
        ..density
    });
    Ok(Cost {
        amount: material_cost.checked_add(machine_cost).ok_or(Missing::Overflow)?,
        u: root_of_squares([material_u, machine_u].into_iter()),
        basis: mass.basis,
        uncertain: mass.uncertain,
        density,
        supplier: Some(reached.supplier.clone()),
        lacks_machine_time: matches!(machine, Machine::Unknown),
    })
}

/// What a made part is made of. A part that is not made has to be bought.
fn material_of(design: &Design, part: PartIx) -> Result<&Material, Missing> {
    let record = design.record(part);
    if !record.origin.is_made() {
        return Err(Missing::Offer);
    }
    let named = record.material.as_ref().and_then(|material| design.material(material.as_str()));
    let offered = named.filter(|material| !material.offers.is_empty());
    offered.map(|material| &**material).ok_or(Missing::MaterialOffer)
}

/// The mass that the order consumes, and the figure that it follows from.
fn mass(order: &Order<'_>, need: &Need) -> Result<(Decimal, Known), Missing> {
    let context = order.context;
    let mass = context.figure_of(need.part, &Id::from("mass"));
    let mass = mass.ok_or(Missing::Mass)?;
    let mass_kg = mass.value.to_decimal().and_then(|each_kg| need.consumed.checked_mul(each_kg));
    Ok((mass_kg.ok_or(Missing::Overflow)?, mass))
}

/// Packs by mass, or by volume where the density is known.
fn reached(design: &Design, material: &Material, mass_kg: Decimal) -> Result<Reached, Missing> {
    let consumed_in = |pack| in_dimension(material, mass_kg, pack);
    cheapest(design, &material.offers, consumed_in).map_err(|missing| match missing {
        Missing::PackUnit => Missing::MaterialOffer,
        other => other,
    })
}

fn in_dimension(material: &Material, mass_kg: Decimal, dimension: Dimension) -> Option<Decimal> {
    match dimension {
        Dimension::MASS => Some(mass_kg),
        Dimension::VOLUME => volume_of(material, mass_kg),
        _ => None,
    }
}

/// What the time of a machine costs, for the whole order.
enum Machine {
    /// Nothing is to be paid: nothing is printed, or an hour has no price.
    None,
    /// How long it takes is not known.
    Unknown,
    Costs(Known, Option<Decimal>),
}

fn machine_time(order: &Order<'_>, need: &Need) -> Machine {
    const SECONDS_AN_HOUR: Decimal = Decimal::from_parts(3600, 0, 0, false, 0);
    let design = order.context.design;
    let Some(hour) = &design.manifest.rule.machine_hour else { return Machine::None };
    if design.record(need.part).origin.value != Origin::Printed {
        return Machine::None;
    }
    let time = order.context.figure_of(need.part, &Id::from("print-time"));
    let Some(time) = time else { return Machine::Unknown };
    let amount = || {
        let seconds = need.consumed.checked_mul(time.value.to_decimal()?)?;
        let an_hour = hour.amount.checked_mul(design.rate_of(hour.currency)?)?;
        seconds.checked_mul(an_hour)?.checked_div(SECONDS_AN_HOUR)
    };
    Machine::Costs(time, amount())
}

/// u/|value|; 0 for nothing.
fn relative_u(known: &Known) -> f64 {
    let size = known.value.to_f64().abs();
    if size > 0.0 { known.u / size } else { 0.0 }
}
