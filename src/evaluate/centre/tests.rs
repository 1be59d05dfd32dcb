//! Centres of mass against published values, and against bodies combined otherwise.

use std::fmt::Write;

use proptest::prelude::*;

use super::super::stand_ins::StandIns;
use super::super::whole::Context;
use super::super::{Aim, By, Computed, Uncomputed, computed_of};
use super::*;
use crate::design::Design;
use crate::facts::body::{Body, combine};
use crate::fixture::{cuboid_stl, design};

fn computed(design: &Design, part: &str, axis: usize) -> Result<Computed, String> {
    let part = design.part(part).expect("a part");
    let aim = Aim::Part(part, Id::from(CENTRE_OF_MASS[axis]));
    let found = computed_of(design, &StandIns::default(), None, &aim);
    found.map_err(|why: Uncomputed| why.words(design))
}

/// The centre of the scanner in mm, and its standard uncertainty along x.
fn centre_mm(text: &str) -> Result<([f64; 3], f64), String> {
    let design = design(text);
    let mut centre = [0.0; 3];
    let mut u = 0.0;
    for axis in [2, 1, 0] {
        let found = computed(&design, "scanner", axis)?;
        centre[axis] = found.ends[0].value.value * 1e3;
        u = found.ends[0].value.u() * 1e3;
    }
    Ok((centre, u))
}

fn near(found: f64, expected: f64, relative: f64) {
    assert!((found / expected - 1.0).abs() < relative, "{found} is not {expected}");
}

/// Two bodies, in place of the lb and in of their source kg and mm.
const SAWE: &str = r#"
[part.scanner]
origin = "assembled"
[part.scanner.contains]
large = { place = "0 x 0 x 0 mm" }
small = { place = "70.9 x -0.95 x 0.46 mm" }
[part.large]
origin = "bought"
mass = "57.83 kg ± 2.4832 kg"
centre-of-mass = "121.2 x 0.04 x -0.16 mm"
[part.small]
origin = "bought"
mass = "16.80 kg ± 3.4616 kg"
centre-of-mass = "0 x 0 x 0 mm"
"#;

/// SAWE paper 3360, the example of two bodies (read in a restatement, as printed to seven digits).
/// The u along x follows from its masses and their σ: √((σ₁·(x₁ − c))² + (σ₂·(x₂ − c))²)/M.
#[test]
fn two_bodies_of_a_published_example_have_one_centre() {
    let (centre, u) = centre_mm(SAWE).expect("a centre");
    for (found, printed) in centre.into_iter().zip([109.8769, -0.182_859_4, -0.020_431_46]) {
        near(found, printed, 1e-5);
    }
    let (large, small) = (1.2416 * (121.2 - 109.8769), 1.7308 * (70.9 - 109.8769));
    near(u, f64::hypot(large, small) / 74.63, 1e-6);
}

/// The moments are those of the same example: 57.83 · 121.2 and 16.80 · 70.9.
#[test]
fn every_part_has_its_moment() {
    let design = design(SAWE);
    let found = computed(&design, "scanner", 0).expect("a centre");
    let By::Moments(moments) = &found.ends[0].by else { panic!("{found:?}") };
    let told: Vec<_> = moments.iter().map(|at| (design.id(at.part).as_str(), at.mass)).collect();
    assert_eq!(told, [("large", 57.83), ("small", 16.80)]);
    near(moments[0].at, 0.1212, 1e-9);
    near(moments[1].at, 0.0709, 1e-9);
}

/// The example's large body turned a quarter about z: what lay along x lies along y.
#[test]
fn a_turned_part_has_its_centre_turned() {
    let turned = SAWE.replace("\"0 x 0 x 0 mm\" }", "\"0 x 0 x 0 mm, 90 ° about z\" }");
    let (centre, _) = centre_mm(&turned).expect("a centre");
    near(centre[0], (57.83 * -0.04 + 16.80 * 70.9) / 74.63, 1e-9);
    near(centre[1], (57.83 * 121.2 + 16.80 * -0.95) / 74.63, 1e-9);
}

/// A place that may be off by ± 1 mm moves the centre by the part's share of the mass of that.
#[test]
fn a_place_is_as_sure_as_it_says() {
    let exact = SAWE.replace(" ± 2.4832 kg", "").replace(" ± 3.4616 kg", "");
    assert_eq!(centre_mm(&exact).expect("a centre").1, 0.0);
    let (_, u) = centre_mm(&exact.replace("0.46 mm\"", "0.46 mm ± 1 mm\"")).expect("a centre");
    near(u, 0.5 * 16.80 / 74.63, 1e-9);
}

/// A cube of 20 mm has its centre in its middle, wherever its file has its origin.
#[test]
fn a_printed_part_has_the_centre_of_its_mesh() {
    let text = format!(
        "\n== parts/cube.toml\n[part.scanner]\norigin = \"printed\"\nmaterial = \"petg\"\n\
         mesh = {{ file = \"cube.stl\", unit = \"mm\" }}\n[material.petg]\n\
         density = \"1.27 g/cm³\"\n== parts/cube.stl\n{}",
        cuboid_stl([20.0, 10.0, 4.0])
    );
    assert_eq!(centre_mm(&text), Ok(([10.0, 5.0, 2.0], 0.0)));
    let stated = text.replace("[material", "centre-of-mass = \"9 x 5 x 2 mm\"\n[material");
    assert_eq!(centre_mm(&stated), Ok(([9.0, 5.0, 2.0], 0.0)));
}

/// Levels of assemblies, pieces in several places, felt by the metre, firmware without mass.
const LEVELS: &str = r#"
[part.scanner]
origin = "assembled"
[part.scanner.contains]
leg = { count = 2, places = ["0 x 0 x 0 mm", "100 x 0 x 0 mm"] }
felt = { amount = "0.5 m", place = "50 x 0 x 0 mm" }
firmware = 1
cover = { place = "0 x 0 x 300 mm", optional = true }
[part.leg]
origin = "assembled"
contains = { foot = { count = 3, place = "10 x 0 x 0 mm" } }
[part.foot]
origin = "bought"
mass = "10 g"
centre-of-mass = "0 x 0 x 5 mm"
[part.felt]
origin = "bought"
mass = "80 g/m"
centre-of-mass = "0 x 0 x 0 mm"
[part.firmware]
origin = "firmware"
[part.cover]
origin = "bought"
mass = "100 g"
centre-of-mass = "0 x 0 x 0 mm"
"#;

/// Two times 30 g at 10 mm and 110 mm, 5 mm up; 40 g at 50 mm: by the definition of the centre.
#[test]
fn centres_go_up_through_assemblies() {
    let (centre, u) = centre_mm(LEVELS).expect("a centre");
    near(centre[0], (30.0 * 10.0 + 30.0 * 110.0 + 40.0 * 50.0) / 100.0, 1e-9);
    near(centre[2], 60.0 * 5.0 / 100.0, 1e-9);
    assert_eq!(u, 0.0);
    let design = design(LEVELS);
    let along_z = computed(&design, "scanner", 2).expect("a centre");
    let with = &along_z.ends[1];
    assert!(with.with_options);
    near(with.value.value, (0.06 * 0.005 + 0.1 * 0.3) / 0.2, 1e-9);
    let By::Moments(moments) = &along_z.ends[0].by else { panic!("{along_z:?}") };
    let told: Vec<_> = moments.iter().map(|at| (design.id(at.part).as_str(), at.pieces)).collect();
    assert_eq!(told, [("felt", 0.5), ("foot", 6.0)]);
}

#[test]
fn what_is_lacking_is_named_and_nothing_is_assumed() {
    let without = |line: &str| {
        assert!(LEVELS.contains(line), "{line}");
        centre_mm(&LEVELS.replacen(line, "", 1)).expect_err("it lacks something")
    };
    assert_eq!(without(", place = \"50 x 0 x 0 mm\""), "felt has no place in scanner");
    assert_eq!(without("mass = \"10 g\"\n"), "foot has no mass");
    let foot = without("centre-of-mass = \"0 x 0 x 5 mm\"\n");
    assert_eq!(foot, "foot states no centre of mass");
    let nothing = "[part.scanner]\norigin = \"firmware\"\n";
    assert_eq!(centre_mm(nothing), Err("nothing in it has a mass".into()));
}

/// A ring of assemblies, each of which holds the next one twice: 2 to the 40 bearings.
#[test]
fn forty_levels_of_shared_assemblies_cost_their_links_alone() {
    let mut text = String::from(
        "[part.scanner]\norigin = \"assembled\"\ncontains.s0.place = \"0 x 0 x 0 mm\"\n",
    );
    for level in 0..40 {
        let _ = writeln!(
            text,
            "[part.s{level}]\norigin = \"assembled\"\n[part.s{level}.contains.s{}]\ncount = 2\n\
             places = [\"0 x 0 x 0 mm\", \"2 x 0 x 0 mm\"]",
            level + 1
        );
    }
    text += "[part.s40]\norigin = \"bought\"\nmass = \"1 g\"\ncentre-of-mass = \"0 x 0 x 0 mm\"\n";
    let (centre, _) = centre_mm(&text).expect("a centre");
    near(centre[0], 40.0, 1e-9);
}

/// What the design of `parts` comes to: mass in g, centre, place and turn about z of each.
fn text_of(parts: &[(f64, [f64; 3], [f64; 3], f64)]) -> String {
    let mm = |at: &[f64; 3]| format!("{:.6} x {:.6} x {:.6} mm", at[0], at[1], at[2]);
    let mut text = String::from("[part.scanner]\norigin = \"assembled\"\n");
    for (index, (mass, centre, place, turn)) in parts.iter().enumerate() {
        let _ = writeln!(
            text,
            "[part.p{index}]\norigin = \"bought\"\nmass = \"{mass:.6} g ± 10 %\"\n\
             centre-of-mass = \"{} ± 0.5 mm\"\n[part.scanner.contains.p{index}]\n\
             place = \"{} ± 0.2 mm, {turn:.6} ° about z\"",
            mm(centre),
            mm(place)
        );
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    /// Bodies that were turned and moved beforehand and are then taken as one by the mesh facts'
    /// own sum, and slopes by differences.
    #[test]
    fn the_centre_is_that_of_all_bodies_as_one(
        parts in proptest::collection::vec(
            (1.0..500.0_f64, proptest::array::uniform3(-50.0..50.0_f64),
             proptest::array::uniform3(-200.0..200.0_f64), -180.0..180.0_f64),
            1..5,
        ),
    ) {
        let design = design(&text_of(&parts));
        let moved = |(mass, centre, place, turn): &(f64, [f64; 3], [f64; 3], f64)| {
            let (sine, cosine) = turn.to_radians().sin_cos();
            let [x, y, z] = *centre;
            let turned = [cosine * x - sine * y, sine * x + cosine * y, z];
            let inertia = [[0.0; 3]; 3];
            Body { mass: *mass, centre: turned, inertia }.moved(*place)
        };
        let bodies: Vec<Body> = parts.iter().map(moved).collect();
        let expected = combine(&bodies).expect("they have mass").centre;
        let none = StandIns::default();
        let context = Context::of(&design, &none);
        for (axis, expected) in expected.into_iter().enumerate() {
            let found = along(&context, design.top, axis, false).expect("a centre");
            prop_assert!((found.value.value * 1e3 - expected).abs() < 1e-4);
            let bodies = Bodies::of(&context, design.top, false).expect("bodies");
            for (index, input) in bodies.inputs.iter().enumerate() {
                let mut values = bodies.values();
                let step = 1e-6;
                values[index] += step;
                let there = bodies.gathered(&values).expect("a centre").centre()[axis];
                let slope = (there - found.value.value) / step;
                let exact = found.value.slopes[&input.source].by;
                prop_assert!((slope - exact).abs() < 1e-3 * exact.abs().max(1.0), "{input:?}");
            }
        }
    }
}
