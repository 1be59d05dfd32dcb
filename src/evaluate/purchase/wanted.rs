//! What an order has to bring: parts that are offered, and the materials of those that are made.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::super::Missing;
use super::super::made;
use super::super::order::{Cost, Need, Order};
use super::Ware;
use crate::design::{Design, PartIx};
use crate::quantity::Dimension;
use crate::record::Id;

/// A part or a material that is needed.
pub(super) struct Wanted {
    pub(super) ware: Ware,
    /// How much of it, by what a unit of sale can be measured in.
    needed: Vec<(Dimension, Decimal)>,
}

/// All that is wanted, and what cannot be had.
#[derive(Default)]
pub(super) struct Wants {
    pub(super) wanted: Vec<Wanted>,
    pub(super) stated: Vec<(PartIx, Cost)>,
    pub(super) missing: Vec<(PartIx, Missing)>,
    /// By material: the parts that it is for, with what each takes of it in kg.
    pub(super) made_of: BTreeMap<Id, Vec<(PartIx, Decimal)>>,
}

impl Wanted {
    /// How much is needed in the dimension of a pack, where it can be said.
    pub(super) fn needed_in(&self, pack: Dimension) -> Option<Decimal> {
        self.needed.iter().find(|(known, _)| *known == pack).map(|(_, needed)| *needed)
    }
}

impl Wants {
    /// Notes that a ware cannot be had: each part that it is for lacks it.
    pub(super) fn lack(&mut self, ware: &Ware, why: Missing) {
        match ware {
            Ware::Part(part) => self.missing.push((*part, why)),
            Ware::Material(id) => {
                let parts = self.made_of.remove(id).unwrap_or_default();
                // Offers of it that are sold in no fitting unit are none.
                let why = if why == Missing::PackUnit { Missing::MaterialOffer } else { why };
                self.missing.extend(parts.into_iter().map(|(part, _)| (part, why.clone())));
            }
        }
    }
}

/// What the order has to bring for `needs`, parts in their order before materials.
pub(super) fn wants(
    order: &Order<'_>,
    needs: impl Iterator<Item = (PartIx, Option<Need>)>,
) -> Wants {
    let design = order.context.design;
    let mut wants = Wants::default();
    for (part, need) in needs {
        let Some(need) = need else {
            wants.missing.push((part, Missing::Overflow));
            continue;
        };
        if !design.record(part).offers.is_empty() {
            wants.wanted.push(as_bought(order, &need));
            continue;
        }
        match made::material_needed(order, &need) {
            Ok((material, mass_kg)) => {
                wants.made_of.entry(material.id.value.clone()).or_default().push((part, mass_kg));
            }
            Err(missing) => match order.stated_cost(&need) {
                Some(Ok(cost)) => wants.stated.push((part, cost)),
                Some(Err(missing)) => wants.missing.push((part, missing)),
                None => wants.missing.push((part, missing)),
            },
        }
    }
    let materials = wants.made_of.iter();
    let materials: Vec<(Id, Option<Wanted>)> =
        materials.map(|(id, parts)| (id.clone(), of_material(design, id, parts))).collect();
    for (id, wanted) in materials {
        match wanted {
            Some(wanted) => wants.wanted.push(wanted),
            None => wants.lack(&Ware::Material(id), Missing::Overflow),
        }
    }
    wants
}

fn as_bought(order: &Order<'_>, need: &Need) -> Wanted {
    let amounts = order.context.amounts_of(need.part);
    // Nobody sells a part of a piece.
    let is_by_piece = amounts == Dimension::NONE;
    let needed = if is_by_piece { need.consumed.ceil() } else { need.consumed };
    Wanted { ware: Ware::Part(need.part), needed: vec![(amounts, needed)] }
}

fn of_material(design: &Design, id: &Id, parts: &[(PartIx, Decimal)]) -> Option<Wanted> {
    let masses = parts.iter().map(|(_, mass_kg)| *mass_kg);
    let mass_kg = masses.into_iter().try_fold(Decimal::ZERO, Decimal::checked_add)?;
    let volume = made::volume_of(design.material(id.as_str())?, mass_kg);
    let volume = volume.map(|volume| (Dimension::VOLUME, volume));
    let needed = [(Dimension::MASS, mass_kg)].into_iter().chain(volume).collect();
    Some(Wanted { ware: Ware::Material(id.clone()), needed })
}
