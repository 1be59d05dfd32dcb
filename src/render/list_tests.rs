//! What readers see of lists: bills of materials, steps, open items.

use super::tests::{at, on_line_7, plain};
use super::{json, layout, markdown};
use crate::assess;
use crate::evidence::RevisionSeals;
use crate::report::samples::{LANTERN, assessed};
use crate::report::{self, Structure};
use crate::verdict::{Documents, Occasion};

/// A product with parts by the piece, the metre and the spool, two shops and four steps.
const WORKSHOP: &str = r#"
[exchange]
USD = { rate = "0.92 EUR", on = 2026-10-01 }
[part.scanner]
title = "Lantern"
origin = "assembled"
contains = { gate-unit = 2, screw-m3x8 = 10, supply = 1, dust-cover = { count = 1, optional = true } }
[part.gate-unit]
origin = "assembled"
version = "1.2.0"
contains = { film-gate = 1, screw-m3x8 = 2, felt = "0.35 m" }
[part.film-gate]
title = "Film gate, \"left\""
origin = "printed"
version = "2.1.0"
material = "petg"
mass = "31 g calculated"
hazard = ["hot-surface"]
[part.dust-cover]
origin = "printed"
material = "petg"
mass = "10 g"
[part.screw-m3x8]
title = "=1+1"
origin = "bought"
designation = "ISO 4762 M3x8"
[part.screw-m3x10]
origin = "bought"
designation = "ISO 4762 M3x10"
[[part.screw-m3x8.offer]]
supplier = "bolt-shop"
code = "912-3-8-A2"
pack = 50
price = "3.90 EUR"
breaks = { 5 = "3.50 EUR" }
[part.felt]
origin = "bought"
[[part.felt.offer]]
supplier = "corner-shop"
code = "felt-6"
pack = "5 m"
price = "8.50 EUR"
[part.supply]
origin = "bought"
maker = "Northlight"
mpn = "NL-12"
phased-out = "2.0.0"
[[part.supply.offer]]
supplier = "corner-shop"
code = "NL-12"
price = "20 USD"
lead-time = "10 d"
[material.petg]
[[material.petg.offer]]
supplier = "corner-shop"
code = "PETG-1"
pack = "1 kg"
price = "22 EUR"
[supplier.bolt-shop]
prices = "net"
tax = "19 %"
shipping = "5.90 EUR"
free-over = "8 EUR"
[supplier.corner-shop]
title = "The corner shop"
shipping = "4 EUR"

[step.close]
title = "Close it"
uses = { gate-unit = 2, screw-m3x8 = 8, screw-m3x10 = 2, supply = 1 }
time = "10 min ± 2 min"
torque = "0.6 N·m"
caution = ["mains"]
[step.line]
title = "Line the gate"
uses = { film-gate = 1, screw-m3x8 = 2, felt = "35 cm" }
makes = { gate-unit = 1 }
times = 2
tools = ["hex key 2.5 mm", "felt-jig"]
time = "6 min"
[step.cover]
uses = { dust-cover = 1 }
option = "dust-cover"
after = ["close"]
tools = ["hex key 2.5 mm"]
[part.felt-jig]
title = "Jig for the felt"
origin = "printed"
"#;

#[test]
fn a_bill_of_materials_with_its_order() {
    let of = |structure| report::bom(&assessed(WORKSHOP), at(), 10, structure);
    let flat = layout::bom(&of(Structure::Flat));
    insta::assert_snapshot!("bom_80", plain(&flat, 80));
    insta::assert_snapshot!("bom_60", plain(&flat, 60));
    insta::assert_snapshot!("bom_level_80", plain(&layout::bom(&of(Structure::Level)), 80));
    insta::assert_snapshot!("bom_markdown", markdown::markdown(&flat));
    insta::assert_snapshot!("bom_json", json::json("bom", &of(Structure::Flat)));
    insta::assert_snapshot!("bom_csv", layout::bom_sheet(&of(Structure::Flat)));
}

/// The screws come in two packs, and one metre of felt more than is needed saves the parcel.
#[test]
fn an_order_that_mixes_offers_and_buys_more_than_is_needed() {
    let mixed = WORKSHOP
        .replace(
            "[part.felt]\n",
            "[[part.screw-m3x8.offer]]\nsupplier = \"bolt-shop\"\ncode = \"912-3-8-one\"\n\
             price = \"0.10 EUR\"\n[part.felt]\n",
        )
        .replace("pack = \"5 m\"\nprice = \"8.50 EUR\"", "pack = \"1 m\"\nprice = \"1.70 EUR\"")
        .replace("free-over = \"8 EUR\"", "free-over = \"20 EUR\"")
        .replace("shipping = \"4 EUR\"", "shipping = \"4 EUR\"\nfree-over = \"102 EUR\"");
    let report = report::bom(&assessed(&mixed), at(), 4, Structure::Flat);
    insta::assert_snapshot!("bom_mixed_80", plain(&layout::bom(&report), 80));
    insta::assert_snapshot!("bom_mixed_csv", layout::bom_sheet(&report));
}

#[test]
fn what_cannot_be_bought_is_told() {
    let report = report::bom(&assessed(LANTERN), at(), 1, Structure::Flat);
    insta::assert_snapshot!("bom_incomplete_80", plain(&layout::bom(&report), 80));
}

#[test]
fn the_steps_of_the_assembly() {
    let report = report::assembly(&assessed(WORKSHOP), at(), &on_line_7);
    let page = layout::assembly(&report);
    insta::assert_snapshot!("steps_80", plain(&page, 80));
    insta::assert_snapshot!("steps_60", plain(&page, 60));
    insta::assert_snapshot!("steps_markdown", markdown::markdown(&page));
    insta::assert_snapshot!("steps_json", json::json("steps", &report));
    insta::assert_snapshot!("steps_csv", layout::assembly_sheet(&report));
    let none = report::assembly(&assessed(LANTERN), at(), &on_line_7);
    insta::assert_snapshot!("steps_none_80", plain(&layout::assembly(&none), 80));
}

/// The travel build lists fewer screws, and the steps are the same.
#[test]
fn a_variant_that_its_steps_do_not_fit_is_told_beside_the_design() {
    let text = WORKSHOP.replace("screw-m3x8 = 8, screw-m3x10 = 2", "screw-m3x8 = 10")
        + "[variant.travel.change.scanner]\nscrew-m3x8 = 6\n[variant.bare]\ndrop = [\"supply\"]\n";
    let design = crate::fixture::design(&text);
    let occasion = Occasion::new(design.next.clone(), jiff::civil::date(2026, 10, 20));
    let (seals, documents) = (RevisionSeals::default(), Documents::default());
    let judged = assess::judge(&design, &seals, &documents, occasion);
    let report = report::assembly(&judged, at(), &on_line_7);
    let page = plain(&layout::assembly(&report), 80);
    assert!(report.headline.ends_with("they use exactly what is listed; not so in travel"));
    insta::assert_snapshot!(page.split("\n\n").nth(3).unwrap_or_default(), @r"
    not as listed, by variant
      travel   `screw-m3x8` is listed × 10; steps use × 14 in `line`, `close`
    ");
}

#[test]
fn open_items_as_a_plan() {
    let report = report::items(
        &assessed(
            r#"
            [part.scanner]
            origin = "bought"
            [item.glare]
            title = "Glare at the edge"
            after = ["trial"]
            effort = "2 d"
            [item.trial]
            effort = "6 h ± 2 h"
            after = ["opal"]
            [item.opal]
            closed = 2026-10-01
            result = "Opal it is."
            [item.socket]
            due = "2.0.0"
            "#,
        ),
        true,
    );
    insta::assert_snapshot!("items_80", plain(&layout::items(&report), 80));
    insta::assert_snapshot!("items_json", json::json("item-list", &report));
}
