//! What a whole order costs: whole units of sale, fewest units, price breaks, parcels, tax, duty and
//! foreign currency.
//!
//! Every part or material is bought by its offers, by one of them or by several, in as many units of
//! sale as it takes, or in more where that is cheaper: at a price break, or because the goods then reach
//! the limit from which on shipping is free. Among all these choices the cheapest order over all
//! suppliers is looked for, shipping included. Packs by mass and packs by volume are not mixed. What is
//! printed at home costs its material; the hours of one's own machine are no order.

mod bid;
mod choose;
mod parcel;
mod reach;
#[cfg(test)]
mod tests;
mod wanted;
mod ways;

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::number::Number;
use super::order::{Cost, Need, Order};
use super::stand_ins::StandIns;
use super::term::{self, Combine, Term, Terms};
use super::whole::{Build, Context, Whole};
use super::{Budget, Missing, Subject};
use crate::design::{Design, PartIx};
use crate::quantity::{Basis, Dimension, Money};
use crate::record::{Id, Offer};

/// An order for a number of builds: what is bought where.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Purchase {
    /// A parcel a supplier, in the order of suppliers.
    pub parcels: Vec<Parcel>,
    /// Parts that nobody offers, at the cost that they state; in the order of parts.
    pub stated: Vec<(PartIx, Decimal)>,
    /// Parts that cannot be bought or made of what is bought: the total is then a lower bound.
    pub missing: Vec<(PartIx, Missing)>,
    /// What all of it costs, in the design's currency.
    pub total: Decimal,
    /// No choice costs less than this; equal to the total where the cheapest choice is found.
    pub at_least: Decimal,
}

/// What is ordered from one supplier.
#[derive(Clone, Debug, PartialEq)]
pub struct Parcel {
    /// The supplier.
    pub supplier: Id,
    /// Parts in the order of ids, then materials.
    pub lines: Vec<Line>,
    /// The goods at the prices asked, in the design's currency; with the tax where prices hold it.
    pub goods: Decimal,
    /// Shipping, with its tax.
    pub shipping: Decimal,
    /// All of it: goods and shipping, duty and tax.
    pub total: Decimal,
    /// Until the last line arrives, in seconds; of those that say so.
    pub lead_time_s: Option<f64>,
    /// More goods for this much would come without shipping, where shipping is paid and the supplier
    /// has such a limit.
    pub short_of_free: Option<Decimal>,
}

/// A line of an order.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What is bought.
    pub ware: Ware,
    /// The place of the offer among those of the part or material.
    pub offer: usize,
    /// Units of sale.
    pub units: Decimal,
    /// What one of them costs, as quoted.
    pub price: Money,
    /// What the builds take, waste and spares included: pieces, or an extent in base units.
    pub needed: Decimal,
    /// What is left over of it.
    pub left_over: Decimal,
    /// Whether fewer units would hold what is needed, and all together would cost more.
    pub more_is_cheaper: bool,
    /// What `needed` and `left_over` are measured in; [`Dimension::NONE`] for pieces.
    pub dimension: Dimension,
    /// The line at the price asked, in the design's currency.
    pub goods: Decimal,
    /// The whole line, duty and tax included, in the design's currency.
    pub cost: Decimal,
}

/// What can be bought.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ware {
    /// A part.
    Part(PartIx),
    /// A material, for all parts that are made of it.
    Material(Id),
}

impl Ware {
    /// The offers that there are.
    #[must_use]
    pub fn offers<'d>(&self, design: &'d Design) -> &'d [Offer] {
        match self {
            Self::Part(part) => &design.record(*part).offers,
            Self::Material(id) => {
                design.material(id.as_str()).map_or(&[][..], |material| &material.offers)
            }
        }
    }
}

/// The order for `builds` of the product; with all optional parts, or without.
#[must_use]
pub fn purchase(design: &Design, builds: u64, with_options: bool) -> Purchase {
    let stand_ins = StandIns::default();
    let context = Context::of(design, &stand_ins);
    let whole = Whole::of(design, design.top);
    bought(&context, whole.build(with_options), builds).purchase
}

/// So much of a part, besides any product.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Required {
    /// The part.
    pub part: PartIx,
    /// Pieces, or the extent in base units; waste not counted in.
    pub amount: Decimal,
    /// Whether its spares are ordered too.
    pub with_spares: bool,
}

/// The order for what is `required`. A part that nobody offers costs what it states, or is missing.
#[must_use]
pub fn purchase_of(design: &Design, required: &[Required]) -> Purchase {
    let stand_ins = StandIns::default();
    let context = Context::of(design, &stand_ins);
    let whole = Whole::of(design, design.top);
    let order = Order { context: &context, build: whole.build(false), builds: Decimal::ONE };
    let need = |wanted: &Required| {
        let Required { part, amount, with_spares } = *wanted;
        (part, order.need_of(part, amount, amount, with_spares))
    };
    ordered(&order, required.iter().map(need)).purchase
}

/// What the order for the subject's builds costs, part by part; the parcels count for the part
/// whose order it is.
pub(super) fn budget(context: &Context<'_>, whole: &Whole, subject: &Subject) -> Budget {
    let terms = |build| bought(context, build, subject.builds).terms(context, build);
    let with_options = whole.with_options.is_some().then(|| terms(whole.build(true)));
    term::budget(terms(whole.build(false)), with_options)
}

/// An order with what its cost is made of.
struct Bought {
    purchase: Purchase,
    stated: Vec<(PartIx, Cost)>,
    /// By material: the parts that it is for, with what each takes of it in kg.
    made_of: BTreeMap<Id, Vec<(PartIx, Decimal)>>,
}

fn bought(context: &Context<'_>, build: Build<'_>, builds: u64) -> Bought {
    let order = Order { context, build, builds: builds.into() };
    ordered(&order, order.needs())
}

/// What is bought to have `needs`.
fn ordered(order: &Order<'_>, needs: impl Iterator<Item = (PartIx, Option<Need>)>) -> Bought {
    let mut wants = wanted::wants(order, needs);
    let market = bid::Market::of(order.context.design, &mut wants);
    let (lines, at_least) = match choose::cheapest(&market.problem) {
        Some(choice) => (market.lines(&wants, &choice.picks), choice.at_least),
        None => (Vec::new(), Decimal::ZERO),
    };
    let parcels = parcel::parcels(&market, lines);
    let stated: Vec<(PartIx, Decimal)> =
        wants.stated.iter().map(|(part, cost)| (*part, cost.amount)).collect();
    let stated_sum = sum(stated.iter().map(|(_, amount)| *amount));
    let total = sum(parcels.iter().map(|parcel| parcel.total)).saturating_add(stated_sum);
    let mut missing = wants.missing;
    missing.sort();
    let at_least = at_least.saturating_add(stated_sum);
    Bought {
        purchase: Purchase { parcels, stated, missing, total, at_least },
        stated: wants.stated,
        made_of: wants.made_of,
    }
}

impl Bought {
    /// The terms of the order's cost: a line is shared among the parts that it is for.
    fn terms(self, context: &Context<'_>, build: Build<'_>) -> Terms {
        let mut costs: BTreeMap<PartIx, Decimal> = BTreeMap::new();
        let mut add = |part, amount: Decimal| {
            let cost = costs.entry(part).or_default();
            *cost = cost.saturating_add(amount);
        };
        for line in self.purchase.parcels.iter().flat_map(|parcel| &parcel.lines) {
            match &line.ware {
                Ware::Part(part) => add(*part, line.cost),
                Ware::Material(id) => {
                    let parts = self.made_of.get(id).map_or(&[][..], Vec::as_slice);
                    shares(line.cost, parts).for_each(|(part, share)| add(part, share));
                }
            }
        }
        let shipping = sum(self.purchase.parcels.iter().map(|parcel| parcel.shipping));
        if !shipping.is_zero() {
            add(build.root, shipping);
        }
        let quoted = costs.into_iter().map(|(part, amount)| term_of(context, build, part, amount));
        let stated = self.stated.into_iter().map(|(part, cost)| {
            let term = term_of(context, build, part, cost.amount);
            Term { u: cost.u, basis: cost.basis, uncertain: cost.uncertain, ..term }
        });
        let mut terms: Vec<Term> = quoted.chain(stated).collect();
        terms.sort_by_key(|term| term.part);
        Terms::of(Combine::Money, terms, self.purchase.missing)
    }
}

/// What each part bears of the cost of their material: by mass, the last one what is left of it, so
/// that nothing is lost in rounding.
fn shares(cost: Decimal, parts: &[(PartIx, Decimal)]) -> impl Iterator<Item = (PartIx, Decimal)> {
    let all = sum(parts.iter().map(|(_, mass_kg)| *mass_kg));
    let mut left = cost;
    parts.iter().enumerate().map(move |(at, (part, mass_kg))| {
        let share = cost.checked_mul(*mass_kg).and_then(|share| share.checked_div(all));
        let share = share.filter(|_| at + 1 < parts.len()).unwrap_or(left);
        left -= share;
        (*part, share)
    })
}

fn term_of(context: &Context<'_>, build: Build<'_>, part: PartIx, amount: Decimal) -> Term {
    let multiplicity = build.counts.of(part).unwrap_or(Decimal::ONE);
    let by_piece = context.amounts_of(part) == Dimension::NONE;
    let each = Some(multiplicity).filter(|_| by_piece).and_then(|count| amount.checked_div(count));
    Term {
        part,
        multiplicity,
        each: Number::Exact(each.unwrap_or(amount)),
        basic: Number::Exact(amount),
        predicted: Number::Exact(amount),
        u: 0.0,
        basis: Basis::Stated,
        // A quote is what will be paid.
        uncertain: true,
        density: None,
    }
}

/// Sums stay far below what a decimal holds: [`bid::MOST`] bounds every amount.
fn sum(amounts: impl Iterator<Item = Decimal>) -> Decimal {
    amounts.fold(Decimal::ZERO, Decimal::saturating_add)
}
