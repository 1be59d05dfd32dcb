//! Formulas: values, slopes and budgets, against published examples and a second program.

use std::collections::BTreeMap;
use std::fmt::Write;

use proptest::prelude::*;
use serde::Deserialize;

use super::*;
use crate::design::Design;
use crate::fixture;
use crate::quantity::expression::parse;

/// The recipe of `text` with figures `name, value, u`.
fn of(text: &str, figures: &[(&str, f64, f64)]) -> Recipe {
    let input = |(name, value, u): &(&str, f64, f64)| {
        ((*name).into(), Input::measured(Source::Given(Id::from(*name)), *value, *u, 2.0))
    };
    Recipe::of(parse(text).expect("a formula"), figures.iter().map(input).collect())
}

/// The value of the formula `name` of the part `part` of the design in `text`.
fn formula_of(design: &Design, part: &str, name: &str) -> Result<Traced, Unresolved> {
    let part = design.part(part).expect("a part of the fixture");
    let recipe = recipe(design, &BTreeMap::new(), part, &name.into())?;
    Ok(propagated(&recipe).expect("a value"))
}

fn near(found: f64, expected: f64, relative: f64) {
    let off = (found - expected).abs();
    assert!(off <= relative * expected.abs(), "{found} is not {expected} within {relative}");
}

#[derive(Deserialize)]
struct Case {
    formula: String,
    inputs: Vec<(String, f64, f64)>,
    value: f64,
    u: f64,
    slopes: Vec<f64>,
}

/// Values, uncertainties and derivatives by the package `uncertainties` (PyPI, 3.2.3);
/// tests/fixtures/formulas.py draws the formulas.
#[test]
fn random_formulas_agree_with_another_library() {
    let cases: Vec<Case> =
        serde_json::from_str(include_str!("../../../tests/fixtures/formulas.json")).expect("cases");
    assert_eq!(cases.len(), 150);
    for case in cases {
        let figures: Vec<_> = case.inputs.iter().map(|(n, value, u)| (&**n, *value, *u)).collect();
        let traced = propagated(&of(&case.formula, &figures)).expect("a value");
        let alike =
            |found: f64, expected: f64| (found - expected).abs() <= 1e-9 * expected.abs().max(1.0);
        assert!(alike(traced.value, case.value), "{}: {}", case.formula, traced.value);
        assert!(alike(traced.u(), case.u), "{}: u = {}", case.formula, traced.u());
        for ((name, ..), slope) in case.inputs.iter().zip(case.slopes) {
            let found = traced.slopes[&Source::Given(Id::new(&**name))].by;
            assert!(alike(found, slope), "{} by {name}: {found}", case.formula);
        }
    }
}

/// JCGM 100:2008, H.2 (read in a restatement): five rows of voltage in V, current in mA and phase in
/// rad; their means are correlated, as each row is one experiment. R = 127.732 Ω, u 0.071;
/// X = 219.847 Ω, u 0.295; Z = 254.260 Ω, u 0.236.
///
/// (With all digits of the rows u(X) is 0.2956; the printed 0.295 went through rounded results.)
///
/// A row counts as one figure with a standard uncertainty of 1, which moves each mean by its own
/// deviation: the means have the covariances of H.2.4, and share the same figures.
#[test]
fn means_of_the_same_rows_are_correlated() {
    const ROWS: [[f64; 3]; 5] = [
        [5.007, 19.663, 1.0456],
        [4.994, 19.639, 1.0438],
        [5.005, 19.640, 1.0468],
        [4.990, 19.685, 1.0428],
        [4.999, 19.678, 1.0433],
    ];
    let rows = |row: usize| Source::Given(Id::new(format!("row-{row}")));
    let inputs: Vec<Input> = (0..5).map(|row| Input::measured(rows(row), 0.0, 1.0, 2.0)).collect();
    let mean = |column: usize, scale: f64| {
        let mean = ROWS.iter().map(|row| row[column]).sum::<f64>() / 5.0;
        let slope = |row: &[f64; 3]| (row[column] - mean) * scale / 20.0_f64.sqrt();
        let slopes = ROWS.iter().enumerate().map(|(at, row)| (slope(row), at)).collect();
        Step::Linear(mean * scale, slopes)
    };
    let check = |formula: &str, expected: f64, expected_u: f64| {
        let names = ["voltage", "current", "phase"];
        let names = names.iter().enumerate().map(|(at, name)| ((*name).into(), Operand::Step(at)));
        let expression = parse(formula).expect("a formula");
        let last = Step::Expression { formula: None, expression, names: names.collect() };
        let steps = vec![mean(0, 1.0), mean(1, 1e-3), mean(2, 1.0), last];
        let traced = propagated(&Recipe::from_steps(inputs.clone(), steps)).expect("a value");
        assert_eq!(format!("{:.3}", traced.value), format!("{expected:.3}"));
        assert!((traced.u() - expected_u).abs() < 0.0006, "{formula}: u = {}", traced.u());
    };
    check("voltage / current * cos(phase)", 127.732, 0.071);
    check("voltage / current * sin(phase)", 219.847, 0.295);
    check("voltage / current", 254.260, 0.236);
}

/// A table of beams (δ = F·L³/(3·E·I) of a cantilever loaded at its end): L 5000 mm,
/// I 8.196·10⁷ mm⁴, E 2·10⁵ N/mm², F 3000 N give 7.6 mm; 7.6257 mm by the same formula with more
/// digits. To first order the relative uncertainties count 1-, 3-, 1- and 1-fold.
#[test]
fn a_cantilever_bends_as_the_table_has_it() {
    let design = fixture::design(
        r#"
        [given]
        load = "3000 N ± 60 N"
        [part.scanner]
        origin = "assembled"
        contains = { arm = 1 }
        [part.arm]
        origin = "machined"
        [part.arm.value]
        length = "5000 mm ± 20 mm"
        modulus = "200 GPa ± 8 %"
        second-moment = "8.196e7 mm^4"
        [part.arm.formula]
        sag = "given.load * length^3 / (3 * modulus * second-moment)"
        "#,
    );
    let sag = formula_of(&design, "arm", "sag").expect("a recipe");
    near(sag.value, 7.6257e-3, 1e-5);
    let [load, length, modulus] = [0.01_f64, 3.0 * 0.002, 0.04];
    let relative_u = (load * load + length * length + modulus * modulus).sqrt();
    near(sag.u(), sag.value * relative_u, 1e-9);
    let arm = design.part("arm").expect("the arm");
    let budget: Vec<_> = sag.budget().into_iter().map(|line| line.source).collect();
    let of_arm = |name: &str| Source::Part { part: arm, name: name.into() };
    assert_eq!(budget, [of_arm("modulus"), Source::Given("load".into()), of_arm("length")]);
}

#[test]
fn temperatures_are_points_and_their_differences_are_kelvin() {
    let of_points = |text| propagated(&of(text, &[])).expect("a value").value;
    assert_eq!(of_points("60 °C - 45 °C"), 15.0);
    assert_eq!(of_points("10 °C + 10 K"), 293.15);
    assert_eq!(of_points("(60 °C - 45 °C) / 6 W"), 2.5);
}

#[test]
fn an_input_that_occurs_twice_is_one() {
    let u = |text| propagated(&of(text, &[("a", 5.0, 1.0), ("b", 5.0, 1.0)])).expect("a value").u();
    assert_eq!(u("a - a"), 0.0);
    assert_eq!(u("a + a"), 2.0);
    near(u("a + b"), 2.0_f64.sqrt(), 1e-15);
    let recipe = Recipe::of(
        parse("this + that").expect("a formula"),
        ["this", "that"]
            .map(|name| (name.into(), Input::measured(Source::Given("same".into()), 5.0, 1.0, 2.0)))
            .into(),
    );
    assert_eq!(recipe.inputs().len(), 1);
    assert_eq!(propagated(&recipe).expect("a value").u(), 2.0);
}

#[test]
fn what_has_no_value_says_why_and_where() {
    let why = |text: &str| {
        let found =
            propagated(&of(text, &[("zero", 0.0, 0.1), ("a", 2.0, 0.1), ("huge", 1e30, 0.0)]));
        let found = found.expect_err("no value");
        (found.why, text[found.span].to_owned())
    };
    assert_eq!(why("1 + a / zero"), (Why::DivisionByZero, "a / zero".into()));
    assert_eq!(why("zero^-1"), (Why::DivisionByZero, "zero^-1".into()));
    assert_eq!(why("2 * sqrt(1 - a)"), (Why::RootOfNegative, "sqrt(1 - a)".into()));
    assert_eq!(why("ln(zero)"), (Why::LogarithmOfNonPositive, "ln(zero)".into()));
    assert_eq!(why("(1 - a)^0.5"), (Why::PowerOfNegative, "(1 - a)^0.5".into()));
    assert_eq!(why("sqrt(zero)"), (Why::Steep, "sqrt(zero)".into()));
    assert_eq!(why("huge^12"), (Why::TooLarge, "huge^12".into()));
    assert_eq!(why("exp(1000 * a)"), (Why::TooLarge, "exp(1000 * a)".into()));
    assert_eq!(why("a + lost"), (Why::UnknownName, "lost".into()));
    assert_eq!(propagated(&of("sqrt(0)", &[])).expect("a root").value, 0.0);
}

const SCANNER: &str = r#"
    [given]
    gravity = "9.81 m/s^2"
    [part.scanner]
    origin = "assembled"
    contains = { head = 2, base = 1 }
    [part.scanner.formula]
    weight = "given.gravity * mass"
    weight-of-heads = "given.gravity * 2 * head.mass"
    weight-of-base = "weight - weight-of-heads"
    [part.head]
    origin = "assembled"
    contains = { lens = 1, screw = 4 }
    [part.lens]
    origin = "bought"
    mass = "50 g ± 2 g"
    [part.screw]
    origin = "bought"
    mass = "1 g ± 0.2 g"
    [part.base]
    origin = "bought"
    mass = "100 g ± 1 g"
"#;

#[test]
fn a_rolled_up_quantity_keeps_its_figures() {
    let design = fixture::design(SCANNER);
    let weight = formula_of(&design, "scanner", "weight").expect("a recipe");
    near(weight.value, 9.81 * 0.208, 1e-12);
    // 2 lenses of one figure, 8 screws of one figure, one base.
    let kg = [2.0 * 1e-3, 8.0 * 0.1e-3, 0.5e-3];
    near(weight.u(), 9.81 * kg.iter().map(|u| u * u).sum::<f64>().sqrt(), 1e-12);
}

/// All that is uncertain about the heads is in both and drops out.
#[test]
fn formulas_that_need_the_same_figures_are_correlated() {
    let design = fixture::design(SCANNER);
    let base = formula_of(&design, "scanner", "weight-of-base").expect("a recipe");
    near(base.value, 9.81 * 0.1, 1e-12);
    near(base.u(), 9.81 * 0.5e-3, 1e-12);
    let part = design.part("base").expect("the base");
    assert_eq!(base.budget()[0].source, Source::Part { part, name: "mass".into() });
    near(base.budget()[0].share, 1.0, 1e-12);
}

/// A gate's clearance over its film, drawn as 5.00 +0.05/−0 mm and 4.80 ± 0.05 mm.
#[test]
fn names_mean_what_the_records_say() {
    let design = fixture::design(
        r#"
        [given]
        creep = "0.01 mm ± 0.004 mm"
        [part.scanner]
        origin = "assembled"
        contains = { gate = 1, carrier = 1 }
        [part.gate]
        origin = "printed"
        dimension = { slot = "5.00 mm +0.05/-0.00" }
        setting = { shim = "0.10 mm", finish = "matt" }
        [part.gate.value]
        wear = { value = "0.02 mm", plus-minus = "0.006 mm", distribution = "uniform" }
        [part.gate.formula]
        clearance = "slot - carrier.thickness"
        closing = "clearance - shim - given.creep - wear"
        [part.carrier]
        origin = "printed"
        dimension = { thickness = "4.80 mm ± 0.05 mm" }
        "#,
    );
    let gate = design.part("gate").expect("the gate");
    let of = |name: &str| {
        let recipe = recipe(&design, &BTreeMap::new(), gate, &name.into()).expect("a recipe");
        super::super::chain::chain(&recipe).expect("a value")
    };
    let clearance = of("clearance");
    assert_eq!((clearance.worst.low, clearance.worst.high), (0.15e-3, 0.3e-3));
    assert_eq!(clearance.statistical.value, 0.225e-3);
    near(clearance.statistical.u(), f64::hypot(0.025e-3, 0.05e-3) / 3.0_f64.sqrt(), 1e-9);
    let closing = of("closing");
    near(closing.statistical.value, 0.095e-3, 1e-9);
    near(closing.worst.low, 0.15e-3 - 0.1e-3 - 0.014e-3 - 0.026e-3, 1e-9);
    let [uniform, normal] = [0.006e-3 / 3.0_f64.sqrt(), 0.002e-3];
    let u = f64::hypot(clearance.statistical.u(), f64::hypot(uniform, normal));
    near(closing.statistical.u(), u, 1e-9);
}

/// The ± that the manifest assumes of estimates is for figures of parts.
#[test]
fn a_constant_without_a_spread_is_exact() {
    let design = fixture::design(
        "[rule]\nunstated = { estimated = \"20 %\" }\n\
         [given]\ngravity = \"9.81 m/s²\"\npull = \"2 N ± 0.2 N\"\n\
         [part.scanner]\norigin = \"bought\"\nvalue = { load = \"1 kg\" }\n\
         formula = { weight = \"load * given.gravity\", twice = \"2 * given.pull\" }\n",
    );
    let of = |name| formula_of(&design, "scanner", name).expect("a value");
    let gravity = &of("weight").slopes[&Source::Given(Id::from("gravity"))];
    assert_eq!((gravity.figure, gravity.u), (9.81, 0.0));
    near(of("weight").u(), 0.981, 1e-12);
    near(of("twice").u(), 0.2, 1e-12);
}

/// Half-widths of 0.3 mm over √3, over the rule's 2 and over the dimension's own 3.
#[test]
fn a_dimension_is_kept_as_its_record_says_else_as_the_rule_says() {
    let u_mm = |rule: &str, size: &str| {
        let design = fixture::design(&format!(
            "{rule}\n[part.scanner]\norigin = \"printed\"\nformula = {{ gap = \"slot - 4 mm\" }}\n\
             dimension = {{ slot = {size} }}\n"
        ));
        formula_of(&design, "scanner", "gap").expect("a value").u() * 1e3
    };
    let plain = "\"5.0 mm +0.4/-0.2\"";
    let own = "{ value = \"5.0 mm +0.4/-0.2\", sigmas = 3 }";
    near(u_mm("", plain), 0.3 / 3.0_f64.sqrt(), 1e-9);
    near(u_mm("[rule]\nsigmas = 2", plain), 0.15, 1e-9);
    near(u_mm("[rule]\nsigmas = 2", own), 0.1, 1e-9);
}

#[test]
fn a_quantity_that_is_not_known_is_named_with_its_parts() {
    let text = SCANNER.replace("mass = \"100 g ± 1 g\"", "");
    let design = fixture::design(&text);
    let [scanner, base] = ["scanner", "base"].map(|id| design.part(id).expect("a part"));
    assert_eq!(
        formula_of(&design, "scanner", "weight"),
        Err(Unresolved::Missing {
            part: scanner,
            quantity: "mass".into(),
            parts: vec![(base, Missing::Figure)],
        })
    );
}

#[test]
fn a_temperature_brings_its_figures_along() {
    let text = "[part.scanner]\norigin = \"bought\"\n[part.scanner.formula]\n\
        warmth = \"temperature - 20 °C\"\ntwice = \"warmth + (temperature - 20 °C)\"\n";
    let design = fixture::design(text);
    let heat = Traced::figure(Source::Given("heat".into()), 5.0, 0.5).scaled(4.0);
    let temperature = heat.plus(&Traced::exact(293.15));
    let temperatures = BTreeMap::from([(design.top, temperature)]);
    let recipe = recipe(&design, &temperatures, design.top, &"twice".into()).expect("a recipe");
    let twice = propagated(&recipe).expect("a value");
    near(twice.value, 40.0, 1e-11);
    near(twice.u(), 4.0, 1e-12);
}

/// The program's own stack would not hold as many calls within one another. A part states at most a
/// thousand formulas.
#[test]
fn a_chain_of_five_thousand_formulas_is_followed() {
    let mut text = String::from("[part.scanner]\norigin = \"bought\"\n");
    text.push_str("[part.p0]\norigin = \"bought\"\nvalue = { start = \"1 mm ± 0.1 mm\" }\n");
    let mut before = "p0.start".to_owned();
    for part in 1..=5 {
        let _ = writeln!(text, "[part.p{part}]\norigin = \"bought\"\n[part.p{part}.formula]");
        for index in 0..1_000 {
            let _ = writeln!(text, "f{index:03} = \"{before} + 0 mm\"");
            before = format!("p{part}.f{index:03}");
        }
    }
    let design = fixture::design(&text);
    let last = formula_of(&design, "p5", "f999").expect("a recipe");
    near(last.u(), 0.05e-3, 1e-12);
}

/// An input anywhere that a figure can lie.
fn any_figure() -> impl Strategy<Value = f64> {
    prop_oneof![-1e3..1e3_f64, Just(0.0), -1e30..1e30_f64, Just(1e-30)]
}

proptest! {
    #[test]
    fn the_shares_of_a_budget_add_to_one(
        figures in proptest::array::uniform3((0.1..10.0_f64, 0.01..1.0_f64)),
    ) {
        let [a, b, c] = figures;
        let figures = [("a", a.0, a.1), ("b", b.0, b.1), ("c", c.0, c.1)];
        let traced = propagated(&of("a * b^2 / (a + sqrt(c)) - ln(b)", &figures)).expect("a value");
        let budget = traced.budget();
        prop_assert!((budget.iter().map(|line| line.share).sum::<f64>() - 1.0).abs() < 1e-12);
        prop_assert!(budget.is_sorted_by(|a, b| a.share >= b.share));
        let variance: f64 = budget.iter().map(|line| (line.sensitivity * line.u).powi(2)).sum();
        prop_assert!((variance.sqrt() / traced.u() - 1.0).abs() < 1e-12);
    }

    /// Of a formula of degree 2 in its figures: k-fold figures give the k²-fold value and u.
    #[test]
    fn scaled_figures_scale_value_and_uncertainty(
        a in 0.1..10.0_f64, b in 0.1..10.0_f64, u in 0.01..1.0_f64, k in 0.1..10.0_f64,
    ) {
        let at = |k: f64| {
            let figures = [("a", k * a, k * u), ("b", k * b, k * u)];
            propagated(&of("sqrt(a^3 * b) + max(a, b) * abs(a - 2 * b)", &figures)).expect("a value")
        };
        let (one, scaled) = (at(1.0), at(k));
        prop_assert!((scaled.value / (k * k * one.value) - 1.0).abs() < 1e-9);
        prop_assert!((scaled.u() / (k * k * one.u()) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_panics_wherever_figures_lie(
        formula in "(a|b|2|0|sqrt\\(a\\)|ln\\(b\\)|tan\\(a\\)|exp\\(b\\))( [-+*/^] (a|b|3|0\\.5|abs\\(a\\)|min\\(a, b\\))){1,6}",
        a in any_figure(), b in any_figure(), u in any_figure(),
    ) {
        let recipe = of(&formula, &[("a", a, u.abs()), ("b", b, u.abs())]);
        if let Ok(traced) = propagated(&recipe) {
            prop_assert!(traced.value.is_finite() && traced.u().is_finite());
        }
        let _ = super::super::chain::worst(&recipe);
        let _ = super::super::monte_carlo::trials(&recipe, 10, 1);
    }
}
