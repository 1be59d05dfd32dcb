//! Computed figures of small designs.

use crate::design::Design;
use crate::evaluate::{Aim, By, Computed, Figures, StandIns, Uncomputed, figures};
use crate::fixture::design;

fn computed<'a>(figures: &'a Figures, aim: &Aim) -> &'a Result<Computed, Uncomputed> {
    figures.computed.get(aim).expect("it is asked for")
}

/// The values of the only requirement's figure at its ends.
fn values(text: &str) -> Result<Vec<f64>, String> {
    let (design, aim) = aimed(text);
    let figures = figures(None, &design, &StandIns::default());
    let found = computed(&figures, &aim).as_ref().map_err(|why| why.words(&design))?;
    Ok(found.ends.iter().map(|end| end.value.value).collect())
}

fn aimed(text: &str) -> (std::sync::Arc<Design>, Aim) {
    let design = design(text);
    let aim = Aim::of(&design, &design.requirements[0]).expect("something that is computed");
    (design, aim)
}

fn gate(records: &str, quantity: &str, limit: &str) -> String {
    format!(
        "[ambient]\nlow = \"5 °C\"\nhigh = \"35 °C\"\n[part.scanner]\norigin = \"printed\"\n{records}\n\
         [requirement.it]\npart = \"scanner\"\nquantity = \"{quantity}\"\n{limit}\n"
    )
}

#[test]
fn a_formula_a_dimension_and_a_setting_are_computed() {
    let formula = "formula = { gap = \"slot - 4 mm\" }\ndimension = { slot = \"5 mm +0.2/-0.0\" }";
    assert_eq!(values(&gate(formula, "gap", "at-least = \"1 mm\"")), Ok(vec![0.0011]));
    assert_eq!(values(&gate(formula, "slot", "at-least = \"1 mm\"")), Ok(vec![0.0051]));
    let set = "setting = { current = \"350 mA\" }";
    assert_eq!(values(&gate(set, "current", "at-most = \"1 A\"")), Ok(vec![0.35]));
}

#[test]
fn a_formula_without_a_value_says_why() {
    let formula = "formula = { gap = \"1 mm / (slot / 5 mm - 1)\" }\n\
        dimension = { slot = \"5 mm ± 0.1 mm\" }";
    assert_eq!(
        values(&gate(formula, "gap", "at-least = \"1 mm\"")),
        Err("gap of scanner is a division by zero, in `1 mm / (slot / 5 mm - 1)`".into())
    );
    let missing = "formula = { light = \"scanner.mass / 2\" }";
    assert_eq!(
        values(&gate(missing, "light", "at-most = \"1 kg\"")),
        Err("mass of scanner lacks a figure of scanner".into())
    );
}

/// ΔT = R·Q: 4 K/W and 2.5 W are 10 K.
#[test]
fn a_temperature_follows_from_heat_paths_at_both_ambients() {
    let heated = "heat = \"2.5 W\"\nheat-path = [{ to = \"ambient\", resistance = \"4 K/W\" }]";
    let limit = "at-most = \"50 °C\"";
    assert_eq!(values(&gate(heated, "temperature", limit)), Ok(vec![318.15, 288.15]));
    let double = format!("{heated}\nformula = {{ rise = \"temperature - 5 °C\" }}");
    assert_eq!(values(&gate(&double, "rise", "at-most = \"50 K\"")), Ok(vec![40.0, 10.0]));
    let floating = "heat = \"2.5 W\"\nheat-path = [{ to = \"air\", resistance = \"4 K/W\" }]\n\
        [node.air]";
    assert_eq!(
        values(&gate(floating, "temperature", limit)),
        Err("the heat paths of scanner give no temperature".into())
    );
}

#[test]
fn an_assembly_on_no_heat_path_is_as_warm_as_the_warmest_within() {
    let text = "[ambient]\nhigh = \"35 °C\"\n[part.scanner]\norigin = \"assembled\"\n\
        contains = { lamp = 1, lens = 1 }\n[part.lamp]\norigin = \"bought\"\nheat = \"5 W\"\n\
        heat-path = [{ to = \"ambient\", resistance = \"2 K/W\" }]\n[part.lens]\norigin = \"bought\"\n\
        temperature = \"40 °C\"\n[requirement.it]\npart = \"scanner\"\nquantity = \"temperature\"\n\
        at-most = \"50 °C\"\n";
    assert_eq!(values(text), Ok(vec![318.15]));
    assert_eq!(values(&text.replace("\"40 °C\"", "\"48 °C\"")), Ok(vec![321.15]));
}

#[test]
fn a_rail_has_its_loads_and_its_rating() {
    let text = "[part.scanner]\norigin = \"bought\"\n\
        draws = { five-volt = { mean = \"0.2 A\", peak = \"0.5 A\" } }\n\
        [rail.five-volt]\nvoltage = \"5 V\"\nrating = \"1 A\"\n\
        [requirement.it]\nrail = \"five-volt\"\n";
    assert_eq!(values(text), Ok(vec![0.5]));
    let (design, aim) = aimed(text);
    let figures = figures(None, &design, &StandIns::default());
    let found = computed(&figures, &aim).as_ref().expect("a figure");
    let By::Loads(loads) = &found.ends[0].by else { panic!("{found:?}") };
    assert_eq!(loads.1.as_ref().map(|rated| rated.reserve.value), Some(0.5));
}

#[test]
fn a_design_that_asks_for_none_has_none() {
    let design = design("[part.scanner]\norigin = \"bought\"\nmass = \"1 kg\"\n");
    let figures = figures(None, &design, &StandIns::default());
    assert!(figures.computed.is_empty() && figures.steady.is_none());
}
