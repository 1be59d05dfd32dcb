//! What one build costs, by offers, materials and machine hours.

use super::{Missing, asked, budget, missing};
use crate::evaluate::budget as budgets;
use crate::evaluate::whole::{Context, Whole};
use crate::fixture;

const SUPPLIERS: &str = r#"
    [supplier.bolt-shop]
    [supplier.net-shop]
    prices = "net"
    tax = "20 %"
    duty = "5 %"
"#;

/// Basic and predicted cost of one build at the top, of an order for `builds`.
fn cost(text: &str, builds: u64) -> (String, String) {
    let design = fixture::design(&format!("{text}{SUPPLIERS}"));
    let subject = crate::evaluate::Subject { builds, ..asked(&design, "cost") };
    let none = crate::evaluate::StandIns::default();
    let context = Context::of(&design, &none);
    let whole = Whole::of(&design, design.top);
    let budget = budgets::of(&context, &whole, &subject).expect("a cost");
    let (basic, predicted) = budget.total.money.expect("money");
    (basic.normalize().to_string(), predicted.normalize().to_string())
}

fn basic(text: &str, builds: u64) -> String {
    cost(text, builds).0
}

/// The price column of a textbook's order-quantity example: below 100 at 51.50, from 100 at 49.50,
/// from 200 at 48, from 500 at 47.
#[test]
fn the_order_reaches_a_price_break() {
    let text = r#"
        [part.scanner]
        origin = "bought"
        [[part.scanner.offer]]
        supplier = "bolt-shop"
        price = "51.50 EUR"
        breaks = { 100 = "49.50 EUR", 200 = "48 EUR", 500 = "47 EUR" }
    "#;
    let column = [
        (1, "51.5"),
        (99, "51.5"),
        (100, "49.5"),
        (199, "49.5"),
        (200, "48"),
        (499, "48"),
        (500, "47"),
        (5000, "47"),
    ];
    for (builds, expected) in column {
        assert_eq!(basic(text, builds), expected, "{builds} builds");
    }
}

#[test]
fn what_is_consumed_counts_and_not_whole_packs() {
    let text = r#"
        [part.scanner]
        origin = "assembled"
        contains = { screw = 14, felt = "0.35 m" }
        [part.screw]
        origin = "bought"
        consumption = { spare = 1 }
        [[part.screw.offer]]
        supplier = "bolt-shop"
        pack = 50
        price = "3.90 EUR"
        breaks = { 5 = "3.50 EUR" }
        [part.felt]
        origin = "bought"
        consumption = { waste = "10 %" }
        [[part.felt.offer]]
        supplier = "bolt-shop"
        pack = "5 m"
        price = "10 EUR"
    "#;
    assert_eq!(basic(text, 1), "1.94", "15/50 · 3.90 + 0.385/5 · 10");
    assert_eq!(basic(text, 20), "1.7535", "281 screws are six packs: 281/50 · 3.50 / 20 + 0.77");
}

#[test]
fn a_minimum_order_reaches_a_break_too() {
    let text = r#"
        [part.scanner]
        origin = "bought"
        [[part.scanner.offer]]
        supplier = "bolt-shop"
        price = "3 EUR"
        breaks = { 10 = "2 EUR" }
        minimum-order = 10
    "#;
    assert_eq!(basic(text, 1), "2");
}

#[test]
fn duty_tax_and_rate_are_part_of_the_price_and_the_cheapest_offer_counts() {
    let part = r#"
        [exchange]
        USD = { rate = "0.92 EUR", on = 2026-10-01 }
        [part.scanner]
        origin = "bought"
        [[part.scanner.offer]]
        supplier = "net-shop"
        price = "100 USD"
    "#;
    assert_eq!(basic(part, 1), "115.92", "100 · 1.05 · 1.20 · 0.92");
    let dearer = "[[part.scanner.offer]]\nsupplier = \"bolt-shop\"\nprice = \"116 EUR\"\n";
    assert_eq!(basic(&format!("{part}{dearer}"), 1), "115.92");
    let cheaper = dearer.replace("116", "115");
    assert_eq!(basic(&format!("{part}{cheaper}"), 1), "115");
}

const PRINTED: &str = r#"
    [rule]
    machine-hour = "0.80 EUR"
    [allowance]
    cost = { calculated = "10 %" }
    [part.scanner]
    origin = "assembled"
    contains = { gate = 2 }
    [part.gate]
    origin = "printed"
    material = "petg"
    mass = "31 g ± 0.62 g calculated"
    print-time = "2 h 30 min"
    [material.petg]
    density = "1.27 g/cm³"
    [[material.petg.offer]]
    supplier = "bolt-shop"
    pack = "1 kg"
    price = "22 EUR"
"#;

#[test]
fn a_printed_part_costs_its_material_and_the_machines_time() {
    // 2 · 0.031 kg · 22 EUR/kg + 2 · 2.5 h · 0.80 EUR/h
    assert_eq!(cost(PRINTED, 1), ("5.364".into(), "5.9004".into()));
    let budget = budget(&format!("{PRINTED}{SUPPLIERS}"), "cost");
    assert!((budget.total.u - 1.364 * 0.01).abs() < 1e-12, "u of the mass is 1 %");
}

#[test]
fn material_is_sold_by_volume_too() {
    let by_volume = PRINTED.replace("pack = \"1 kg\"", "pack = \"1000 cm³\"");
    let by_length = PRINTED.replace("pack = \"1 kg\"", "pack = \"335 m\"");
    // 0.062 kg / 1.27 kg/l · 22 EUR/l; the quotient is rounded at 28 digits.
    assert!(basic(&by_volume, 1).starts_with("5.07401574803149606"));
    let text = format!("{by_length}{SUPPLIERS}");
    assert_eq!(missing(&text, "cost"), [("gate".to_owned(), Missing::MaterialOffer)]);
}

/// Two parts of one material are bought together.
#[test]
fn a_material_reaches_its_break_by_all_that_is_made_of_it() {
    let text = r#"
        [part.scanner]
        origin = "assembled"
        contains = { lid = 1, box = 1 }
        [part.lid]
        origin = "cut"
        material = "plywood"
        mass = "600 g"
        [part.box]
        origin = "cut"
        material = "plywood"
        mass = "600 g"
        [material.plywood]
        [[material.plywood.offer]]
        supplier = "bolt-shop"
        pack = "1 kg"
        price = "10 EUR"
        breaks = { 2 = "8 EUR" }
    "#;
    assert_eq!(basic(text, 1), "9.6", "1.2 kg are two packs");
}

#[test]
fn a_stated_cost_stands_in_where_nobody_offers() {
    let text = "[part.scanner]\norigin = \"machined\"\ncost = \"12.50 EUR ± 1 EUR\"\n";
    assert_eq!(basic(text, 7), "12.5");
    let offered = "[[part.scanner.offer]]\nsupplier = \"bolt-shop\"\nprice = \"9 EUR\"\n";
    assert_eq!(basic(&format!("{text}{offered}"), 7), "9");
}

#[test]
fn every_part_without_a_price_is_named() {
    let text = r#"
        [rule]
        machine-hour = "0.80 EUR"
        [supplier.bolt-shop]
        [part.scanner]
        origin = "assembled"
        contains = { board = 1, felt = "1 m", foot = 4, gate = 1, lens = 1, lid = 1, program = 1 }
        [part.board]
        origin = "board"
        [part.felt]
        origin = "bought"
        [[part.felt.offer]]
        supplier = "bolt-shop"
        pack = 1
        price = "3 EUR"
        [part.foot]
        origin = "printed"
        material = "petg"
        [part.gate]
        origin = "printed"
        material = "petg"
        mass = "10 g"
        [part.lens]
        origin = "bought"
        [part.lid]
        origin = "printed"
        [part.program]
        origin = "firmware"
        [material.petg]
        [[material.petg.offer]]
        supplier = "bolt-shop"
        pack = "1 kg"
        price = "22 EUR"
    "#;
    let expected = [
        ("board", Missing::MaterialOffer),
        ("felt", Missing::PackUnit),
        ("foot", Missing::Mass),
        ("gate", Missing::Figure),
        ("lens", Missing::Offer),
        ("lid", Missing::MaterialOffer),
    ];
    let expected: Vec<_> = expected.into_iter().map(|(part, why)| (part.to_owned(), why)).collect();
    assert_eq!(missing(text, "cost"), expected);
    assert_eq!(budget(text, "cost").total.basic, 0.22);
}

#[test]
fn money_beyond_28_digits_is_named_and_no_panic() {
    let text = r#"
        [supplier.bolt-shop]
        [part.scanner]
        origin = "assembled"
        contains = { bar = 1000000000 }
        [part.bar]
        origin = "assembled"
        contains = { gold = 1000000000 }
        [part.gold]
        origin = "bought"
        [[part.gold.offer]]
        supplier = "bolt-shop"
        price = "1000000000000 EUR"
    "#;
    assert_eq!(missing(text, "cost"), [("gold".to_owned(), Missing::Overflow)]);
}

#[test]
fn a_cost_that_an_assembly_states_is_compared_with_what_its_parts_cost() {
    let disagrees = |own: &str| {
        let text = format!(
            "[part.scanner]\norigin = \"assembled\"\ncontains.body = 2\ncost = \"{own}\"\n\
             [part.body]\norigin = \"machined\"\ncost = \"40 EUR ± 1 EUR\"\n"
        );
        let cost = budget(&text, "cost");
        assert_eq!(cost.total.basic, 80.0);
        cost.own.expect("an own figure").disagrees
    };
    assert!(!disagrees("82 EUR"));
    assert!(disagrees("82.50 EUR"));
}
