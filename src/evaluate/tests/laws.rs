//! What must not change a budget, and what holds for all of them.

use std::fmt::Write;

use proptest::prelude::*;

use crate::design::Design;
use crate::evaluate::{Budget, StandIns, figures};
use crate::fixture::{self, MANIFEST};

const HEAD: &str = "\n[allowance]\nmass = { estimated = \"20 %\", calculated = \"10 %\" }\n\
    [supplier.shop]\n";
const SCANNER: &str = "[part.scanner]\norigin = \"assembled\"\n\
    contains = { gate-unit = 2, screw = 5, felt = \"0.35 m\" }\n";
const GATE_UNIT: &str = "[part.gate-unit]\norigin = \"assembled\"\n\
    contains = { gate = 1, screw = 4 }\n";
const GATE: &str = "[part.gate]\norigin = \"printed\"\nmass = \"31 g ± 0.5 g\"\n\
    cost = \"2.10 EUR\"\n";
const SCREW: &str = "[part.screw]\norigin = \"bought\"\nmass = \"0.8 g calculated\"\n\
    [[part.screw.offer]]\nsupplier = \"shop\"\npack = 50\nprice = \"3.90 EUR\"\n";
const FELT: &str = "[part.felt]\norigin = \"bought\"\nmass = \"12 g/m\"\ncost = \"1.50 EUR/m\"\n";

const PARTS: [&str; 5] = [SCANNER, GATE_UNIT, GATE, SCREW, FELT];

/// The design with its parts in the given files.
fn laid_out(files: &[(&str, &[&str])]) -> String {
    let mut text = format!("\n== tagworthy.toml\n{MANIFEST}{HEAD}");
    for (path, parts) in files {
        let _ = write!(text, "\n== {path}\n{}", parts.concat());
    }
    text
}

/// Every budget by part and quantity, without what depends on names.
fn budgets(text: &str) -> Vec<(String, String, Budget)> {
    let design: &Design = &fixture::design(text);
    let named = figures(None, design, &StandIns::default()).budgets.into_iter();
    named
        .map(|(subject, budget)| {
            (design.id(subject.part).to_string(), subject.quantity.to_string(), budget)
        })
        .collect()
}

#[test]
fn splitting_and_moving_record_files_changes_no_budget() {
    let one = budgets(&laid_out(&[("all.toml", &PARTS)]));
    let split: Vec<(&str, &[&str])> = vec![
        ("z/scanner.toml", &PARTS[..1]),
        ("a/gates.toml", &PARTS[1..3]),
        ("fasteners/screws.toml", &PARTS[3..4]),
        ("soft.toml", &PARTS[4..]),
    ];
    assert_eq!(budgets(&laid_out(&split)), one);
    let shuffled = [FELT, SCREW, GATE, GATE_UNIT, SCANNER];
    assert_eq!(budgets(&laid_out(&[("moved/here/all.toml", &shuffled)])), one);
    assert!(one.len() >= 2, "mass and cost");
}

#[test]
fn grams_for_kilograms_change_no_budget() {
    let text = laid_out(&[("all.toml", &PARTS)]);
    let other = text
        .replace("31 g ± 0.5 g", "0.031 kg ± 500 mg")
        .replace("0.8 g calculated", "0.0008 kg calculated")
        .replace("12 g/m", "0.012 kg/m")
        .replace("0.35 m", "350 mm");
    assert_ne!(text, other);
    assert_eq!(budgets(&other), budgets(&text));
}

#[test]
fn renaming_parts_changes_no_total() {
    let text = laid_out(&[("all.toml", &PARTS)]);
    // The new names keep no order of the old ones.
    let other = text.replace("gate", "window").replace("screw", "bolt").replace("felt", "zebra");
    let totals = |text: &str| -> Vec<_> {
        budgets(text).into_iter().map(|(_, quantity, budget)| (quantity, budget.total)).collect()
    };
    assert_eq!(totals(&other), totals(&text));
}

proptest! {
    /// Allowance only ever works against the designer, whatever the sign of a figure.
    #[test]
    fn predicted_is_never_below_basic(
        masses in proptest::collection::vec((-500_i32..500, 1_u32..9, 0_usize..4), 1..8),
        share in 0_u32..60,
    ) {
        let mut text = format!(
            "[quantity.lift]\nunit = \"N\"\nroll-up = \"sum\"\n[allowance]\n\
             lift = {{ estimated = \"{share} %\", stated = \"{share} %\" }}\n"
        );
        let lines: Vec<String> =
            masses.iter().enumerate().map(|(at, (_, count, _))| format!("p{at} = {count}")).collect();
        let _ = writeln!(
            text, "[part.scanner]\norigin = \"assembled\"\ncontains = {{ {} }}", lines.join(", ")
        );
        let bases = ["", " calculated", " stated", " measured"];
        for (at, (value, _, basis)) in masses.iter().enumerate() {
            let basis = bases[*basis];
            let _ = writeln!(text, "[part.p{at}]\norigin = \"bought\"\nlift = \"{value} N{basis}\"");
        }
        let lift = super::budget(&text, "lift");
        prop_assert!(lift.total.predicted >= lift.total.basic);
        let exact: i64 = masses.iter().map(|(value, count, _)| i64::from(*value) * i64::from(*count)).sum();
        prop_assert_eq!(lift.total.basic, exact as f64);
    }
}
