//! Random trials of every kind of figure, against first order where that is exact.

use proptest::prelude::*;

use super::super::monte_carlo::Trials;
use super::super::*;
use crate::fixture::design;

const TRIALS: usize = 2_000;

/// The figure of the only requirement: its trials, and its value and u to first order.
fn tried(text: &str, seed: u64) -> (Trials, f64, f64) {
    let design = design(text);
    let none = StandIns::default();
    let figures = figures(None, &design, &none);
    let requirement = &design.requirements[0];
    let draws = Draws { count: TRIALS, seed };
    let steady = figures.steady.as_ref();
    if let Some(aim) = Aim::of(&design, requirement) {
        let end = &figures.computed[&aim].as_ref().expect("a figure").ends[0];
        let trials = trials_of(&design, &none, steady, (&aim, end), draws).expect("trials");
        return (trials, end.value.value, end.value.u());
    }
    let subject = Subject::of(&design, requirement).expect("a subject");
    let budget = &figures.budgets[&subject];
    let trials = trials_of_budget(&design, &subject.quantity, budget, draws).expect("trials");
    (trials, budget.total.predicted, budget.total.u)
}

/// Within five standard errors of mean and standard deviation (those of a normal distribution).
fn agree((trials, value, u): &(Trials, f64, f64)) -> bool {
    let root = (TRIALS as f64).sqrt();
    let rounding = 1e-9 * value.abs();
    trials.undefined == 0
        && (trials.mean - value).abs() <= 5.0 * u / root + rounding
        && (trials.u - u).abs() <= 5.0 * u / root + rounding
}

const PRODUCT: &str = r#"
[ambient]
low = "5 °C"
high = "35 °C"
[part.scanner]
origin = "assembled"
contains = { lamp = 2, motor = 1 }
[rail.five-volt]
voltage = "5 V"
fed-by = "twelve-volt"
efficiency = "80 %"
made-in = "motor"
[rail.twelve-volt]
voltage = "12 V"
rating = "3 A"
[node.inside-air]
heat-path = [{ to = "ambient", resistance = "1.5 K/W" }]
"#;

/// Two kinds of parts with a mass, a heat and a current each; the requirement at the end.
fn product(values: [(f64, f64); 6], requirement: &str) -> String {
    let [mass, other_mass, heat, other_heat, current, other_current] =
        values.map(|(value, share)| (value, share * value));
    let part = |name: &str, mass: (f64, f64), heat: (f64, f64), current: (f64, f64)| {
        format!(
            "[part.{name}]\norigin = \"bought\"\n\
             mass = {{ value = \"{:.6} g\", plus-minus = \"{:.6} g\", distribution = \"uniform\" }}\n\
             heat = \"{:.6} W ± {:.6} W\"\n\
             heat-path = [{{ to = \"inside-air\", resistance = \"3 K/W\" }}]\n\
             draws = {{ five-volt = \"{:.6} A ± {:.6} A\" }}\n",
            mass.0, mass.1, heat.0, heat.1, current.0, current.1
        )
    };
    format!(
        "{PRODUCT}{}{}[requirement.it]\n{requirement}\n",
        part("lamp", mass, heat, current),
        part("motor", other_mass, other_heat, other_current),
    )
}

/// What is linear in its figures: a sum of masses, temperatures over exact resistances, currents.
const LINEAR: [&str; 4] = [
    "part = \"scanner\"\nquantity = \"mass\"\nat-most = \"1 kg\"",
    "part = \"lamp\"\nquantity = \"temperature\"\nat-most = \"80 °C\"",
    "part = \"motor\"\nquantity = \"temperature\"\nat-least = \"0 °C\"",
    "rail = \"twelve-volt\"",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]
    #[test]
    fn linear_figures_agree_with_first_order(
        values in proptest::array::uniform6((0.5..20.0_f64, 0.0..0.3_f64)),
        seed: u64,
    ) {
        for requirement in LINEAR {
            let found = tried(&product(values, requirement), seed);
            prop_assert!(agree(&found), "{requirement}: {found:?}");
        }
    }

    /// With exact masses the centre is linear in places and own centres.
    #[test]
    fn a_centre_of_mass_in_unsure_places_agrees_with_first_order(
        masses in proptest::array::uniform2(1.0..100.0_f64),
        places in proptest::array::uniform2((-100.0..100.0_f64, 0.0..5.0_f64)),
        seed: u64,
    ) {
        let part = |name: &str, mass: f64| format!(
            "[part.{name}]\norigin = \"bought\"\nmass = \"{mass:.6} g\"\n\
             centre-of-mass = \"1 x 2 x 3 mm ± 1 mm\"\n"
        );
        let place = |name: &str, (at, spread): (f64, f64)| {
            format!("{name}.place = \"{at:.6} x 0 x 0 mm ± {spread:.6} mm, 30 ° about z\"\n")
        };
        let text = format!(
            "[part.scanner]\norigin = \"assembled\"\n[part.scanner.contains]\n{}{}{}{}\
             [requirement.it]\npart = \"scanner\"\nquantity = \"centre-of-mass-x\"\n\
             at-most = \"1 m\"\n",
            place("lamp", places[0]), place("motor", places[1]),
            part("lamp", masses[0]), part("motor", masses[1]),
        );
        let found = tried(&text, seed);
        prop_assert!(agree(&found), "{found:?}");
    }
}

/// ΔT = Q·R of two independent figures: u² = (R·u_Q)² + (Q·u_R)² + (u_Q·u_R)², exactly (any textbook
/// of probability). First order lacks the last term, which the trials have.
#[test]
fn a_temperature_has_what_first_order_misses() {
    let text = "[ambient]\nhigh = \"20 °C\"\n[part.scanner]\norigin = \"bought\"\n\
        heat = \"4 W ± 4 W\"\n\
        heat-path = [{ to = \"ambient\", resistance = \"6 K/W ± 5 K/W\" }]\n\
        [requirement.it]\npart = \"scanner\"\nquantity = \"temperature\"\nat-most = \"80 °C\"\n";
    let (trials, value, u) = tried(text, 3);
    assert!((value - 317.15).abs() < 1e-9);
    assert!((u - f64::hypot(6.0 * 2.0, 4.0 * 2.5)).abs() < 1e-9);
    let exact = (12.0_f64.powi(2) + 10.0_f64.powi(2) + 5.0_f64.powi(2)).sqrt();
    assert!((trials.u - exact).abs() < 0.06 * exact, "{trials:?}");
    assert!(trials.undefined > 0, "resistances below zero have no temperature");
}

/// The louder of two equal sources is louder than either: for two standard normals the mean of the
/// larger is 1/√π (any textbook of order statistics).
#[test]
fn a_largest_value_is_larger_than_first_order_says() {
    let text = "[quantity.noise]\nunit = \"dB\"\nroll-up = \"max\"\n\
        [part.scanner]\norigin = \"assembled\"\ncontains = { lamp = 1, motor = 1 }\n\
        [part.lamp]\norigin = \"bought\"\nnoise = \"40 dB ± 2 dB\"\n\
        [part.motor]\norigin = \"bought\"\nnoise = \"40 dB ± 2 dB\"\n\
        [requirement.it]\npart = \"scanner\"\nquantity = \"noise\"\nat-most = \"50 dB\"\n";
    let (trials, value, _) = tried(text, 1);
    assert_eq!(value, 40.0);
    assert!((trials.mean - 40.0 - std::f64::consts::PI.sqrt().recip()).abs() < 0.1, "{trials:?}");
}

/// Two litres of one density, 1 kg ± 0.2 kg each: what a formula adds, and what the budget does, is 2 kg
/// with u = 0.2 kg, by trials too.
#[test]
fn what_is_of_one_density_errs_alike_in_trials_and_formulas() {
    let text = |about: &str| {
        format!(
            "[material.resin]\ndensity = \"1 kg/l ± 0.2 kg/l\"\n[part.scanner]\norigin = \"assembled\"\n\
             contains = {{ lid = \"1 l\", base = \"1 l\" }}\n\
             formula = {{ both = \"lid.mass * 1 l + base.mass * 1 l\" }}\n\
             [part.lid]\norigin = \"bought\"\nmaterial = \"resin\"\n\
             [part.base]\norigin = \"bought\"\nmaterial = \"resin\"\n\
             [requirement.it]\npart = \"scanner\"\n{about}\n"
        )
    };
    for about in
        ["quantity = \"mass\"\nat-most = \"3 kg\"", "quantity = \"both\"\nat-most = \"3 kg\""]
    {
        let found = tried(&text(about), 7);
        assert!((found.1 - 2.0).abs() < 1e-9 && (found.2 - 0.2).abs() < 1e-9, "{about}: {found:?}");
        assert!(agree(&found), "{about}: {found:?}");
    }
}
