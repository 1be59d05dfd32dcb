//! The bill of materials: what the product is made of, what it costs, and what to order where.

mod order;
mod parts;

use serde::Serialize;

use super::budgets::{MissingRow, missing_words};
use super::findings::holds_up;
use super::place::Place;
use super::shown::{Shown, count};
use crate::design::{Design, PartIx};
use crate::evaluate::purchase::{Purchase, purchase};
use crate::evaluate::{Missing, Subject, budget_of};
use crate::evidence;
use crate::quantity::Unit;
use crate::record::Id;
use crate::verdict::{Assessed, PRICE_AGE};

pub(super) use order::parcels;
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
    /// Parts that nobody offers: in the order at the cost that they state.
    pub unoffered: Vec<UnofferedRow>,
    /// Parts that cannot be bought or made: the costs are then lower bounds.
    pub missing: Vec<MissingRow>,
    /// What to do next.
    pub next: Vec<String>,
}

/// A part that nobody offers and that states what it costs.
#[derive(Clone, Debug, Serialize)]
pub struct UnofferedRow {
    /// The part.
    pub part: Id,
    /// What all pieces of the order cost together.
    pub cost: Shown,
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
        cost: cost.filter(|cost| !cost.empty).map(|cost| {
            Shown::basic(&cost.total, coverage, &money).and_more(!cost.missing.is_empty())
        }),
        at_least: at_least.map(|least| Shown::money(least, &money)),
        unoffered: unoffered(design, &purchase, &money),
        missing: missing(design, &purchase),
        next: next(assessed, &purchase, &parcels),
        parcels,
        order_cost,
    }
}

/// What of an order nobody offers, at the cost that it states.
fn unoffered(design: &Design, purchase: &Purchase, money: &Unit) -> Vec<UnofferedRow> {
    let row = |(part, cost): &(PartIx, _)| UnofferedRow {
        part: design.id(*part).clone(),
        cost: Shown::money(*cost, money),
    };
    purchase.stated.iter().map(row).collect()
}

/// What of an order cannot be bought or made.
pub(super) fn missing(design: &Design, purchase: &Purchase) -> Vec<MissingRow> {
    let row = |(part, why): &(PartIx, Missing)| MissingRow {
        part: design.id(*part).clone(),
        why: missing_words(why),
    };
    purchase.missing.iter().map(row).collect()
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
fn next(assessed: &Assessed, purchase: &Purchase, parcels: &[ParcelRow]) -> Vec<String> {
    let old = assessed.findings.iter();
    let old = old.filter(|found| found.check == PRICE_AGE && holds_up(assessed, found));
    let mut next: Vec<String> = old.filter_map(|found| found.remedy.clone()).collect();
    next.dedup();
    if !purchase.missing.is_empty() {
        next.push("add what is missing: an offer, a material with an offer, a mass".to_owned());
    }
    let lines = parcels.iter().flat_map(|parcel| &parcel.lines);
    for (line, until) in lines.filter_map(|line| Some((line, line.phased_out.as_ref()?))) {
        next.push(format!(
            "look at {} before ordering it: planned to go from {until} on",
            line.what
        ));
    }
    for (parcel, short) in
        parcels.iter().filter_map(|parcel| Some((parcel, parcel.short_of_free.as_ref()?)))
    {
        let (supplier, saves) = (&parcel.supplier, &parcel.shipping.text);
        if short.base < parcel.shipping.base {
            let goods = &short.text;
            next.push(format!("{goods} more of goods from {supplier} save {saves} of shipping"));
        }
    }
    if next.is_empty() {
        next.push("order it, or take it along with `tagworthy bom --format csv`".to_owned());
    }
    next
}

#[cfg(test)]
mod tests {
    use std::fmt::Write;

    use super::*;
    use crate::report::samples::assessed;

    fn listed(text: &str, builds: u64, structure: Structure) -> Vec<String> {
        let report = bom(&assessed(text), Place::Index, builds, structure);
        let row = |row: &BomRow| {
            let above = if row.listed_above { " (above)" } else { "" };
            format!(
                "{} {} {} {}{above}",
                row.level, row.part, row.quantity.text, row.all_builds.text
            )
        };
        report.parts.iter().map(row).collect()
    }

    /// Heizer and Render, Operations Management, ch. 14, example of a multi-level explosion: one
    /// bracket, and fifty.
    const BRACKET: &str = r#"
        [part]
        scanner = { origin = "assembled", contains = { base = 1, spring = 2, clamp = 4 } }
        base = { origin = "assembled", contains = { clamp = 1, housing = 2 } }
        clamp = { origin = "assembled", contains = { handle = 1, casting = 1 } }
        housing = { origin = "assembled", contains = { bearing = 2, shaft = 1 } }
        spring.origin = "bought"
        handle.origin = "bought"
        casting.origin = "bought"
        bearing.origin = "bought"
        shaft.origin = "bought"
    "#;

    #[test]
    fn every_part_is_consolidated_over_all_levels() {
        assert_eq!(
            listed(BRACKET, 50, Structure::Flat),
            [
                "0 bearing 4 200",
                "0 casting 5 250",
                "0 handle 5 250",
                "0 shaft 2 100",
                "0 spring 2 100"
            ]
        );
    }

    #[test]
    fn parts_stand_within_their_assemblies_and_shared_ones_once() {
        assert_eq!(
            listed(BRACKET, 50, Structure::Level),
            [
                "1 base 1 50",
                "2 clamp 1 50",
                "3 casting 1 250",
                "3 handle 1 250",
                "2 housing 2 100",
                "3 bearing 2 200",
                "3 shaft 1 100",
                "1 clamp 4 200 (above)",
                "1 spring 2 100"
            ]
        );
    }

    #[test]
    fn an_order_is_what_is_shown_of_it() {
        let text = "[part.scanner]\norigin = \"assembled\"\ncontains = { knob = 2, lens = 1 }\n\
            [part.knob]\norigin = \"bought\"\ncost = \"0.90 EUR\"\n\
            [part.lens]\norigin = \"bought\"\n[[part.lens.offer]]\nsupplier = \"shop\"\n\
            price = \"49 EUR\"\n[supplier.shop]\n";
        let report = bom(&assessed(text), Place::Index, 3, Structure::Flat);
        let unoffered =
            report.unoffered.iter().map(|row| format!("{} {}", row.part, row.cost.text));
        // Six knobs at 0.90.
        assert_eq!(unoffered.collect::<Vec<_>>(), ["knob 5.40 EUR"]);
        let shown = report.parcels.iter().map(|parcel| parcel.total.base);
        let shown: f64 = shown.chain(report.unoffered.iter().map(|row| row.cost.base)).sum();
        assert!((shown - report.order_cost.base).abs() < 1e-9, "{shown}");
    }

    #[test]
    fn a_little_more_that_saves_a_parcel_is_told() {
        let text = "[part.scanner]\norigin = \"bought\"\n[[part.scanner.offer]]\n\
            supplier = \"shop\"\nprice = \"49 EUR\"\n[supplier.shop]\nshipping = \"5.90 EUR\"\n\
            free-over = \"50 EUR\"\n";
        let next = |text: &str| bom(&assessed(text), Place::Index, 1, Structure::Flat).next;
        assert_eq!(next(text), ["1.00 EUR more of goods from shop save 5.90 EUR of shipping"]);
        let far = next(&text.replace("49 EUR", "20 EUR"));
        assert_eq!(far, ["order it, or take it along with `tagworthy bom --format csv`"]);
    }

    /// One line after the other along every path would take decades.
    #[test]
    fn sixty_levels_of_shared_assemblies_are_as_long_as_their_records() {
        let mut text =
            String::from("[part]\nscanner = { origin = \"assembled\", contains.s0 = 1 }\n");
        for level in 0..60 {
            let _ = writeln!(
                text,
                "s{level} = {{ origin = \"assembled\", contains = {{ a{level} = 1, b{level} = 1 }} }}\n\
                 a{level} = {{ origin = \"assembled\", contains.s{next} = 1 }}\n\
                 b{level} = {{ origin = \"assembled\", contains.s{next} = 1 }}",
                next = level + 1
            );
        }
        text += "s60 = { origin = \"bought\" }\n";
        assert_eq!(listed(&text, 1, Structure::Level).len(), 1 + 60 * 4);
        assert_eq!(
            listed(&text, 1, Structure::Flat),
            ["0 s60 1152921504606846976 1152921504606846976"]
        );
    }
}
