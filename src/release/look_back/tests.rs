//! What history says to a state, over histories that are made of states.

use super::*;
use crate::history::{Revision, entry};
use crate::report::samples::assessed;

/// A scanner whose lamp weighs so many grams, of 1200 g.
fn state(grams: u32, more: &str) -> Assessed {
    assessed(&format!(
        r#"
        [part.scanner]
        origin = "assembled"
        contains = {{ frame = 1, lamp = 1 }}
        [part.frame]
        origin = "machined"
        mass = "900 g"
        [part.lamp]
        origin = "bought"
        mass = "{grams} g"
        [requirement.carry-mass]
        part = "scanner"
        quantity = "mass"
        at-most = "1200 g"
        {more}
        "#
    ))
}

fn ledger(states: &[Assessed]) -> Ledger {
    let mut before = None;
    let rows = states.iter().enumerate().map(|(place, state)| {
        let told = Told::Entry(Box::new(entry(before.replace(state), state, None)));
        let id = format!("{place:07}");
        let revision = Revision {
            short_id: id.clone(),
            id,
            date: crate::record::Date::constant(2026, 3, 4),
            author: "Ada Frame".into(),
            subject: format!("Revision {place}"),
            is_merge: false,
        };
        Row { revision, place, told }
    });
    Ledger { rows: rows.collect(), passed: states.len(), is_cut_off: false }
}

#[test]
fn who_moved_a_requirement_since_it_last_held() {
    let states = [state(250, ""), state(280, ""), state(310, ""), state(320, "")];
    let ledger = ledger(&states);
    let back = look_back(&ledger, &states[3], Some(&Tagged { tag: "v0.9.0".into(), place: 1 }));
    let [lapse] = back.lapses.as_slice() else { panic!("one is in the way") };
    assert_eq!((lapse.requirement.as_str(), lapse.last_held), ("carry-mass", Some(1)));
    let rows: Vec<usize> = lapse.moments.iter().map(|moment| moment.row).collect();
    assert_eq!(rows, [2, 3]);
    let since = back.since.expect("there was a release");
    let mass = since.moved.iter().find(|figure| figure.quantity.as_str() == "mass");
    let mass = mass.expect("the mass moved");
    let grams = |value: &Option<crate::history::Value>| {
        value.as_ref().map(|value| (value.basic * 1e3).round())
    };
    assert_eq!((grams(&mass.before), grams(&mass.after)), (Some(1180.0), Some(1220.0)));
    let shares: Vec<_> =
        mass.shares.iter().map(|(part, share)| (part.as_str(), (share * 1e3).round())).collect();
    assert_eq!(shares, [("lamp", 40.0)]);
}

#[test]
fn through_which_revision_a_figure_a_requirement_and_a_part_are_what_they_are() {
    let decision = r#"
        [decision.bright-lamp]
        on = 2026-03-04
        title = "A bright lamp"
        why = "Dark slides."
        parts = ["lamp"]
        "#;
    let ledger = ledger(&[state(250, ""), state(280, decision), state(280, decision)]);
    let moved = |name: &str| match origin(&ledger, name) {
        Some(Origin::Moved(moment)) => Some(moment.row),
        _ => None,
    };
    assert_eq!((moved("carry-mass"), moved("mass"), moved("nothing")), (Some(1), Some(1), None));
    let Some(Origin::Changed(row, decided)) = origin(&ledger, "lamp") else { panic!("a part") };
    assert_eq!((row.place, decided.len()), (1, 1));
    assert_eq!(decided[0].id.as_str(), "bright-lamp");
}

/// The last digits of a sum of floats depend on the order of its terms.
#[test]
fn what_adding_up_leaves_over_has_not_moved_since_the_release() {
    let states = [state(250, "")];
    let released = Tagged { tag: "v0.9.0".into(), place: 0 };
    let moved = |nudge: &dyn Fn(f64) -> f64| {
        let mut ledger = ledger(&states);
        let Told::Entry(entry) = &mut ledger.rows[0].told else { panic!("it can be read") };
        for value in entry.figures.iter_mut().filter_map(|figure| figure.after.as_mut()) {
            value.predicted = nudge(value.predicted);
        }
        let back = look_back(&ledger, &states[0], Some(&released));
        back.since.map_or(0, |since| since.moved.len())
    };
    assert_eq!(moved(&|value| f64::from_bits(value.to_bits() + 2)), 0);
    assert_ne!(moved(&|value| value * (1.0 + 1e-9)), 0, "a small change is one");
}
