//! The unit in which a figure of a part is shown.

use crate::design::{Design, PartIx};
use crate::quantity::{Kind, Unit};
use crate::record::{Id, Setting};

/// The unit of a promise about the figure, that of its quantity, the one in which the part's record
/// has it, or the one in which what a formula comes to is mostly written.
#[must_use]
pub fn unit_of_figure(design: &Design, part: PartIx, quantity: &Id) -> Unit {
    let known = || design.quantities.get(quantity).map(|known| known.unit.clone());
    let derived = || design.kind_of_formula(part, quantity).map(unit_of_kind);
    let unit = promised(design, part, quantity).or_else(known);
    unit.or_else(|| written(design, part, quantity)).or_else(derived).unwrap_or_else(Unit::none)
}

fn promised(design: &Design, part: PartIx, quantity: &Id) -> Option<Unit> {
    let id = design.id(part);
    let about = design.requirements.iter().filter(|held| {
        held.part.as_ref().is_some_and(|named| named.value == *id)
            && held.quantity.as_ref().is_some_and(|named| named.value == *quantity)
    });
    let limits = about.flat_map(|held| {
        [&held.limits.at_most, &held.limits.at_least, &held.limits.equals].into_iter().flatten()
    });
    limits.map(|limit| limit.unit.clone()).next()
}

fn written(design: &Design, part: PartIx, name: &Id) -> Option<Unit> {
    let record = design.record(part);
    let value = record.values.iter().find(|(known, _)| known.value == *name);
    let drawn = record.dimensions.iter().find(|(known, _)| known.value == *name);
    let set = record.settings.iter().find(|(known, _)| known.value == *name);
    let value = value.map(|(_, sourced)| &sourced.figure.measure.unit);
    let drawn = drawn.map(|(_, size)| &size.nominal.unit);
    let set = set.and_then(|(_, setting)| match &setting.value {
        Setting::Measure(measure) => Some(&measure.unit),
        Setting::Text(_) => None,
    });
    value.or(drawn).or(set).cloned()
}

/// Units that results are mostly written in (common practice), one of a kind.
const USUAL: [&str; 24] = [
    "mm", "mm²", "mm³", "mm⁴", "g", "s", "A", "K", "°C", "dB", "N", "N·m", "MPa", "W", "V", "Ω",
    "C", "1/s", "g/cm³", "K/W", "W/K", "m/s", "m/s²", "N/mm",
];

fn unit_of_kind(kind: Kind) -> Unit {
    let usual = USUAL.iter().filter_map(|symbol| Unit::parse(symbol).ok());
    let money = kind.dimension.currency.map(|(currency, _)| currency.code());
    let written = kind.dimension.to_string();
    let others = money.into_iter().chain([written.as_str()]);
    let others = others.filter_map(|symbol| Unit::parse(symbol).ok());
    usual.chain(others).find(|unit| unit.kind() == kind).unwrap_or_else(Unit::none)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::design;

    #[test]
    fn a_result_is_shown_in_a_unit_of_its_kind() {
        let design = design(
            r#"
            [part.scanner]
            origin = "printed"
            dimension = { width = "24 mm" }
            setting = { drive-current = "230 mA", colour = "grey" }
            value = { modulus = "2.1 GPa ± 8 %", pull = "1.8 N" }
            [part.scanner.formula]
            area = "width^2"
            torque = "pull * width / 2"
            stiffness = "pull / width"
            share = "width / (2 * width)"
            odd = "pull * width^5"
            "#,
        );
        let part = design.part("scanner").expect("a part");
        let unit = |name: &str| unit_of_figure(&design, part, &Id::new(name)).symbol().to_owned();
        let names = ["mass", "width", "drive-current", "modulus", "area", "torque", "stiffness"];
        assert_eq!(names.map(unit), ["g", "mm", "mA", "GPa", "mm²", "N·m", "N/mm"]);
        assert_eq!(["share", "colour", "nothing"].map(unit), ["", "", ""]);
        assert_eq!(unit("odd"), "m⁶·kg/s²", "what has no usual unit is in base units");
    }
}
