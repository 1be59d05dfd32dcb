//! What somebody who has built one release does to have another, in the order in which it is done.

use rust_decimal::Decimal;
use serde::Serialize;

use super::bom::{self, LineRow, ParcelRow};
use super::budgets::MissingRow;
use super::cautions::{self, Cautions};
use super::proposal::of_break;
use super::shown::{Shown, count, some_of};
use crate::design::{Design, PartIx};
use crate::evaluate::Number;
use crate::evaluate::purchase::Purchase;
use crate::facet::Facet;
use crate::quantity::{Dimension, Unit, show_measure};
use crate::record::Id;
use crate::release::{Again, Get, Kept, Upgrade, Why};

/// The way from one release to another.
#[derive(Clone, Debug, Serialize)]
pub struct UpgradeReport {
    /// All of it in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// What was built.
    pub from: String,
    /// What is to be built.
    pub to: String,
    /// Parts to make: printed, cut, machined …
    pub make: Vec<GetRow>,
    /// Parts to buy.
    pub buy: Vec<GetRow>,
    /// The order for them: a parcel a supplier.
    pub parcels: Vec<ParcelRow>,
    /// What the parts to buy cost together, without shipping; where none lacks an offer.
    pub cost: Option<Shown>,
    /// What the order costs, shipping, duty and tax included; nothing where nothing is bought.
    pub order_cost: Option<Shown>,
    /// No other choice of offers costs less than this, where the cheapest was not found in time.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_least: Option<Shown>,
    /// Parts to buy that nobody offers: the cost is then a lower bound.
    pub missing: Vec<MissingRow>,
    /// Parts to set to something else.
    pub set: Vec<SetRow>,
    /// Parts that stay.
    pub keep: Vec<KeptRow>,
    /// Made parts that are of no use any more.
    pub discard: Vec<KeptRow>,
    /// Bought parts that are left over.
    pub left_over: Vec<KeptRow>,
    /// Steps to do (again), in order.
    pub steps: Vec<RedoRow>,
    /// What to show again on the build.
    pub tests: Vec<TestRow>,
    /// What is no longer interchangeable.
    pub breaks: Vec<BreakRow>,
    /// What can hurt on the way.
    pub cautions: Option<Cautions>,
}

/// A part to get.
#[derive(Clone, Debug, Serialize)]
pub struct GetRow {
    /// The part.
    pub part: Id,
    /// What people call it.
    pub title: Option<String>,
    /// Its version.
    pub version: Option<String>,
    /// How much of it.
    pub amount: String,
    /// How it comes into being.
    pub origin: &'static str,
    /// Why it is needed.
    pub why: String,
    /// How it is ordered.
    pub purchases: Vec<PurchaseRow>,
}

/// Whole units of sale.
#[derive(Clone, Debug, Serialize)]
pub struct PurchaseRow {
    /// Who sells it.
    pub supplier: Id,
    /// The order code.
    pub code: Option<String>,
    /// How many units of sale.
    pub units: String,
    /// What they cost, duty and tax included, without shipping.
    pub cost: Shown,
}

/// A part that is set to something else.
#[derive(Clone, Debug, Serialize)]
pub struct SetRow {
    /// The part.
    pub part: Id,
    /// Its settings that are others.
    pub settings: Vec<Id>,
}

/// So much of a part.
#[derive(Clone, Debug, Serialize)]
pub struct KeptRow {
    /// The part.
    pub part: Id,
    /// What people call it.
    pub title: Option<String>,
    /// How much of it.
    pub amount: String,
}

/// A step to do.
#[derive(Clone, Debug, Serialize)]
pub struct RedoRow {
    /// The step.
    pub step: Id,
    /// What is done.
    pub title: Option<String>,
    /// Why.
    pub why: String,
    /// Tools to lay out.
    pub tools: Vec<String>,
}

/// Something to show again.
#[derive(Clone, Debug, Serialize)]
pub struct TestRow {
    /// The requirement.
    pub requirement: Id,
    /// What people call it.
    pub title: Option<String>,
    /// By which method.
    pub method: &'static str,
}

/// A part that is no longer interchangeable.
#[derive(Clone, Debug, Serialize)]
pub struct BreakRow {
    /// The part.
    pub part: Id,
    /// Why, and how far it is felt.
    pub text: String,
}

/// The way from the design `was`, called `names.0`, to the design `is`.
#[must_use]
pub fn upgrade(was: &Design, is: &Design, found: &Upgrade, names: (&str, &str)) -> UpgradeReport {
    let money = Unit::parse(is.currency.code()).unwrap_or_else(|_| Unit::none());
    let order = &found.order;
    let parcels = bom::parcels(is, order, &money);
    let rows = |made: bool| -> Vec<GetRow> {
        let wanted = found.get.iter().filter(|get| get.bought != made);
        wanted.map(|get| get_row(is, get, &parcels)).collect()
    };
    let kept = |all: &[Kept]| all.iter().map(|kept| kept_row(was, kept)).collect();
    let mut report = UpgradeReport {
        headline: String::new(),
        design: is.name.clone(),
        from: names.0.to_owned(),
        to: names.1.to_owned(),
        make: rows(true),
        buy: rows(false),
        cost: cost(order, &money),
        order_cost: order_cost(order, &money),
        at_least: (order.at_least < order.total).then(|| Shown::money(order.at_least, &money)),
        missing: bom::missing(is, order),
        parcels: parcels.clone(),
        set: found
            .set
            .iter()
            .map(|set| SetRow { part: is.id(set.part).clone(), settings: set.settings.clone() })
            .collect(),
        keep: kept(&found.keep),
        discard: kept(&found.discard),
        left_over: kept(&found.left_over),
        steps: found.steps.iter().filter_map(|(id, again)| step_row(is, id, again)).collect(),
        tests: found.tests.iter().filter_map(|id| test_row(is, id)).collect(),
        breaks: found
            .breaks
            .iter()
            .map(|found| BreakRow { part: found.part.clone(), text: of_break(found) })
            .collect(),
        cautions: cautions::of_parts(is, found.handled.iter().copied()),
    };
    report.headline = headline(&report);
    report
}

/// `lantern 0.9.0 → 1.0.0: make 2, buy 1 for 69.20 EUR, 3 steps, 2 tests`.
fn headline(report: &UpgradeReport) -> String {
    let UpgradeReport { design, from, to, make, buy, set, .. } = report;
    let mut phrases = Vec::new();
    let mut add = |number: usize, phrase: String| {
        if number > 0 {
            phrases.push(phrase);
        }
    };
    add(make.len(), format!("make {}", count(make.len(), "part")));
    let cost = report.order_cost.as_ref().map(|cost| format!(" for {}", cost.text));
    add(buy.len(), format!("buy {}{}", count(buy.len(), "part"), cost.unwrap_or_default()));
    add(set.len(), format!("set {} anew", count(set.len(), "part")));
    add(report.steps.len(), format!("do {}", count(report.steps.len(), "step")));
    add(report.tests.len(), format!("repeat {}", count(report.tests.len(), "test")));
    let phrases = if phrases.is_empty() { "nothing to do".to_owned() } else { phrases.join(", ") };
    format!("{design} {from} → {to}: {phrases}")
}

fn get_row(design: &Design, get: &Get, parcels: &[ParcelRow]) -> GetRow {
    let record = design.record(get.part);
    let id = &record.id.value;
    let lines =
        parcels.iter().flat_map(|parcel| parcel.lines.iter().map(move |line| (parcel, line)));
    let lines = lines.filter(|(_, line)| get.bought && line.what == *id);
    GetRow {
        part: record.id.value.clone(),
        title: record.title.as_ref().map(|title| title.value.clone()),
        version: record.version.as_ref().map(|version| version.value.to_string()),
        amount: amount(design, get.part, get.amount),
        origin: record.origin.word(),
        why: why(&get.why),
        purchases: lines.map(|(parcel, line)| purchase_row(parcel, line)).collect(),
    }
}

fn purchase_row(parcel: &ParcelRow, line: &LineRow) -> PurchaseRow {
    PurchaseRow {
        supplier: parcel.supplier.clone(),
        code: line.code.clone(),
        units: line.units.clone(),
        cost: line.cost.clone(),
    }
}

fn why(why: &Why) -> String {
    match why {
        Why::New => "new".to_owned(),
        Why::More => "more of it".to_owned(),
        Why::Broken => "the old one is not interchangeable".to_owned(),
        Why::Better => "better; the old one fits too".to_owned(),
        Why::Other(facets) => {
            let facets = some_of(facets.iter().copied().map(Facet::word), Facet::PHYSICAL.len());
            format!("another: {facets}")
        }
    }
}

/// Of everything to buy; `None` where something has no offer.
fn cost(order: &Purchase, money: &Unit) -> Option<Shown> {
    let shipping = order.parcels.iter().map(|parcel| parcel.shipping);
    let cost = shipping.fold(order.total, Decimal::saturating_sub);
    (order.missing.is_empty() && !cost.is_zero()).then(|| Shown::money(cost, money))
}

/// What the whole order costs; `None` where nothing is bought.
fn order_cost(order: &Purchase, money: &Unit) -> Option<Shown> {
    let is_open = !order.missing.is_empty();
    let cost = Shown::money(order.total, money).and_more(is_open);
    (!order.total.is_zero()).then_some(cost)
}

fn kept_row(design: &Design, kept: &Kept) -> KeptRow {
    let record = design.record(kept.part);
    KeptRow {
        part: record.id.value.clone(),
        title: record.title.as_ref().map(|title| title.value.clone()),
        amount: amount(design, kept.part, kept.amount),
    }
}

/// Pieces, or an extent in the unit in which an assembly states it.
fn amount(design: &Design, part: PartIx, amount: Decimal) -> String {
    if design.amounts[part.index()] == Dimension::NONE {
        return amount.normalize().to_string();
    }
    let id = design.id(part);
    let lines = design.parts.iter().flat_map(|held| &held.contains);
    let mut units = lines.filter(|line| line.part.value == *id).map(|line| &line.amount.unit);
    let unit = units.next().cloned().unwrap_or_else(Unit::none);
    show_measure(Number::Exact(amount).to_f64(), &unit)
}

fn step_row(design: &Design, id: &Id, again: &Again) -> Option<RedoRow> {
    let step = design.steps.iter().find(|step| step.id.value == *id)?;
    Some(RedoRow {
        step: id.clone(),
        title: step.title.as_ref().map(|title| title.value.clone()),
        why: match again {
            Again::New => "it is new".to_owned(),
            Again::Other => "it is done otherwise".to_owned(),
            Again::For(parts) => format!("for {}", some_of(parts, 4)),
        },
        tools: step.tools.iter().map(|tool| tool.value.clone()).collect(),
    })
}

fn test_row(design: &Design, id: &Id) -> Option<TestRow> {
    let requirement = design.requirement(id.as_str())?;
    Some(TestRow {
        requirement: id.clone(),
        title: requirement.title.as_ref().map(|title| title.value.clone()),
        method: requirement.method().word(),
    })
}
