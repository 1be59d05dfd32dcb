//! The parts of a product, all together or assembly by assembly.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;
use serde::Serialize;

use super::super::shown::Shown;
use crate::design::{Design, Link, PartIx};
use crate::diagnostic::At;
use crate::evaluate::purchase::{Line, Purchase, Ware};
use crate::evaluate::{Budget, Multiplicities, Number, multiplicities};
use crate::quantity::{Dimension, Unit};
use crate::record::{Id, Offer, Origin};

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
    /// Who it is bought from; `a + b` where its offers are mixed, as in what follows.
    pub supplier: Option<String>,
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
    lines: BTreeMap<&'a Ware, Vec<(&'a Id, &'a Line)>>,
    /// By part: how much one build holds, and what that costs.
    costs: BTreeMap<PartIx, (Decimal, Decimal)>,
}

/// What is ordered of one ware: `a + b` where its offers are mixed.
struct Bought {
    supplier: Option<String>,
    code: Option<String>,
    maker: Option<String>,
    mpn: Option<String>,
    units: Option<String>,
    cost: Option<Shown>,
}

impl<'a> Listed<'a> {
    pub(super) fn of(
        design: &'a Design,
        purchase: &'a Purchase,
        cost: Option<&Budget>,
        builds: u64,
    ) -> Self {
        let mut lines: BTreeMap<&Ware, Vec<(&Id, &Line)>> = BTreeMap::new();
        for parcel in &purchase.parcels {
            for line in &parcel.lines {
                lines.entry(&line.ware).or_default().push((&parcel.supplier, line));
            }
        }
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
            lines,
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
        let wares = self.lines.keys().filter_map(|ware| match ware {
            Ware::Material(id) => Some(self.material(id, ware)),
            Ware::Part(_) => None,
        });
        wares.collect()
    }

    fn is_leaf(&self, part: PartIx) -> bool {
        self.design.links[part.index()].is_empty()
    }

    fn row(&self, part: PartIx, level: usize, quantity: Option<Decimal>) -> BomRow {
        let record = self.design.record(part);
        let bought = self.bought(&Ware::Part(part));
        let is_other_make = bought.maker.is_some() || bought.mpn.is_some();
        let text = |text: &Option<At<String>>| text.as_ref().map(|text| text.value.clone());
        let all = self.base.of(part).and_then(|count| count.checked_mul(self.builds));
        BomRow {
            level,
            part: record.id.value.clone(),
            title: text(&record.title),
            version: record.version.as_ref().map(|version| version.value.to_string()),
            origin: record.origin.value.word(),
            designation: text(&record.designation),
            // An equal part of another make is what is offered.
            maker: if is_other_make { bought.maker } else { text(&record.maker) },
            mpn: if is_other_make { bought.mpn } else { text(&record.mpn) },
            material: record.material.as_ref().map(|material| material.value.clone()),
            quantity: self.amount(part, quantity),
            all_builds: self.amount(part, all),
            each: self.each(part),
            supplier: bought.supplier,
            code: bought.code,
            units: bought.units,
            order: bought.cost,
            listed_above: false,
            optional: false,
        }
    }

    fn material(&self, id: &Id, ware: &Ware) -> BomRow {
        let material = self.design.material(id.as_str());
        let title = material.and_then(|material| material.title.as_ref());
        let lines = || self.lines.get(ware).into_iter().flatten().map(|(_, line)| line);
        let needed =
            lines().try_fold(Decimal::ZERO, |needed, line| needed.checked_add(line.needed));
        let offer = lines().next().and_then(|line| ware.offers(self.design).get(line.offer));
        let unit = offer.map_or_else(Unit::none, |offer| offer.pack.unit.clone());
        let bought = self.bought(ware);
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
            quantity: shown(needed.and_then(|needed| needed.checked_div(self.builds))),
            all_builds: shown(needed),
            each: None,
            supplier: bought.supplier,
            code: bought.code,
            units: bought.units,
            order: bought.cost,
            listed_above: false,
            optional: false,
        }
    }

    /// What is ordered of a ware, all its lines together.
    fn bought(&self, ware: &Ware) -> Bought {
        let lines = self.lines.get(ware).map_or(&[][..], Vec::as_slice);
        let offers = lines.iter().filter_map(|(_, line)| ware.offers(self.design).get(line.offer));
        let stated = |text: fn(&Offer) -> &Option<At<String>>| {
            joined(offers.clone().filter_map(|offer| Some(text(offer).as_ref()?.value.clone())))
        };
        let cost = lines.iter().map(|(_, line)| line.cost).reduce(Decimal::saturating_add);
        Bought {
            supplier: joined(lines.iter().map(|(supplier, _)| supplier.to_string())),
            code: stated(|offer| &offer.code),
            maker: stated(|offer| &offer.maker),
            mpn: stated(|offer| &offer.mpn),
            units: joined(lines.iter().map(|(_, line)| line.units.normalize().to_string())),
            cost: cost.map(|cost| Shown::money(cost, &self.money)),
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
            return Some(Shown::price(cost.checked_div(*multiplicity)?.round_dp(6), &self.money));
        }
        let of_one_unit = unit.from_base(1.0);
        let count = Number::Exact(*multiplicity).to_f64() * of_one_unit;
        let each = Number::written(Number::Exact(*cost).to_f64() / count).to_decimal()?;
        let shown = Shown::price(each.round_dp(6), &self.money);
        Some(Shown { text: format!("{}/{}", shown.text, unit.symbol()), ..shown })
    }
}

/// `a + b`, where there are any.
fn joined(texts: impl Iterator<Item = String>) -> Option<String> {
    let texts: Vec<String> = texts.collect();
    (!texts.is_empty()).then(|| texts.join(" + "))
}
