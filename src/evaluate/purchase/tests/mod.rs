//! Whole orders of small designs.

mod choosing;
mod every_order;

use rust_decimal::Decimal;

use super::{Purchase, Required, Ware, purchase, purchase_of};
use crate::design::Design;
use crate::evaluate::{Missing, StandIns, Subject, figures};
use crate::fixture;

/// What is ordered: `SUPPLIER: UNITS x WARE = COST, LEFT left; … + SHIPPING = TOTAL` a parcel, then
/// the total.
fn told(design: &Design, order: &Purchase) -> String {
    let ware = |ware: &Ware| match ware {
        Ware::Part(part) => design.id(*part).to_string(),
        Ware::Material(id) => id.to_string(),
    };
    let mut told = String::new();
    for parcel in &order.parcels {
        let line = |line: &super::Line| {
            let (units, cost, left) =
                (line.units, line.cost.normalize(), line.left_over.normalize());
            format!("{units} x {} = {cost}, {left} left", ware(&line.ware))
        };
        let lines: Vec<String> = parcel.lines.iter().map(line).collect();
        let (shipping, total) = (parcel.shipping.normalize(), parcel.total.normalize());
        told += &format!("{}: {} + {shipping} = {total}\n", parcel.supplier, lines.join("; "));
    }
    assert_eq!(order.at_least, order.total, "the cheapest is found");
    told + &order.total.normalize().to_string()
}

fn ordered(text: &str, builds: u64) -> String {
    let design = fixture::design(text);
    told(&design, &purchase(&design, builds, false))
}

fn total(text: &str, builds: u64) -> String {
    ordered(text, builds).lines().last().unwrap_or_default().to_owned()
}

/// The price column of a textbook's order-quantity example: below 100 at 51.50, from 100 at 49.50,
/// from 200 at 48, from 500 at 47. The totals are those columns multiplied; where the next column's
/// first order is cheaper than fewer at the dearer price, that one is bought.
#[test]
fn a_larger_order_may_be_the_cheaper_one() {
    let text = r#"
        [part.scanner]
        origin = "bought"
        [[part.scanner.offer]]
        supplier = "shop"
        price = "51.50 EUR"
        breaks = { 100 = "49.50 EUR", 200 = "48 EUR", 500 = "47 EUR" }
        [supplier.shop]
    "#;
    assert_eq!(ordered(text, 96), "shop: 96 x scanner = 4944, 0 left + 0 = 4944\n4944");
    assert_eq!(ordered(text, 97), "shop: 100 x scanner = 4950, 3 left + 0 = 4950\n4950");
    assert_eq!(total(text, 100), "4950");
    assert_eq!(total(text, 193), "9553.5");
    assert_eq!(total(text, 194), "9600", "200 of them at 48");
    assert_eq!(total(text, 500), "23500");
    assert_eq!(total(text, 501), "23547");
}

const SCREWS: &str = r#"
    [part.scanner]
    origin = "assembled"
    contains = { screw = 14, felt = "0.35 m" }
    [part.screw]
    origin = "bought"
    consumption = { spare = 1, waste = "10 %" }
    [[part.screw.offer]]
    supplier = "bolt-shop"
    pack = 50
    price = "3.90 EUR"
    [part.felt]
    origin = "bought"
    [[part.felt.offer]]
    supplier = "corner-shop"
    pack = "1 m"
    price = "1.19 EUR"
    minimum-order = 3
"#;

/// Worked out by hand: 11 pieces are 3 packs of 4, and at least 5 packs are sold by the first shop; what
/// comes by length is no piece.
#[test]
fn an_order_for_some_parts_alone_is_an_order_like_any() {
    let design = fixture::design(
        r#"
        [part.scanner]
        origin = "bought"
        consumption = { spare = 7 }
        [[part.scanner.offer]]
        supplier = "by-five"
        pack = 4
        minimum-order = 5
        price = "1 EUR"
        [[part.scanner.offer]]
        supplier = "by-one"
        pack = 4
        price = "1.50 EUR"
        [[part.scanner.offer]]
        supplier = "by-length"
        pack = "1 m"
        price = "0.01 EUR"
        [supplier.by-five]
        [supplier.by-one]
        prices = "net"
        tax = "10 %"
        [supplier.by-length]
        "#,
    );
    let required = |amount: Decimal| Required { part: design.top, amount, with_spares: false };
    let order = |amount: u64| told(&design, &purchase_of(&design, &[required(amount.into())]));
    assert_eq!(order(11), "by-one: 3 x scanner = 4.95, 1 left + 0 = 4.95\n4.95");
    assert_eq!(order(20), "by-five: 5 x scanner = 5, 0 left + 0 = 5\n5");
    assert_eq!(order(0), "0");
    let spared = Required { with_spares: true, ..required(11.into()) };
    let spared = told(&design, &purchase_of(&design, &[spared]));
    assert_eq!(spared, "by-five: 5 x scanner = 5, 2 left + 0 = 5\n5", "with 7 spares");
    let huge = purchase_of(&design, &[required(Decimal::MAX)]);
    assert_eq!(huge.missing, [(design.top, Missing::Overflow)]);
    let none = fixture::design("[part.scanner]\norigin = \"bought\"\n");
    let one = Required { part: none.top, amount: 1.into(), with_spares: true };
    let order = purchase_of(&none, &[one]);
    assert_eq!((order.total, order.missing.len()), (Decimal::ZERO, 1));
}

/// 3 × 14 × 1.1 + 1 = 47.2 screws, so 48; 1.05 m of felt. By hand.
#[test]
fn whole_units_of_sale_are_bought_and_what_is_left_is_said() {
    let suppliers = "[supplier.bolt-shop]\n[supplier.corner-shop]\n";
    assert_eq!(
        ordered(&format!("{SCREWS}{suppliers}"), 3),
        "bolt-shop: 1 x screw = 3.9, 2 left + 0 = 3.9\n\
         corner-shop: 3 x felt = 3.57, 1.95 left + 0 = 3.57\n7.47"
    );
}

/// By hand: (3.90 × 1.05 duty) × 1.20 = 4.914, and 5 × 1.20 = 6 for the parcel; prices that hold the
/// tax stay, and their parcel is 2 × 1.19 = 2.38.
#[test]
fn tax_and_duty_are_on_goods_and_tax_on_parcels() {
    let suppliers = r#"
        [supplier.bolt-shop]
        prices = "net"
        tax = "20 %"
        duty = "5 %"
        shipping = "5 EUR"
        [supplier.corner-shop]
        tax = "19 %"
        shipping = "2 EUR"
    "#;
    assert_eq!(
        ordered(&format!("{SCREWS}{suppliers}"), 3),
        "bolt-shop: 1 x screw = 4.914, 2 left + 6 = 10.914\n\
         corner-shop: 3 x felt = 3.57, 1.95 left + 2.38 = 5.95\n16.864"
    );
}

/// A limit of 3 before tax is one of 3.57 where the prices hold 19 % of tax. Where three metres fall just
/// short of it, a fourth for 1.19 costs less than the parcel for 2.38.
#[test]
fn the_limit_for_free_shipping_is_one_of_goods_before_tax() {
    let corner = |limit: &str| {
        let suppliers = format!(
            "[supplier.bolt-shop]\n[supplier.corner-shop]\ntax = \"19 %\"\n\
             shipping = \"2 EUR\"\nfree-over = \"{limit} EUR\"\n"
        );
        total(&format!("{SCREWS}{suppliers}"), 3)
    };
    assert_eq!(corner("3"), "7.47");
    assert_eq!(corner("3.01"), "8.66");
    assert_eq!(corner("5"), "9.85", "two more metres cost as much as the parcel");
}

#[test]
fn foreign_money_is_changed_at_the_rate_of_the_manifest() {
    let text = r#"
        [exchange]
        USD = { rate = "0.92 EUR", on = 2026-10-01 }
        [part.scanner]
        origin = "bought"
        [[part.scanner.offer]]
        supplier = "board-shop"
        price = "41.50 USD"
        [supplier.board-shop]
        shipping = "24 USD"
    "#;
    assert_eq!(ordered(text, 2), "board-shop: 2 x scanner = 76.36, 0 left + 22.08 = 98.44\n98.44");
}

const TWO_SHOPS: &str = r#"
    [part.scanner]
    origin = "assembled"
    contains = { belt = 1, lens = 1 }
    [part.belt]
    origin = "bought"
    [[part.belt.offer]]
    supplier = "cheap-shop"
    price = "2 EUR"
    [[part.belt.offer]]
    supplier = "glass-shop"
    price = "4 EUR"
    [part.lens]
    origin = "bought"
    [[part.lens.offer]]
    supplier = "glass-shop"
    price = "30 EUR"
    [supplier.glass-shop]
    shipping = "6 EUR"
"#;

#[test]
fn one_parcel_less_is_worth_a_dearer_part() {
    let cheap = |terms: &str| ordered(&format!("{TWO_SHOPS}[supplier.cheap-shop]\n{terms}"), 1);
    assert_eq!(
        cheap("shipping = \"5 EUR\""),
        "glass-shop: 1 x belt = 4, 0 left; 1 x lens = 30, 0 left + 6 = 40\n40"
    );
    assert_eq!(
        cheap("shipping = \"1 EUR\""),
        "cheap-shop: 1 x belt = 2, 0 left + 1 = 3\nglass-shop: 1 x lens = 30, 0 left + 6 = 36\n39"
    );
}

/// The dearer belt brings the parcel over its limit: 34 against 2 + 36.
#[test]
fn a_dearer_part_may_make_a_parcel_free() {
    let text =
        TWO_SHOPS.replace("shipping = \"6 EUR\"", "shipping = \"6 EUR\"\nfree-over = \"34 EUR\"");
    assert_eq!(
        ordered(&format!("{text}[supplier.cheap-shop]\n"), 1),
        "glass-shop: 1 x belt = 4, 0 left; 1 x lens = 30, 0 left + 0 = 34\n34"
    );
}

/// By hand: 13 are a bag of ten for 1.20 and three single ones for 0.15 each; 18 and 20 are two bags.
#[test]
fn bags_and_single_pieces_are_mixed() {
    let text = |count: u64| {
        format!(
            r#"
            [part.scanner]
            origin = "assembled"
            contains = {{ nut = {count} }}
            [part.nut]
            origin = "bought"
            [[part.nut.offer]]
            supplier = "shop"
            code = "one"
            price = "0.15 EUR"
            [[part.nut.offer]]
            supplier = "shop"
            code = "bag"
            pack = 10
            price = "1.20 EUR"
            [supplier.shop]
            shipping = "2 EUR"
            "#
        )
    };
    let mixed = "shop: 3 x nut = 0.45, 0 left; 1 x nut = 1.2, 0 left + 2 = 3.65\n3.65";
    assert_eq!(ordered(&text(13), 1), mixed);
    assert_eq!(
        ordered(&text(18), 1),
        "shop: 2 x nut = 2.4, 2 left + 2 = 4.4\n4.4",
        "8 are 1.20 too"
    );
    assert_eq!(ordered(&text(20), 1), "shop: 2 x nut = 2.4, 0 left + 2 = 4.4\n4.4");
}

/// By hand: five of the cheaper shop's eight are bought where they are dearer by 0.10, since that brings
/// 50 together there and saves 6: 45 + 5 + 3 × 0.90 = 52.70 against 45 + 7.20 + 6 = 58.20.
#[test]
fn a_part_may_come_from_two_shops_at_once() {
    let text = r#"
        [part.scanner]
        origin = "assembled"
        contains = { lens = 1, belt = 8 }
        [part.lens]
        origin = "bought"
        [[part.lens.offer]]
        supplier = "glass-shop"
        price = "45 EUR"
        [part.belt]
        origin = "bought"
        [[part.belt.offer]]
        supplier = "belt-shop"
        price = "0.90 EUR"
        [[part.belt.offer]]
        supplier = "glass-shop"
        price = "1 EUR"
        [supplier.belt-shop]
        [supplier.glass-shop]
        shipping = "6 EUR"
        free-over = "50 EUR"
    "#;
    assert_eq!(
        ordered(text, 1),
        "belt-shop: 3 x belt = 2.7, 0 left + 0 = 2.7\n\
         glass-shop: 5 x belt = 5, 0 left; 1 x lens = 45, 0 left + 0 = 50\n52.7"
    );
}

const PRINTED: &str = r#"
    [part.scanner]
    origin = "assembled"
    contains = { lid = 1, base = 2, motor = 1 }
    [part.lid]
    origin = "printed"
    material = "petg"
    mass = "300 g"
    [part.base]
    origin = "printed"
    material = "petg"
    mass = "400 g"
    [part.motor]
    origin = "bought"
    cost = "18 EUR"
    [material.petg]
    [[material.petg.offer]]
    supplier = "corner-shop"
    pack = "1 kg"
    price = "22 EUR"
    [supplier.corner-shop]
    shipping = "4 EUR"
"#;

/// 300 g and 2 × 400 g take two spools of a kilogram.
#[test]
fn all_that_is_printed_shares_its_spools() {
    assert_eq!(
        ordered(PRINTED, 1),
        "corner-shop: 2 x petg = 44, 0.9 left + 4 = 48\n66",
        "the motor states its cost"
    );
}

#[test]
fn the_budget_is_the_order_and_the_parcels_are_the_products_own() {
    let design = fixture::design(&format!(
        "{PRINTED}[requirement.batch]\npart = \"scanner\"\nquantity = \"order-cost\"\nbuilds = 1\n\
         at-most = \"70 EUR\"\n"
    ));
    let budgets = figures(None, &design, &StandIns::default()).budgets;
    let subject = Subject::of(&design, &design.requirements[0]).expect("a budget");
    let budget = &budgets[&subject];
    let terms = budget.contributions().map(|term| {
        let (basic, _) = term.total.money.expect("money");
        format!("{} {}", design.id(term.part), basic.normalize())
    });
    assert_eq!(terms.collect::<Vec<_>>(), ["base 32", "lid 12", "motor 18", "scanner 4"]);
    assert_eq!(budget.total.basic, 66.0);
}

#[test]
fn what_cannot_be_bought_is_named_and_the_rest_is_a_lower_bound() {
    let design = fixture::design(
        r#"
        [part.scanner]
        origin = "assembled"
        contains = { lens = 1, felt = "1 m", lid = 1, belt = 1 }
        [part.lens]
        origin = "bought"
        [part.felt]
        origin = "bought"
        [[part.felt.offer]]
        supplier = "shop"
        pack = 1
        price = "1 EUR"
        [part.lid]
        origin = "printed"
        mass = "10 g"
        [part.belt]
        origin = "bought"
        [[part.belt.offer]]
        supplier = "shop"
        price = "4 EUR"
        [supplier.shop]
        "#,
    );
    let order = purchase(&design, 1, false);
    let missing = order.missing.iter().map(|(part, why)| (design.id(*part).as_str(), why));
    assert_eq!(
        missing.collect::<Vec<_>>(),
        [("felt", &Missing::PackUnit), ("lens", &Missing::Offer), ("lid", &Missing::MaterialOffer)]
    );
    assert_eq!(told(&design, &order), "shop: 1 x belt = 4, 0 left + 0 = 4\n4");
}

#[test]
fn amounts_beyond_all_measure_are_no_panic() {
    let text = r#"
        [part.scanner]
        origin = "bought"
        [[part.scanner.offer]]
        supplier = "shop"
        price = "999999999999 EUR"
        [supplier.shop]
        tax = "900 %"
        shipping = "999999999999 EUR"
    "#;
    let design = fixture::design(text);
    let order = purchase(&design, 1_000_000_000, false);
    assert_eq!(order.missing, [(design.top, Missing::Overflow)]);
}
