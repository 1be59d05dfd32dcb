//! The parts of a product, all together or assembly by assembly.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;
use serde::Serialize;

use super::super::shown::Shown;
use crate::design::{Design, Link, PartIx};
use crate::evaluate::purchase::{Line, Purchase, Ware};
use crate::evaluate::{Budget, Multiplicities, Number, multiplicities};
use crate::quantity::{Dimension, Unit};
use crate::record::{Id, Origin};

/// How the parts are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Structure {
    /// Every part once, with all that the product holds of it.
    Flat,
    /// In the assemblies that contain them.
    Level,
}

/// A line of the bill of materials.
#[derive(Clone, Debug, Serialize)]
pub struct BomRow {
    /// How deep it lies: 1 for what the product itself contains; 0 where parts are listed all together.
    pub level: usize,
    /// The part or the material.
    pub part: Id,
    /// What people call it.
    pub title: Option<String>,
    /// Its version.
    pub version: Option<String>,
    /// How it comes into being; `material` for a material.
    pub origin: &'static str,
    /// The standard's designation.
    pub designation: Option<String>,
    /// Who makes it: of a bought part, or of the equal part that is offered.
    pub maker: Option<String>,
    /// The maker's part number.
    pub mpn: Option<String>,
    /// What it is made of.
    pub material: Option<Id>,
    /// How much of it one build takes; within one of the assembly above, where parts are listed there.
    pub quantity: Shown,
    /// How much of it all builds take, waste and spares not counted in; within all of the assembly
    /// above, where parts are listed there.
    pub all_builds: Shown,
    /// What one costs, or one unit of length, mass …, of an order for all builds, to a millionth; tax and
    /// duty included.
    pub each: Option<Shown>,
    /// Who it is bought from.
    pub supplier: Option<Id>,
    /// The supplier's order code.
    pub code: Option<String>,
    /// Units of sale in the order; exact.
    pub units: Option<String>,
    /// What they cost together, tax and duty included.
    pub order: Option<Shown>,
    /// An assembly whose parts are listed at its first place.
    pub listed_above: bool,
    /// Left to the builder.
    pub optional: bool,
}

/// What the lines are made from.
pub(super) struct Listed<'a> {
    design: &'a Design,
    builds: Decimal,
    base: Multiplicities,
    with_options: Multiplicities,
    units: Vec<Unit>,
    money: Unit,
    lines: BTreeMap<&'a Ware, (&'a Id, &'a Line)>,
    /// By part: how much one build holds, and what that costs.
    costs: BTreeMap<PartIx, (Decimal, Decimal)>,
}

impl<'a> Listed<'a> {
    pub(super) fn of(
        design: &'a Design,
        purchase: &'a Purchase,
        cost: Option<&Budget>,
        builds: u64,
    ) -> Self {
        let parcels = purchase.parcels.iter();
        let lines = parcels.flat_map(|parcel| {
            parcel.lines.iter().map(move |line| (&line.ware, (&parcel.supplier, line)))
        });
        let terms = cost.into_iter().flat_map(Budget::contributions);
        let costs = terms.filter_map(|term| {
            let (basic, _) = term.total.money?;
            Some((term.part, (term.multiplicity, basic)))
        });
        Self {
            design,
            builds: builds.into(),
            base: multiplicities(design, design.top, false),
            with_options: multiplicities(design, design.top, true),
            units: design.units_of_amounts(),
            money: Unit::parse(design.currency.code()).unwrap_or_else(|_| Unit::none()),
            lines: lines.collect(),
            costs: costs.collect(),
        }
    }

    /// Every part that holds no others, once, in the order of ids.
    pub(super) fn flat(&self) -> Vec<BomRow> {
        let leaves = self.design.part_indices().filter(|part| self.is_leaf(*part));
        let held = leaves.filter(|part| self.base.holds(*part));
        held.map(|part| self.row(part, 0, self.base.of(part))).collect()
    }

    /// Each assembly with what it contains behind it. What a shared one contains stands at its first
    /// place alone, so that the list stays as long as the records are.
    pub(super) fn by_level(&self) -> Vec<BomRow> {
        let mut rows = Vec::new();
        let mut seen = BTreeSet::new();
        let mut open: Vec<(usize, PartIx, &Link)> = Vec::new();
        let within = |part: PartIx, level: usize| {
            let links = self.design.links[part.index()].iter().filter(|link| !link.optional);
            links.rev().map(move |link| (level, part, link))
        };
        open.extend(within(self.design.top, 1));
        while let Some((level, parent, link)) = open.pop() {
            let is_first = seen.insert(link.child);
            rows.push(self.within(parent, link, level, is_first));
            if is_first {
                open.extend(within(link.child, level + 1));
            }
        }
        rows
    }

    /// A part within one assembly. What is ordered of it is for all places that it has.
    fn within(&self, parent: PartIx, link: &Link, level: usize, is_first: bool) -> BomRow {
        let parents = self.base.of(parent).and_then(|count| count.checked_mul(self.builds));
        let all = parents.and_then(|parents| parents.checked_mul(link.amount));
        BomRow {
            all_builds: self.amount(link.child, all),
            units: None,
            order: None,
            listed_above: !is_first && !self.is_leaf(link.child),
            ..self.row(link.child, level, Some(link.amount))
        }
    }

    /// What optional parts add, in the order of ids.
    pub(super) fn optional(&self) -> Vec<BomRow> {
        let leaves = self.design.part_indices().filter(|part| self.is_leaf(*part));
        let rows = leaves.filter_map(|part| {
            let more = self.with_options.of(part)?.checked_sub(self.base.of(part)?)?;
            let row = BomRow {
                all_builds: self.amount(part, more.checked_mul(self.builds)),
                // They are in no order.
                supplier: None,
                code: None,
                units: None,
                order: None,
                optional: true,
                ..self.row(part, 0, Some(more))
            };
            (!more.is_zero()).then_some(row)
        });
        rows.collect()
    }

    /// The materials that are bought for what is made, in the order of ids.
    pub(super) fn materials(&self) -> Vec<BomRow> {
        let lines = self.lines.iter().filter_map(|(ware, line)| match ware {
            Ware::Material(id) => Some(self.material(id, line)),
            Ware::Part(_) => None,
        });
        lines.collect()
    }

    fn is_leaf(&self, part: PartIx) -> bool {
        self.design.links[part.index()].is_empty()
    }

    fn row(&self, part: PartIx, level: usize, quantity: Option<Decimal>) -> BomRow {
        let record = self.design.record(part);
        let ware = Ware::Part(part);
        let bought = self.lines.get(&ware).copied();
        let offer = bought.and_then(|(_, line)| ware.offers(self.design).get(line.offer));
        // An equal part of another make is what is offered.
        let other_make = offer.filter(|offer| offer.maker.is_some() || offer.mpn.is_some());
        let (maker, mpn) =
            other_make.map_or((&record.maker, &record.mpn), |offer| (&offer.maker, &offer.mpn));
        let text = |text: &Option<crate::diagnostic::At<String>>| {
            text.as_ref().map(|text| text.value.clone())
        };
        let all = self.base.of(part).and_then(|count| count.checked_mul(self.builds));
        BomRow {
            level,
            part: record.id.value.clone(),
            title: text(&record.title),
            version: record.version.as_ref().map(|version| version.value.to_string()),
            origin: record.origin.value.word(),
            designation: text(&record.designation),
            maker: text(maker),
            mpn: text(mpn),
            material: record.material.as_ref().map(|material| material.value.clone()),
            quantity: self.amount(part, quantity),
            all_builds: self.amount(part, all),
            each: self.each(part),
            supplier: bought.map(|(supplier, _)| supplier.clone()),
            code: offer.and_then(|offer| text(&offer.code)),
            units: bought.map(|(_, line)| line.units.normalize().to_string()),
            order: bought.map(|(_, line)| Shown::money(line.cost, &self.money)),
            listed_above: false,
            optional: false,
        }
    }

    fn material(&self, id: &Id, (supplier, line): &(&Id, &Line)) -> BomRow {
        let material = self.design.material(id.as_str());
        let title = material.and_then(|material| material.title.as_ref());
        let offer = Ware::Material(id.clone()).offers(self.design).get(line.offer);
        let unit = offer.map_or_else(Unit::none, |offer| offer.pack.unit.clone());
        let shown = |amount: Option<Decimal>| {
            let amount = amount.map_or(f64::INFINITY, |amount| Number::Exact(amount).to_f64());
            Shown::measure(amount, &unit)
        };
        BomRow {
            level: 0,
            part: id.clone(),
            title: title.map(|title| title.value.clone()),
            version: None,
            origin: "material",
            designation: None,
            maker: None,
            mpn: None,
            material: None,
            quantity: shown(line.needed.checked_div(self.builds)),
            all_builds: shown(Some(line.needed)),
            each: None,
            supplier: Some((*supplier).clone()),
            code: offer.and_then(|offer| offer.code.as_ref()).map(|code| code.value.clone()),
            units: Some(line.units.normalize().to_string()),
            order: Some(Shown::money(line.cost, &self.money)),
            listed_above: false,
            optional: false,
        }
    }

    /// Pieces, or an extent in the unit that the list has it in.
    fn amount(&self, part: PartIx, amount: Option<Decimal>) -> Shown {
        let unit = &self.units[part.index()];
        let exact = amount.map(|amount| amount.normalize().to_string());
        let amount = amount.map_or(f64::INFINITY, |amount| Number::Exact(amount).to_f64());
        let shown = Shown::measure(amount, unit);
        match exact.filter(|_| self.design.amounts[part.index()] == Dimension::NONE) {
            Some(exact) => Shown { text: exact, ..shown },
            None => shown,
        }
    }

    /// The cost of one, or of one unit of length, mass … of it.
    fn each(&self, part: PartIx) -> Option<Shown> {
        let (multiplicity, cost) = self.costs.get(&part)?;
        if self.design.record(part).origin.value == Origin::Firmware {
            return None;
        }
        let unit = &self.units[part.index()];
        if self.design.amounts[part.index()] == Dimension::NONE {
            return Some(Shown::money(cost.checked_div(*multiplicity)?.round_dp(6), &self.money));
        }
        let of_one_unit = unit.from_base(1.0);
        let count = Number::Exact(*multiplicity).to_f64() * of_one_unit;
        let each = Number::written(Number::Exact(*cost).to_f64() / count).to_decimal()?;
        let shown = Shown::money(each.round_dp(6), &self.money);
        Some(Shown { text: format!("{}/{}", shown.text, unit.symbol()), ..shown })
    }
}
