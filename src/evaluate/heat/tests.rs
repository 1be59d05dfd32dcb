//! Temperatures of networks, against textbooks and a second solver.

use proptest::prelude::*;
use serde::Deserialize;

use super::super::whole::Context;
use super::super::{Multiplicities, StandIns, multiplicities};
use super::*;
use crate::design::Design;
use crate::fixture;
use crate::record::Id;

const CELSIUS: f64 = 273.15;

fn place(name: &str) -> Place {
    if name == "ambient" { Place::Ambient } else { Place::Node(Id::from(name)) }
}

fn figure(name: &str, value: f64, u: f64) -> Traced {
    Traced::figure(Source::Given(Id::from(name)), value, u)
}

/// A network of `from, to, K/W` with `place, W`; each figure is named by its place and has u = 10 %.
fn network_of(paths: &[(&str, &str, f64)], heats: &[(&str, f64)]) -> Network {
    let path = |(from, to, resistance): &(&str, &str, f64)| Path {
        from: place(from),
        to: place(to),
        resistance: figure(&format!("{from}-{to}"), *resistance, 0.1 * resistance),
    };
    let heat = |(name, heat): &(&str, f64)| (place(name), figure(name, *heat, 0.1 * heat));
    Network { paths: paths.iter().map(path).collect(), heats: heats.iter().map(heat).collect() }
}

/// Temperature of `name` in °C.
fn celsius(solution: &Solution, name: &str) -> f64 {
    solution.temperature(&place(name)).expect("a temperature").value - CELSIUS
}

fn near(found: f64, expected: f64, off: f64) {
    assert!((found - expected).abs() <= off, "{found} is not {expected} within {off}");
}

/// A common textbook example of a junction, its case and its sink: 5 W over 3 + 1 + 8 K/W at 25 °C: 85 °C inside,
/// 70 °C at the case.
#[test]
fn a_chain_adds_its_resistances() {
    let paths = [("junction", "case", 3.0), ("case", "sink", 1.0), ("sink", "ambient", 8.0)];
    let solution = solve(&network_of(&paths, &[("junction", 5.0)]), 25.0 + CELSIUS);
    near(celsius(&solution, "junction"), 85.0, 1e-9);
    near(celsius(&solution, "case"), 70.0, 1e-9);
    assert!(solution.faults.is_empty());
}

/// Rashid, Power Electronics, example of a heat sink (computed from its inputs): 150 °C inside at an
/// ambient of 25 °C over 0.4 + 0.1 + 0.5 K/W are 125 W, and 100 °C at the case.
#[test]
fn a_hundred_and_twenty_five_watts_reach_a_hundred_and_fifty_degrees() {
    let paths = [("junction", "case", 0.4), ("case", "sink", 0.1), ("sink", "ambient", 0.5)];
    let solution = solve(&network_of(&paths, &[("junction", 125.0)]), 25.0 + CELSIUS);
    near(celsius(&solution, "junction"), 150.0, 1e-9);
    near(celsius(&solution, "case"), 100.0, 1e-9);
}

/// Çengel, Heat Transfer, example of a plane wall (read in a restatement): 0.3 m of k = 0.9 W/(m·K)
/// over 15 m² is 0.0222 K/W, and 14 K across it are 630 W.
#[test]
fn a_plane_wall() {
    let wall = 0.3 / (0.9 * 15.0);
    near(wall, 0.0222, 5e-5);
    let solution = solve(&network_of(&[("inside", "ambient", wall)], &[("inside", 630.0)]), 275.15);
    near(celsius(&solution, "inside"), 16.0, 1e-9);
}

/// Çengel, Heat Transfer, example of a window (computed from its inputs): 8 mm of glass of
/// k = 0.78 W/(m·K), 1.2 m², 10 and 40 W/(m²·K) inside and outside: 0.11271 K/W, 266.16 W from 20 °C
/// to −10 °C, −2.18 °C at the inner surface.
#[test]
fn a_window() {
    let area_m2 = 1.2;
    let [inner, glass, outer] =
        [1.0 / (10.0 * area_m2), 0.008 / (0.78 * area_m2), 1.0 / (40.0 * area_m2)];
    near(inner + glass + outer, 0.11271, 5e-6);
    let paths = [("room", "pane", inner), ("pane", "skin", glass), ("skin", "ambient", outer)];
    let solution = solve(&network_of(&paths, &[("room", 266.16)]), -10.0 + CELSIUS);
    near(celsius(&solution, "room"), 20.0, 0.005);
    near(celsius(&solution, "pane"), -2.18, 0.005);
}

#[derive(Deserialize)]
struct Case {
    paths: Vec<(usize, usize, f64)>,
    heats: Vec<f64>,
    rises: Vec<f64>,
    asked: usize,
    by_heat: Vec<f64>,
    by_resistance: Vec<f64>,
}

/// Rises by numpy's elimination, slopes by the complex step; tests/fixtures/networks.py draws the
/// networks.
#[test]
fn random_networks_agree_with_another_solver() {
    let cases: Vec<Case> =
        serde_json::from_str(include_str!("../../../tests/fixtures/networks.json")).expect("cases");
    assert_eq!(cases.len(), 40);
    for case in cases {
        let place = |index: usize| match index {
            0 => Place::Ambient,
            _ => Place::Node(Id::new(format!("p{index:02}"))),
        };
        let heat_of = |index: usize| format!("heat-{index}");
        let path_of = |index: usize| format!("path-{index}");
        let paths = case.paths.iter().enumerate().map(|(index, (from, to, resistance))| Path {
            from: place(*from),
            to: place(*to),
            resistance: figure(&path_of(index), *resistance, 0.0),
        });
        let heats = case.heats.iter().enumerate();
        let heats = heats.map(|(at, heat)| (place(at + 1), figure(&heat_of(at), *heat, 0.0)));
        let network = Network { paths: paths.collect(), heats: heats.collect() };
        let solution = solve(&network, 0.0);
        let alike =
            |found: f64, expected: f64| near(found, expected, 1e-9 * expected.abs().max(1.0));
        for (index, rise) in case.rises.iter().enumerate() {
            alike(solution.temperature(&place(index + 1)).expect("a rise").value, *rise);
        }
        let asked = solution.temperature(&place(case.asked)).expect("a rise");
        // What lies beyond ambient has no slope.
        let by = |name: String| {
            asked.slopes.get(&Source::Given(Id::new(name))).map_or(0.0, |slope| slope.by)
        };
        case.by_heat.iter().enumerate().for_each(|(at, slope)| alike(by(heat_of(at)), *slope));
        case.by_resistance
            .iter()
            .enumerate()
            .for_each(|(at, slope)| alike(by(path_of(at)), *slope));
    }
}

/// One resistance figure of two paths moves the temperature through both.
#[test]
fn the_same_figure_is_one_wherever_it_is() {
    let pad = figure("pad", 2.0, 0.2);
    let path =
        |from: &str, to: &str| Path { from: place(from), to: place(to), resistance: pad.clone() };
    let heats = BTreeMap::from([(place("lamp"), Traced::exact(3.0))]);
    let network = Network { paths: vec![path("lamp", "sink"), path("sink", "ambient")], heats };
    let lamp = solve(&network, 300.0).temperature(&place("lamp")).expect("a temperature");
    near(lamp.value, 312.0, 1e-9);
    near(lamp.u(), 2.0 * 3.0 * 0.2, 1e-9);
}

#[test]
fn levers_say_what_buys_the_most() {
    let paths = [("lamp", "sink", 0.9), ("sink", "ambient", 5.0), ("board", "sink", 2.0)];
    let network = network_of(&paths, &[("lamp", 3.0), ("board", 1.0)]);
    let lamp = solve(&network, 300.0).temperature(&place("lamp")).expect("a temperature");
    let levers = levers(&lamp);
    let given = |name: &str| Source::Given(Id::from(name));
    let bought: Vec<_> = levers.iter().map(|lever| (lever.source.clone(), lever.buys)).collect();
    assert_eq!(
        bought,
        [
            (given("sink-ambient"), 4.0),
            (given("lamp"), 5.9),
            (given("board"), 5.0),
            (given("lamp-sink"), 3.0),
            (given("board-sink"), 0.0),
        ]
    );
    near(levers[0].by_a_tenth_k, 2.0, 1e-9);
}

#[test]
fn what_is_not_physical_is_named_and_the_rest_is_solved() {
    let faults = |paths: &[(&str, &str, f64)], heats: &[(&str, f64)]| {
        let solution = solve(&network_of(paths, heats), 300.0);
        let known: Vec<_> = solution.temperatures_k().map(|(place, _)| place.clone()).collect();
        (solution.faults, known)
    };
    let sound = ("sink", "ambient", 5.0);
    let [lamp, sink, pad] = ["lamp", "sink", "pad"].map(place);
    assert_eq!(
        faults(&[sound, ("lamp", "pad", 1.0)], &[("lamp", 1.0)]),
        (vec![Fault::Floating(vec![lamp.clone(), pad.clone()])], vec![sink.clone()])
    );
    assert_eq!(
        faults(&[sound], &[("lamp", 1.0)]),
        (vec![Fault::Floating(vec![lamp.clone()])], vec![sink.clone()])
    );
    for wrong in [0.0, -3.0, f64::NAN, 1e-320] {
        assert_eq!(
            faults(&[sound, ("lamp", "pad", wrong), ("lamp", "ambient", 2.0)], &[]),
            (vec![Fault::NotPositive(lamp.clone(), pad.clone())], vec![sink.clone()])
        );
    }
    assert_eq!(
        faults(&[sound, ("lamp", "sink", 2.0), ("sink", "lamp", 2.0)], &[]),
        (vec![Fault::Twice(sink.clone(), lamp.clone())], vec![])
    );
    assert_eq!(
        faults(&[sound, ("lamp", "lamp", 2.0)], &[]),
        (vec![Fault::ToItself(lamp)], vec![sink])
    );
    assert_eq!(faults(&[], &[]), (vec![], vec![]));
}

#[test]
fn more_places_than_are_solved_together_are_said() {
    let names: Vec<String> = (0..=MOST_PLACES).map(|index| format!("n{index:05}")).collect();
    let chain = names.windows(2).map(|pair| (&*pair[0], &*pair[1], 1.0));
    let paths: Vec<_> = chain.chain([("n00000", "ambient", 1.0)]).collect();
    let faults = solve(&network_of(&paths, &[]), 300.0).faults;
    assert_eq!(faults, [Fault::TooLarge(place("n00000"), MOST_PLACES + 1)]);
}

const SCANNER: &str = r#"
    [ambient]
    low = "5 °C"
    high = "35 °C"
    [allowance]
    heat = { estimated = "50 %", stated = "10 %" }
    [node.inside-air]
    heat-path = [{ to = "ambient", resistance = "2 K/W" }]
    [part.scanner]
    origin = "assembled"
    contains = { lamp = 3, board = 1 }
    [part.lamp]
    origin = "bought"
    heat = "2 W ± 0.2 W stated"
    heat-path = [{ to = "inside-air", resistance = "6 K/W ± 10 %" }]
    [part.board]
    origin = "bought"
    heat = "1 W measured"
    heat-path = [{ to = "inside-air", resistance = "4 K/W" }]
    [part.spare-lamp]
    origin = "bought"
    heat = "9 W"
    heat-path = [{ to = "inside-air", resistance = "6 K/W" }]
"#;

fn counts(design: &Design) -> Multiplicities {
    multiplicities(design, design.top, false)
}

fn solution(design: &Design, extreme: Extreme) -> Solution {
    let counts = counts(design);
    let none = StandIns::default();
    let heats = heats(&Context::of(design, &none), &counts, &[], extreme);
    solve(&network(design, &counts, heats), extreme.ambient_k(design).expect("an ambient"))
}

/// Cold: 3 × 2 W + 1 W = 7 W over 2 K/W lift the air by 14 K, 6 W over 6/3 K/W the lamps by 12 K more.
/// Hot: the lamps' heat is stated, and may grow by a tenth.
#[test]
fn pieces_of_one_part_are_one_place_under_both_ambients() {
    let design = fixture::design(SCANNER);
    let lamp = Place::Part(design.part("lamp").expect("the lamp"));
    let [cold, hot] = [Extreme::Cold, Extreme::Hot]
        .map(|extreme| solution(&design, extreme).temperature(&lamp).expect("a temperature"));
    near(cold.value - CELSIUS, 5.0 + 14.0 + 12.0, 1e-9);
    near(hot.value - CELSIUS, 35.0 + 2.0 * 7.6 + 2.0 * 6.6, 1e-9);
    // Three lamps share one figure of 2 W, u 0.1 W, and one of 6 K/W, u 0.3 K/W.
    let by_heat = 3.0 * (2.0 + 2.0) * 0.1;
    let by_path = 6.0 / 3.0 * 0.3;
    near(cold.u(), f64::hypot(by_heat, by_path), 1e-9);
    let air = solution(&design, Extreme::Cold).temperature(&place("inside-air"));
    near(air.expect("a temperature").value - CELSIUS, 19.0, 1e-9);
}

#[test]
fn a_part_that_the_product_does_not_hold_heats_nothing() {
    let design = fixture::design(SCANNER);
    let spare = Place::Part(design.part("spare-lamp").expect("the spare"));
    let solution = solution(&design, Extreme::Hot);
    assert_eq!(solution.temperature(&spare), None);
    assert!(solution.faults.is_empty());
}

#[test]
fn it_does_not_matter_which_end_names_a_path() {
    let design = fixture::design(SCANNER);
    let turned = SCANNER
        .replace("heat-path = [{ to = \"inside-air\", resistance = \"6 K/W ± 10 %\" }]", "")
        .replace(
            "heat-path = [{ to = \"ambient\"",
            "heat-path = [{ to = \"lamp\", resistance = \"6 K/W ± 10 %\" }, { to = \"ambient\"",
        );
    let turned = fixture::design(&turned);
    let temperatures = |design: &Design| -> Vec<_> {
        let solution = solution(design, Extreme::Hot);
        solution.temperatures_k().map(|(place, kelvin)| (place.clone(), kelvin)).collect()
    };
    assert_eq!(temperatures(&turned), temperatures(&design));
}

/// Paths from place to place with their K/W, and two sets of heats in W.
type AnyNetwork = (Vec<(usize, usize, f64)>, Vec<f64>, Vec<f64>);

/// Up to 6 places, all of which reach ambient.
fn any_network() -> impl Strategy<Value = AnyNetwork> {
    (1..6_usize).prop_flat_map(|count| {
        let tree: Vec<_> = (1..=count).map(|to| (0..to, Just(to), 0.1..50.0_f64)).collect();
        let heats = proptest::collection::vec(0.0..20.0_f64, count);
        (tree, heats.clone(), heats)
    })
}

proptest! {
    /// Rises of two sets of heats add to those of both together; and twice the heat rises twice.
    #[test]
    fn heats_superpose((paths, first, second) in any_network()) {
        let names: Vec<String> = (0..=first.len()).map(|index| format!("p{index}")).collect();
        let name = |index: usize| if index == 0 { "ambient" } else { &*names[index] };
        let paths: Vec<_> = paths.iter().map(|(a, b, r)| (name(*a), name(*b), *r)).collect();
        let rises = |heats: Vec<f64>| -> Vec<f64> {
            let heats: Vec<_> = heats.iter().enumerate().map(|(at, q)| (name(at + 1), *q)).collect();
            let solution = solve(&network_of(&paths, &heats), 0.0);
            solution.temperatures_k().map(|(_, rise)| rise).collect()
        };
        let both: Vec<f64> = first.iter().zip(&second).map(|(a, b)| a + 2.0 * b).collect();
        let (both, first, second) = (rises(both), rises(first), rises(second));
        prop_assert_eq!(both.len(), names.len() - 1);
        for ((both, a), b) in both.iter().zip(first).zip(second) {
            prop_assert!((both - a - 2.0 * b).abs() <= 1e-8 * both.abs().max(1.0));
        }
    }

    #[test]
    fn nothing_panics_whatever_the_network(
        paths in proptest::collection::vec((0..5_usize, 0..5_usize, any::<f64>()), 0..12),
        heats in proptest::collection::vec(-1e30..1e30_f64, 4),
    ) {
        const NAMES: [&str; 5] = ["ambient", "a", "b", "c", "d"];
        let paths: Vec<_> = paths.into_iter().map(|(a, b, r)| (NAMES[a], NAMES[b], r)).collect();
        let heats: Vec<_> = NAMES[1..].iter().copied().zip(heats).collect();
        let solution = solve(&network_of(&paths, &heats), 300.0);
        let known: Vec<_> = solution.temperatures_k().collect();
        for (place, kelvin) in known {
            prop_assert!(kelvin.is_finite());
            prop_assert!(solution.temperature(place).is_some());
        }
    }
}
