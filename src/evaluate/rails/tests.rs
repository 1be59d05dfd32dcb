//! Currents, losses and ratings of power trees, against textbooks.

use std::collections::BTreeMap;
use std::fmt::Write;

use proptest::prelude::*;

use super::super::heat::Extreme;
use super::super::steady::of_product;
use super::super::trace::Source;
use super::super::whole::Context;
use super::super::{Multiplicities, StandIns, multiplicities};
use super::*;
use crate::design::Design;
use crate::fixture;

const CELSIUS: f64 = 273.15;

fn near(found: f64, expected: f64) {
    let off = (found - expected).abs();
    assert!(off <= 1e-9 * expected.abs().max(1.0), "{found} is not {expected}");
}

fn counts(design: &Design) -> Multiplicities {
    multiplicities(design, design.top, false)
}

fn currents_of(design: &Design) -> (Tree, Vec<Currents>) {
    let tree = tree(design, &counts(design));
    let currents = currents(&tree).expect("a physical tree");
    (tree, currents)
}

fn on<'a>(design: &Design, currents: &'a [Currents], rail: &str) -> &'a Currents {
    let place = design.rails.iter().position(|held| held.id.as_str() == rail);
    &currents[place.expect("a rail of the fixture")]
}

const SCANNER: &str = r#"
    [ambient]
    low = "5 °C"
    high = "35 °C"
    [part.scanner]
    origin = "assembled"
    contains = { lamp = 2, controller = 1, motor = 1, supply = 1 }
    [part.supply]
    origin = "bought"
    heat-path = [{ to = "ambient", resistance = "5 K/W" }]
    [part.lamp]
    origin = "bought"
    draws = { twelve-volt = { mean = "0.5 A ± 0.02 A", peak = "0.6 A" } }
    [part.motor]
    origin = "bought"
    draws = { twelve-volt = { mean = "0.2 A", peak = "1.0 A ± 0.1 A" } }
    [part.controller]
    origin = "board"
    draws = { five-volt = "0.96 A ± 0.08 A" }
    [rail.twelve-volt]
    voltage = "12 V"
    fed-by = "supply"
    made-in = "supply"
    efficiency = "80 %"
    rating = "3 A"
    derate = { from = "40 °C", by = "2 %/K", at = "supply" }
    [rail.five-volt]
    voltage = "5 V"
    fed-by = "twelve-volt"
    made-in = "controller"
    efficiency = "80 %"
    rating = "2 A"
"#;

/// P = U·I: 0.96 A at 5 V are 4.8 W, through 80 % 6 W, at 12 V 0.5 A.
#[test]
fn currents_go_up_through_voltage_and_efficiency() {
    let design = fixture::design(SCANNER);
    let (_, currents) = currents_of(&design);
    let twelve = on(&design, &currents, "twelve-volt");
    near(twelve.mean.value, 2.0 * 0.5 + 0.2 + 0.5);
    near(twelve.peak.value, 2.0 * 0.6 + 1.0 + 0.5);
    let factor = 5.0 / (0.8 * 12.0);
    // Two lamps share one figure; a load without a peak draws its mean.
    near(twelve.mean.u(), f64::hypot(2.0 * 0.01, factor * 0.04));
    near(twelve.peak.u(), f64::hypot(0.05, factor * 0.04));
}

#[test]
fn loads_come_in_order_of_their_peaks() {
    let design = fixture::design(SCANNER);
    let (_, currents) = currents_of(&design);
    let drawn = &on(&design, &currents, "twelve-volt").drawn;
    let part = |id: &str| Drawer::Part(design.part(id).expect("a part"));
    let drawers: Vec<_> = drawn.iter().map(|drawn| drawn.by.clone()).collect();
    assert_eq!(drawers, [part("lamp"), part("motor"), Drawer::Rail("five-volt".into())]);
    near(drawn[0].peak, 1.2);
    near(drawn[2].mean, 0.5);
}

/// (1/0.8 − 1) of 4.8 W and of 12 V × 1.7 A = 20.4 W.
#[test]
fn losses_are_heat_where_they_are_made() {
    let design = fixture::design(SCANNER);
    let (tree, currents) = currents_of(&design);
    let losses = losses(&tree, &currents);
    let heat = |id: &str| {
        let part = design.part(id).expect("a part");
        let loss = losses.iter().find(|loss| loss.made_in == part).expect("a loss");
        loss.heat.value
    };
    near(heat("controller"), 1.2);
    near(heat("supply"), 5.1);
}

/// 5.1 W over 5 K/W lift the supply from 35 °C to 60.5 °C: 20.5 K above 40 °C at 2 %/K leave 59 % of
/// 3 A. The peak of 2.7 A overloads that.
#[test]
fn a_rating_falls_with_the_temperature_that_mean_currents_cause() {
    let design = fixture::design(SCANNER);
    let supply = design.part("supply").expect("the supply");
    let none = StandIns::default();
    let steady = of_product(&Context::of(&design, &none));
    let temperature = steady.temperature(supply, Extreme::Hot).expect("a temperature");
    near(temperature.value, 60.5 + CELSIUS);
    let rated = &steady.rated["twelve-volt"];
    near(rated.derated.value, 3.0 * 0.59);
    near(rated.reserve.value, 1.77 - 2.7);
    assert_eq!(rated.at, Some(supply));
    // The controller's current is in the peak, and in the heat that derates: one figure, so that
    // both add before they are squared.
    let controller = Source::Draw {
        part: design.part("controller").expect("a part"),
        rail: "five-volt".into(),
        peak: false,
    };
    let kelvin_an_ampere = 5.0 * 0.25 * 12.0 * (5.0 / 9.6);
    let expected = -0.06 * kelvin_an_ampere - 5.0 / 9.6;
    near(rated.reserve.slopes[&controller].by, expected);
}

#[test]
fn the_highest_ambient_stands_in_where_no_temperature_is_known() {
    let rated_at = |text: &str| {
        let design = fixture::design(text);
        let (_, currents) = currents_of(&design);
        let rail = design.rail("twelve-volt").expect("a rail");
        let peaks = on(&design, &currents, "twelve-volt");
        rated(&design, rail, peaks, &BTreeMap::new()).map(|rated| rated.derated.value)
    };
    assert_eq!(rated_at(SCANNER), Some(3.0), "35 °C is below 40 °C");
    near(rated_at(&SCANNER.replace("\"35 °C\"", "\"50 °C\"")).expect("a rating"), 2.4);
    assert_eq!(rated_at(&SCANNER.replace("\"35 °C\"", "\"99 °C\"")), Some(0.0), "not below zero");
    assert_eq!(rated_at(&SCANNER.replace("high = \"35 °C\"", "")), None);
    assert_eq!(rated_at(&SCANNER.replace("rating = \"3 A\"", "")), None);
}

fn cell_of(text: &str) -> Option<Result<Cell, NoEnergy>> {
    let design = fixture::design(text);
    let (tree, currents) = currents_of(&design);
    let feeds = feeds(&design, &counts(&design), &tree, &currents);
    let supply = design.part("supply");
    feeds.into_iter().find(|feed| feed.part == supply).expect("a feed").cell
}

/// 20.4 W through 80 % are 25.5 W: 51 W·h last 2 h.
#[test]
fn a_cell_lasts_as_long_as_its_energy_feeds_the_mean_power() {
    let with = |capacity: &str| {
        let supply = format!("[part.supply]\ncapacity = \"{capacity}\"");
        SCANNER.replace("[part.supply]", &supply)
    };
    let cell = cell_of(&with("51 W·h ± 5.1 W·h")).expect("a cell").expect("an energy");
    near(cell.energy.value, 51.0 * 3600.0);
    let time = cell.running_time.expect("a running time");
    near(time.value, 7200.0);
    let lamps = 2.0 * 0.01 * 15.0 / 25.5;
    let controller = 0.04 * (5.0 / 9.6) * 15.0 / 25.5;
    near(time.u(), 7200.0 * (0.05_f64.powi(2) + lamps * lamps + controller * controller).sqrt());
    let by_charge = cell_of(&with("4.25 A·h")).expect("a cell").expect("an energy");
    near(by_charge.energy.value, 51.0 * 3600.0);
    let two = with("4.25 A·h").replace("supply = 1", "supply = 2");
    assert_eq!(cell_of(&two), Some(Err(NoEnergy::SeveralPieces)));
    let other = format!("{}\n[rail.raw]\nvoltage = \"24 V\"\nfed-by = \"supply\"\n", with("4 A·h"));
    assert_eq!(cell_of(&other), Some(Err(NoEnergy::SeveralVoltages)));
    assert_eq!(cell_of(SCANNER), None);
}

#[test]
fn trees_that_are_not_physical_are_named() {
    let design = fixture::design(SCANNER);
    let fault = |rail: &str, spoil: fn(&mut Rail)| {
        let mut tree = tree(&design, &counts(&design));
        tree.rails.iter_mut().filter(|known| known.id.as_str() == rail).for_each(spoil);
        currents(&tree).expect_err("a fault")
    };
    let lossy = fault("five-volt", |rail| rail.efficiency = 0.0);
    assert_eq!(lossy, Fault::NoEfficiency("five-volt".into()));
    let flat = fault("twelve-volt", |rail| rail.voltage = 0.0);
    assert_eq!(flat, Fault::NoVoltage("twelve-volt".into()));
    let rail = |id: &str, feeder| Rail {
        id: id.into(),
        voltage: 5.0,
        fed_by: FedBy::Rail(feeder),
        efficiency: 1.0,
        made_in: None,
    };
    let circle = Tree { rails: vec![rail("a", 1), rail("b", 0)], loads: Vec::new() };
    assert_eq!(currents(&circle), Err(Fault::Cycle("a".into())));
    let many = Tree { rails: vec![rail("a", 0); 3_000], loads: Vec::new() };
    assert_eq!(currents(&many), Err(Fault::TooLarge));
}

proptest! {
    /// What is fed in is what the loads take and what is lost, whatever the tree.
    #[test]
    fn power_is_kept(
        rails in proptest::collection::vec((1_u32..48, 1_u32..=100, 0_usize..8, 0_u32..5_000), 1..8),
    ) {
        let mut text = String::from("[part.scanner]\norigin = \"assembled\"\ncontains.board = 1\n");
        let mut draws = Vec::new();
        for (at, (voltage, efficiency, feeder, milliampere)) in rails.iter().enumerate() {
            let _ = writeln!(
                text,
                "[rail.r{at}]\nvoltage = \"{voltage} V\"\nefficiency = \"{efficiency} %\"\nmade-in = \"board\""
            );
            if at > 0 {
                let _ = writeln!(text, "fed-by = \"r{}\"", feeder % at);
            }
            draws.push(format!("r{at} = \"{milliampere} mA\""));
        }
        let _ = writeln!(text, "[part.board]\norigin = \"board\"\ndraws = {{ {} }}", draws.join(", "));
        let design = fixture::design(&text);
        let (tree, currents) = currents_of(&design);
        let taken: f64 = rails.iter().map(|(v, _, _, ma)| f64::from(*v) * f64::from(*ma) / 1e3).sum();
        let lost: f64 = losses(&tree, &currents).iter().map(|loss| loss.heat.value).sum();
        let fed: f64 = feeds(&design, &counts(&design), &tree, &currents)
            .iter()
            .map(|feed| feed.power.value)
            .sum();
        prop_assert!((fed - taken - lost).abs() <= 1e-9 * fed.max(1.0));
    }
}
