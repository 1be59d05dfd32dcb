//! The bill of materials: what the product is made of, what it costs, and what to order where.

mod order;
mod parts;

use serde::Serialize;

use super::budgets::{MissingRow, missing_words};
use super::place::Place;
use super::shown::{Shown, count};
use crate::evaluate::purchase::{Purchase, purchase};
use crate::evaluate::{Subject, budget_of};
use crate::evidence;
use crate::quantity::Unit;
use crate::record::Id;
use crate::verdict::Assessed;

pub use order::{LineRow, ParcelRow};
pub use parts::{BomRow, Structure};

/// The bill of materials of one build, and the order for so many.
#[derive(Clone, Debug, Serialize)]
pub struct BomReport {
    /// What it comes to, in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// The variant of it, where one is meant.
    pub variant: Option<Id>,
    /// The state of the repository.
    pub place: Place,
    /// Number of builds in the order.
    pub builds: u64,
    /// Whether parts stand in the assemblies that contain them.
    pub structure: Structure,
    /// Every part, optional ones not among them: in the order of ids, or assemblies before what they
    /// contain.
    pub parts: Vec<BomRow>,
    /// The materials of what is made.
    pub materials: Vec<BomRow>,
    /// What is left to the builder; not in the order.
    pub optional: Vec<BomRow>,
    /// What one build consumes.
    pub cost: Option<Shown>,
    /// A parcel a supplier, in the order of suppliers.
    pub parcels: Vec<ParcelRow>,
    /// The whole order.
    pub order_cost: Shown,
    /// No other choice of offers costs less than this, where the cheapest was not found in time.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_least: Option<Shown>,
    /// Parts that cannot be bought or made: the costs are then lower bounds.
    pub missing: Vec<MissingRow>,
    /// What to do next.
    pub next: Vec<String>,
}

/// The bill of materials of a design, as it stands at `place`, and the order for `builds`.
#[must_use]
pub fn bom(assessed: &Assessed, place: Place, builds: u64, structure: Structure) -> BomReport {
    let design = &*assessed.design;
    let purchase = purchase(design, builds, false);
    let money = Unit::parse(design.currency.code()).unwrap_or_else(|_| Unit::none());
    let is_open = !purchase.missing.is_empty();
    let order_cost = Shown::money(purchase.total, &money).and_more(is_open);
    let stand_ins = evidence::stand_ins(design, &assessed.standings);
    let subject = Subject { part: design.top, quantity: Id::from("cost"), builds };
    let cost = budget_of(design, &stand_ins, &subject);
    let listed = parts::Listed::of(design, &purchase, cost.as_ref(), builds);
    let parts = match structure {
        Structure::Flat => listed.flat(),
        Structure::Level => listed.by_level(),
    };
    let parcels = order::parcels(design, &purchase, &money);
    let missing = purchase.missing.iter().map(|(part, why)| MissingRow {
        part: design.id(*part).clone(),
        why: missing_words(why),
    });
    let coverage = crate::evaluate::coverage_factor(design);
    let at_least = (purchase.at_least < purchase.total).then_some(purchase.at_least);
    BomReport {
        headline: headline(assessed, &place, builds, &purchase, &order_cost),
        design: design.name.clone(),
        variant: design.variant.clone(),
        place,
        builds,
        structure,
        parts,
        materials: listed.materials(),
        optional: listed.optional(),
        cost: cost
            .filter(|cost| !cost.empty)
            .map(|cost| Shown::basic(&cost.total, coverage, &money).and_more(!cost.missing.is_empty())),
        at_least: at_least.map(|least| Shown::money(least, &money)),
        missing: missing.collect(),
        next: next(&purchase, &parcels),
        parcels,
        order_cost,
    }
}

fn headline(
    assessed: &Assessed,
    place: &Place,
    builds: u64,
    purchase: &Purchase,
    order_cost: &Shown,
) -> String {
    let design = &assessed.design;
    let variant = design.variant.as_ref();
    let variant = variant.map(|variant| format!(", variant {variant},")).unwrap_or_default();
    let parcels = count(purchase.parcels.len(), "supplier");
    let (name, place, order) = (&design.name, place.phrase(), &order_cost.text);
    let builds = count(usize::try_from(builds).unwrap_or(usize::MAX), "build");
    format!("{name}{variant} {place}: the order for {builds} is {order}, from {parcels}")
}

/// What keeps the order from being placed, or would make it cheaper.
fn next(purchase: &Purchase, parcels: &[ParcelRow]) -> Vec<String> {
    let mut next = Vec::new();
    if !purchase.missing.is_empty() {
        next.push("add what is missing: an offer, a material with an offer, a mass".to_owned());
    }
    let lines = || parcels.iter().flat_map(|parcel| &parcel.lines);
    for line in lines().filter(|line| line.phased_out.is_some()) {
        let until = line.phased_out.as_deref().unwrap_or_default();
        next.push(format!("think twice about {}: planned to go from {until} on", line.what));
    }
    for parcel in parcels {
        if let Some(short) = parcel.short_of_free.as_ref().filter(|short| short.base < parcel.shipping.base) {
            let (supplier, saves) = (&parcel.supplier, &parcel.shipping.text);
            let text = format!("{} more of goods from {supplier} save {saves} of shipping", short.text);
            next.push(text);
        }
    }
    if next.is_empty() {
        next.push("order it, or take it along with `tagworthy bom --format csv`".to_owned());
    }
    next
}
