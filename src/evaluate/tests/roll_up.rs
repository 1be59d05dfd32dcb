//! Figures of parts, brought together in what holds them.

use super::{Missing, budget, budget_of, missing};
use crate::fixture;

fn near(found: f64, expected: f64, relative: f64) {
    let off = (found - expected).abs();
    assert!(off <= relative * expected.abs(), "{found} is not {expected} within {relative}");
}

/// SAWE paper 3360, table of the combined mass properties (read in a restatement, whose printed
/// results are good to 0.2 %): 57.83 (σ 1.2416) and 16.80 (σ 1.7308) are 74.63 (σ 2.13008).
#[test]
fn masses_add_and_their_uncertainties_add_as_squares() {
    let text = r#"
        [part.scanner]
        origin = "assembled"
        contains = { body = 1, tail = 1 }
        [part.body]
        origin = "bought"
        mass = "57.83 kg ± 2.4832 kg"
        [part.tail]
        origin = "bought"
        mass = "16.80 kg ± 3.4616 kg"
    "#;
    let mass = budget(text, "mass");
    assert_eq!(mass.total.basic, 74.63);
    near(mass.total.u, 2.13008, 0.002);
}

/// A maker's table of ISO 4762 screws, kg per 1000 pieces, rounded to 0.1: M3×8 0.8, M3×12 1.0,
/// M4×10 1.8. Half a digit of the table is the half-width of a uniform distribution.
#[test]
fn pieces_share_one_figure_and_its_uncertainty() {
    let text = r#"
        [part.scanner]
        origin = "assembled"
        contains = { screw-m3x8 = 14, screw-m3x12 = 4, screw-m4x10 = 2 }
        [part.screw-m3x8]
        origin = "bought"
        mass = { value = "0.8 g", plus-minus = "0.05 g", distribution = "uniform", basis = "stated" }
        [part.screw-m3x12]
        origin = "bought"
        mass = "1.0 g stated"
        [part.screw-m4x10]
        origin = "bought"
        mass = "1.8 g stated"
    "#;
    let mass = budget(text, "mass");
    assert_eq!(mass.total.basic, 0.0188, "11.2 g + 4 g + 3.6 g");
    near(mass.total.u, 14.0 * 0.000_05 / 3.0_f64.sqrt(), 1e-12);
    assert_eq!(mass.without_uncertainty, 2);
}

/// Growth allowances in the style of ESA (read in a restatement): off the shelf 5 %, modified 10 %,
/// new 20 % of the basic value; predicted = basic + allowance.
#[test]
fn predicted_is_basic_with_the_allowance_of_each_basis() {
    let text = r#"
        [allowance]
        mass = { estimated = "20 %", calculated = "10 %", stated = "5 %" }
        [part.scanner]
        origin = "assembled"
        contains = { lamp = 1, bracket = 1, shell = 2, scale = 1 }
        [part.lamp]
        origin = "bought"
        mass = "100 g stated"
        [part.bracket]
        origin = "modified"
        mass = "50 g calculated"
        [part.shell]
        origin = "printed"
        mass = "200 g"
        [part.scale]
        origin = "bought"
        mass = "10 g measured"
    "#;
    let mass = budget(text, "mass");
    assert_eq!((mass.total.basic, mass.total.predicted), (0.56, 0.65));
}

/// Three floats of a tenth are more than the float of three tenths.
#[test]
fn a_sum_of_decimals_is_the_float_nearest_to_it() {
    let text = r#"
        [part.scanner]
        origin = "assembled"
        contains = { a = 1, b = 1, c = 1 }
        [part]
        a = { origin = "bought", mass = "0.1 kg" }
        b = { origin = "bought", mass = "0.1 kg" }
        c = { origin = "bought", mass = "0.1 kg" }
    "#;
    assert_eq!(budget(text, "mass").total.basic, 0.3);
    assert_ne!(0.1 + 0.1 + 0.1, 0.3);
}

#[test]
fn a_measurement_beside_files_has_the_allowance_of_a_calculation() {
    let allowance = "[allowance]\nmass = { calculated = \"10 %\" }\n";
    let loose = "[part.scanner]\norigin = \"printed\"\nmass = \"1 kg measured\"\n";
    let with_file = format!("{loose}exports = [\"scanner.stl\"]\n");
    let design = |part: &str| {
        let manifest = crate::fixture::MANIFEST;
        format!("\n== tagworthy.toml\n{manifest}{allowance}\n== p.toml\n{part}\n== scanner.stl\n")
    };
    assert_eq!(budget(&design(loose), "mass").total.predicted, 1.0);
    assert_eq!(budget(&design(&with_file), "mass").total.predicted, 1.1);
}

#[test]
fn what_an_uncertainty_is_where_none_is_written_the_manifest_says() {
    let text = r#"
        [rule]
        coverage-factor = 2
        unstated = { estimated = "20 %" }
        [part.scanner]
        origin = "assembled"
        contains = { shell = 1, lamp = 1 }
        [part.shell]
        origin = "printed"
        mass = "100 g"
        [part.lamp]
        origin = "bought"
        mass = "50 g stated"
    "#;
    let mass = budget(text, "mass");
    near(mass.total.u, 0.01, 1e-12);
    assert_eq!(mass.without_uncertainty, 1);
}

#[test]
fn a_part_without_a_figure_leaves_a_lower_bound() {
    let text = r#"
        [part.scanner]
        origin = "assembled"
        contains = { shell = 1, lamp = 2, code = 1 }
        [part.shell]
        origin = "printed"
        mass = "100 g"
        [part.lamp]
        origin = "bought"
        [part.code]
        origin = "firmware"
    "#;
    assert_eq!(budget(text, "mass").total.basic, 0.1);
    assert_eq!(missing(text, "mass"), [("lamp".to_owned(), Missing::Figure)]);
}

/// JCGM 100:2008, 5.2.2, example (from memory): ten resistors of 1000 Ω are calibrated against one standard
/// that is known to u = 100 mΩ. In series they are 10 kΩ with u = 1 Ω, as all of them err alike, and not
/// 0.32 Ω. Here ten litres of 1 kg are of one density, known to u = 0.1 g a litre.
#[test]
fn what_is_of_one_density_errs_alike() {
    let each = |line: fn(usize) -> String| (0..10).map(line).collect::<String>();
    let text = format!(
        "[requirement.it]\npart = \"scanner\"\nquantity = \"mass\"\nat-most = \"11 kg\"\n\
         [material.resin]\ndensity = \"1 kg/l ± 0.0002 kg/l\"\n[part.scanner]\n\
         origin = \"assembled\"\n[part.scanner.contains]\n{}{}",
        each(|n| format!("cast-{n} = \"1 l\"\n")),
        each(|n| format!("[part.cast-{n}]\norigin = \"bought\"\nmaterial = \"resin\"\n")),
    );
    let mass = budget(&text, "mass");
    near(mass.total.basic, 10.0, 1e-12);
    near(mass.total.u, 1e-3, 1e-9);
}

/// A cube of 20 mm has 8 cm³: of 1 g/cm³ ± 10 % two of them weigh 16 g ± 1.6 g, whether they are one part
/// or two.
#[test]
fn two_printed_parts_of_one_material_are_as_uncertain_as_two_of_one_part() {
    let cubes = |contains: &str| {
        let cube = |name: &str| {
            format!(
                "[part.{name}]\norigin = \"printed\"\nmaterial = \"wax\"\n\
                 mesh = {{ file = \"/cube.stl\", unit = \"mm\" }}\n"
            )
        };
        format!(
            "[part.scanner]\norigin = \"assembled\"\ncontains = {{ {contains} }}\n{}{}\
             [material.wax]\ndensity = \"1 g/cm³ ± 10 %\"\n\
             offer = [{{ supplier = \"shop\", pack = \"1 kg\", price = \"20 EUR\" }}]\n[supplier.shop]\n\
             [requirement.cost]\npart = \"scanner\"\nquantity = \"cost\"\nat-most = \"9 EUR\"\n\
             \n== cube.stl\n{}",
            cube("lid"),
            cube("base"),
            fixture::cuboid_stl([20.0; 3])
        )
    };
    for quantity in ["mass", "cost"] {
        let [one, two] = ["lid = 2", "lid = 1, base = 1"].map(|held| {
            let total = budget(&cubes(held), quantity).total;
            (total.basic, total.u)
        });
        near(two.1, one.1, 1e-12);
        near(two.1, 0.05 * two.0, 1e-9);
        assert_eq!(one.0, two.0);
    }
}

#[test]
fn what_comes_by_length_mass_or_volume_is_weighed_by_it() {
    let text = r#"
        [material.glue]
        density = "1.1 g/cm³"
        [part.scanner]
        origin = "assembled"
        contains = { felt = "0.35 m", grease = "2 g", glue = "3 cm³" }
        [part.felt]
        origin = "bought"
        mass = "12 g/m"
        [part.grease]
        origin = "bought"
        [part.glue]
        origin = "bought"
        material = "glue"
    "#;
    let mass = budget(text, "mass");
    assert_eq!(mass.total.basic, 0.0095, "4.2 g + 2 g + 3.3 g");
    assert!(mass.missing.is_empty());
}

#[test]
fn optional_parts_are_outside_the_total_and_shown_apart() {
    let text = r#"
        [part.scanner]
        origin = "assembled"
        [part.scanner.contains]
        screw = 4
        cover = { count = 1, optional = true }
        [part.cover]
        origin = "assembled"
        contains = { screw = 2, lid = 1, badge = 1 }
        [part.screw]
        origin = "bought"
        mass = "1 g ± 0.2 g"
        [part.lid]
        origin = "printed"
        mass = "30 g"
        [part.badge]
        origin = "printed"
    "#;
    let mass = budget(text, "mass");
    assert_eq!(mass.total.basic, 0.004);
    let with = mass.with_options.expect("a total with options");
    assert_eq!(with.basic, 0.036);
    near(with.u, 6.0 * 0.0001, 1e-12);
    let added: Vec<f64> = mass.optional.iter().map(|optional| optional.total.basic).collect();
    assert_eq!(added.len(), 2, "lid, and two screws");
    near(added[0], 0.03, 1e-12);
    near(added[1], 0.002, 1e-12);
    assert!(mass.missing.is_empty());
    assert_eq!(mass.missing_options.len(), 1, "the badge");
}

#[test]
fn an_assemblys_own_figure_is_compared_with_its_roll_up() {
    let disagrees = |own: &str, part: &str| {
        let text = format!(
            "[part]\nscanner = {{ origin = \"assembled\", contains.body = 2, mass = \"{own}\" }}\n\
             body = {{ origin = \"bought\", mass = \"{part}\" }}"
        );
        let mass = budget(&text, "mass");
        assert_eq!(mass.total.basic, 0.2, "the roll-up counts");
        mass.own.expect("an own figure").disagrees
    };
    assert!(!disagrees("200 g", "100 g"));
    assert!(disagrees("201 g", "100 g"));
    assert!(!disagrees("201 g ± 0.5 g", "100 g ± 0.3 g"), "0.5 g + 2 · 0.3 g");
    assert!(disagrees("202 g ± 0.5 g", "100 g ± 0.3 g"));
}

#[test]
fn an_incomplete_roll_up_contradicts_only_what_is_below_it() {
    let disagrees = |own: &str| {
        let text = format!(
            "[part]\nscanner = {{ origin = \"assembled\", contains = {{ a = 1, b = 1 }}, mass = \"{own}\" }}\n\
             a = {{ origin = \"bought\", mass = \"100 g\" }}\n\
             b = {{ origin = \"bought\" }}"
        );
        budget(&text, "mass").own.expect("an own figure").disagrees
    };
    assert!(!disagrees("140 g"));
    assert!(disagrees("90 g"));
}

#[test]
fn quantities_of_the_designers_own_roll_up_as_they_say() {
    let text = r#"
        [quantity]
        noise = { unit = "dB", roll-up = "max" }
        reach = { unit = "mm", roll-up = "min" }
        jitter = { unit = "um", roll-up = "root-sum-square" }
        rank = { unit = "mm", roll-up = "none" }
        [part.scanner]
        origin = "assembled"
        contains = { fan = 2, motor = 1 }
        rank = "3 mm"
        [part.fan]
        origin = "bought"
        noise = "31 dB ± 2 dB"
        reach = "90 mm"
        jitter = "3 um ± 0.2 um"
        rank = "1 mm"
        [part.motor]
        origin = "bought"
        noise = "38 dB ± 4 dB"
        reach = "70 mm"
        jitter = "4 um"
    "#;
    assert_eq!((budget(text, "noise").total.basic, budget(text, "noise").total.u), (38.0, 2.0));
    assert_eq!(budget(text, "reach").total.basic, 0.07);
    let jitter = budget(text, "jitter").total;
    near(jitter.basic, 34.0_f64.sqrt() * 1e-6, 1e-12);
    near(jitter.u, 2.0 * 3.0 * 0.1 / 34.0_f64.sqrt() * 1e-6, 1e-12);
    let rank = budget(text, "rank");
    assert_eq!((rank.total.basic, rank.contributions().count()), (0.003, 1));
}

#[test]
fn of_two_equal_extremes_the_less_certain_one_governs() {
    let text = r#"
        [quantity.noise]
        unit = "dB"
        roll-up = "max"
        [part.scanner]
        origin = "assembled"
        contains = { fan = 1, motor = 1 }
        [part.fan]
        origin = "bought"
        noise = "38 dB ± 1 dB"
        [part.motor]
        origin = "bought"
        noise = "38 dB ± 4 dB"
    "#;
    assert_eq!(budget(text, "noise").total.u, 2.0);
}

#[test]
fn power_follows_from_what_a_part_draws() {
    let text = r#"
        [rail.five-volt]
        voltage = "5 V"
        [rail.twelve-volt]
        voltage = "12 V"
        [part.scanner]
        origin = "assembled"
        contains = { led-panel = 2, fan = 1 }
        [part.led-panel]
        origin = "bought"
        draws = { five-volt = { mean = "1.2 A ± 0.1 A" }, twelve-volt = { mean = "0.1 A" } }
        [part.fan]
        origin = "bought"
        power = "0.6 W stated"
    "#;
    let power = budget(text, "power").total;
    assert_eq!(power.basic, 15.0, "2 · (6 W + 1.2 W) + 0.6 W");
    near(power.u, 2.0 * 5.0 * 0.05, 1e-12);
}

#[test]
fn work_at_an_assembly_comes_on_top_of_what_it_contains() {
    let text = r#"
        [part.scanner]
        origin = "assembled"
        contains = { gate-unit = 2, shell = 1 }
        [part.gate-unit]
        origin = "assembled"
        contains = { gate = 1 }
        assembly-time = "5 min"
        [part.gate]
        origin = "printed"
        assembly-time = "1 min"
        [part.shell]
        origin = "printed"
    "#;
    assert_eq!(budget(text, "assembly-time").total.basic, 720.0, "2 · (5 + 1) min");
    let steps = r#"
        [step.hang-the-gate]
        makes = { gate-unit = 1 }
        times = 2
        time = "4 min"
        [step.close-the-shell]
        time = "3 min"
        [step.fit-the-cover]
        time = "1 h"
        variant = "travel"
        [variant.travel]
    "#;
    let text = format!("{text}{steps}");
    let work = budget(&text, "assembly-time");
    assert_eq!(work.total.basic, 780.0, "2 · 4 min + 2 · 1 min + 3 min");
    let own = budget_of(&text, "gate-unit", "assembly-time").own.expect("an own figure");
    assert!(own.disagrees, "5 min said, 4 min by its step");
}

#[test]
fn a_count_beyond_all_digits_is_named_and_left_out() {
    let mut text = String::from("[part]\nscanner = { origin = \"assembled\", contains.s0 = 1 }\n");
    for level in 0..40 {
        let next = level + 1;
        text += &format!("s{level} = {{ origin = \"assembled\", contains.s{next} = 1000 }}\n");
    }
    text += "s40 = { origin = \"bought\", mass = \"1 g\" }";
    assert_eq!(missing(&text, "mass"), [("s40".to_owned(), Missing::Overflow)]);
}
