//! Laws of comparing, over small random designs.

use std::fmt::Write;

use proptest::prelude::*;

use super::{assessed, shown};
use crate::compare::{How, impact};

/// A flat design: each part's mass in grams, how many of it, and its part number.
type Parts = Vec<Option<(u32, u8, u8)>>;

fn parts() -> impl Strategy<Value = Parts> {
    prop::collection::vec(prop::option::of((1..400_u32, 1..6_u8, 0..3_u8)), 5)
}

fn text(parts: &Parts) -> String {
    let mut text = "[requirement.light]\npart = \"scanner\"\nquantity = \"mass\"\n\
                    at-most = \"2 kg\"\nmargin = \"10 %\"\n"
        .to_owned();
    let mut contains = String::new();
    for (index, part) in parts.iter().enumerate() {
        let Some((mass, count, number)) = part else { continue };
        let _ = writeln!(
            text,
            "[part.p{index}]\norigin = \"bought\"\nmass = \"{mass} g\"\nmpn = \"N{number}\""
        );
        let _ = write!(contains, "p{index} = {count}, ");
    }
    let contains = contains.trim_end_matches([',', ' ']);
    format!("{text}[part.scanner]\norigin = \"assembled\"\ncontains = {{ {contains} }}\n")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn nothing_leads_from_a_state_to_itself(parts in parts()) {
        let state = assessed(&text(&parts));
        let impact = impact(Some(&state), &state);
        prop_assert!(impact.is_nothing());
        prop_assert_eq!(shown(&impact), "");
    }

    #[test]
    fn the_way_back_mirrors_the_way(one in parts(), other in parts()) {
        let (one, other) = (assessed(&text(&one)), assessed(&text(&other)));
        let (there, back) = (impact(Some(&one), &other), impact(Some(&other), &one));
        let mirrored = |how| match how {
            How::Added => How::Removed,
            How::Removed => How::Added,
            How::Changed => How::Changed,
        };
        let parts = |impact: &crate::compare::Impact| -> Vec<_> {
            impact.parts.iter().map(|part| (part.part.clone(), part.how)).collect()
        };
        let expected: Vec<_> =
            parts(&there).into_iter().map(|(part, how)| (part, mirrored(how))).collect();
        prop_assert_eq!(parts(&back), expected);
        let turns = |impact: &crate::compare::Impact| -> Vec<_> {
            impact.verdicts.iter().map(|change| (change.before, change.after)).collect()
        };
        let expected: Vec<_> = turns(&there).into_iter().map(|(from, to)| (to, from)).collect();
        prop_assert_eq!(turns(&back), expected);
    }

    #[test]
    fn shares_of_a_budget_come_to_its_difference(one in parts(), other in parts()) {
        let impact = impact(Some(&assessed(&text(&one))), &assessed(&text(&other)));
        for budget in &impact.budgets {
            let value = |total: Option<crate::evaluate::Total>| total.map_or(0.0, |t| t.predicted);
            let difference = value(budget.after) - value(budget.before);
            let shares: f64 = budget.shares.iter().map(|(_, share)| share).sum();
            prop_assert!((shares - difference).abs() < 1e-9);
        }
    }
}
