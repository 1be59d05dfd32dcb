//! Formulas that bear the name of a quantity.

use super::super::{Extreme, Missing, StandIns, figures};
use crate::fixture::design;

/// ρ·l·π·d²/4 of a steel rod (7.85 g/cm³, *common practice*): 100 mm of 5 mm weigh 15.41 g; two of them
/// and 10 g of a stated mass are the whole.
#[test]
fn a_formula_with_the_name_of_a_quantity_is_a_figure() {
    let text = "[given]\nsteel = \"7.85 g/cm³ ± 1 %\"\n\
        [part.scanner]\norigin = \"assembled\"\ncontains = { rod = 2, lid = 1 }\n\
        [part.lid]\norigin = \"bought\"\nmass = \"10 g\"\n\
        [part.rod]\norigin = \"bought\"\n\
        dimension = { length = \"100 mm\", diameter = \"5 mm\" }\n\
        formula = { mass = \"given.steel * length * pi * diameter^2 / 4\" }\n";
    let design = design(text);
    let figures = figures(None, &design, &StandIns::default());
    let mass = figures.budgets.values().next().expect("the mass is in use");
    let rod = 7.85e3 * 0.1 * std::f64::consts::PI * 0.005_f64.powi(2) / 4.0;
    assert!((rod - 0.015_41).abs() < 5e-6);
    assert!((mass.total.basic - 2.0 * rod - 0.010).abs() < 1e-12);
    assert!((mass.total.u - 0.005 * 2.0 * rod).abs() < 1e-12, "± 1 % are two of them");
    assert_eq!(mass.missing, []);
}

/// A strut weighs a tenth of the arm that it carries, a clip a hundredth of the strut and the arm.
#[test]
fn formulas_that_need_roll_ups_of_formulas_come_after_them() {
    let text = "[part.scanner]\norigin = \"assembled\"\ncontains = { inner = 1, clip = 1 }\n\
        [part.inner]\norigin = \"assembled\"\ncontains = { arm = 1, strut = 1 }\n\
        [part.arm]\norigin = \"bought\"\nmass = \"100 g\"\n\
        [part.strut]\norigin = \"bought\"\nformula.mass = \"arm.mass / 10\"\n\
        [part.clip]\norigin = \"bought\"\nformula.mass = \"inner.mass / 100\"\n";
    let of = |text: &str| {
        let design = design(text);
        let figures = figures(None, &design, &StandIns::default());
        figures.budgets.values().next().expect("the mass is in use").clone()
    };
    assert!((of(text).total.basic - 0.1111).abs() < 1e-12);
    let circle = text.replace("arm.mass / 10", "inner.mass / 10");
    let missing: Vec<_> = of(&circle).missing.into_iter().map(|(_, why)| why).collect();
    assert_eq!(missing, [Missing::Formula, Missing::Formula], "the strut needs itself");
}

/// I²·R of a winding: 2 A through 1.5 Ω are 6 W, which over 5 K/W lift it by 30 K.
#[test]
fn a_formula_for_heat_warms_its_part() {
    let text = "[ambient]\nhigh = \"35 °C\"\n[part.scanner]\norigin = \"bought\"\n\
        setting.current = \"2 A\"\nvalue.winding = \"1.5 Ω ± 2 %\"\n\
        formula.heat = \"current^2 * winding\"\n\
        heat-path = [{ to = \"ambient\", resistance = \"5 K/W\" }]\n";
    let design = design(text);
    let figures = figures(None, &design, &StandIns::default());
    let steady = figures.steady.expect("it is warm");
    let temperature = steady.temperature(design.top, Extreme::Hot).expect("a temperature");
    assert!((temperature.value - 338.15).abs() < 1e-9);
    assert!((temperature.u() - 0.3).abs() < 1e-9, "± 2 % of 30 K are two of them");
}
