//! Rows and what follows from them, over states of a small scanner.

use super::*;
use crate::report::samples::{LANTERN, assessed, lantern_with_a_heavier_lamp};

fn ledger(states: &[Option<&str>]) -> Ledger {
    let mut before = None;
    let mut rows = Vec::new();
    for (place, state) in states.iter().enumerate() {
        let told = match state {
            Some(text) => {
                let after = assessed(text);
                let told = Told::Entry(Box::new(entry(before.as_ref(), &after, None)));
                before = Some(after);
                told
            }
            None => Told::Unreadable { errors: 1, first: "parts/lid.toml:3: not TOML".into() },
        };
        let revision = Revision {
            id: format!("{place:040}"),
            short_id: format!("{place:07}"),
            date: crate::record::Date::constant(2026, 3, 4),
            author: "Ada Frame".into(),
            subject: format!("Revision {place}"),
            is_merge: false,
        };
        rows.push(Row { revision, place, told });
    }
    Ledger { rows, passed: states.len(), is_cut_off: false }
}

fn entry_of(ledger: &Ledger, row: usize) -> &Entry {
    let Told::Entry(entry) = &ledger.rows[row].told else { panic!("row {row} can be read") };
    entry
}

#[test]
fn a_row_tells_parts_figures_verdicts_and_what_is_promised_less() {
    let heavier = lantern_with_a_heavier_lamp();
    let ledger = ledger(&[Some(LANTERN), Some(&heavier)]);
    let entry = entry_of(&ledger, 1);
    let parts: Vec<&str> = entry.parts.iter().map(|part| part.part.as_str()).collect();
    assert_eq!(parts, ["led-panel"]);
    let is_mass = |figure: &&Figure| figure.is_top && figure.quantity.as_str() == "mass";
    let mass = entry.figures.iter().find(is_mass);
    let mass = mass.expect("its mass is known");
    // 520 g in place of 412 g, as the fixture has it.
    let shares: Vec<_> =
        mass.shares.iter().map(|(part, share)| (part.as_str(), (share * 1e3).round())).collect();
    assert_eq!(shares, [("led-panel", 108.0)]);
    let loosened: Vec<&str> = entry.loosened.iter().map(|less| less.what.as_str()).collect();
    assert_eq!(loosened, ["margin"]);
    assert!(entry.turns.iter().any(|turn| turn.requirement.as_str() == "carry-mass"));
}

#[test]
fn what_came_since_a_place_is_told_with_its_revision() {
    let decided = "\n[decision.opal-glass]\non = 2026-10-01\nwhy = \"Even.\"\n";
    let heavier = lantern_with_a_heavier_lamp();
    let both = format!("{heavier}{decided}");
    let ledger = ledger(&[Some(LANTERN), Some(&heavier), None, Some(&both)]);
    let told = |place: Option<usize>| -> Vec<String> {
        let found = brought(&ledger, place);
        let turned = found.turned.iter().filter(|(_, turn)| turn.variant.is_none());
        let turned = turned.map(|(row, turn)| format!("{} {}", row.place, turn.requirement));
        let decided = found.decided.iter().map(|(row, it)| format!("{} {}", row.place, it.id));
        turned.chain(decided).collect()
    };
    assert_eq!(told(Some(0)), ["1 carry-mass", "1 lamp-mass", "3 opal-glass"]);
    assert_eq!(told(Some(1)), ["3 opal-glass"]);
    assert_eq!(told(Some(3)), [""; 0]);
    assert_eq!(told(None), told(Some(0)), "what is new from the first revision on has not turned");
}

#[test]
fn items_and_decisions_come_and_go() {
    let closed = LANTERN.replace("opened = 2026-09-20", "opened = 2026-09-20\nclosed = 2026-10-01");
    let more = format!(
        "{closed}\n[item.squeak]\nopened = 2026-10-02\n[decision.opal-glass]\non = 2026-10-01\ntitle = \"Opal glass\"\nwhy = \"Even.\"\n"
    );
    let ledger = ledger(&[Some(LANTERN), Some(&more), Some(&closed)]);
    let ids = |titled: &[Titled]| titled.iter().map(|it| it.id.to_string()).collect::<Vec<_>>();
    assert_eq!(ids(&entry_of(&ledger, 0).opened), ["led-glare", "nicer-knob"]);
    let entry = entry_of(&ledger, 1);
    assert_eq!(
        (ids(&entry.opened), ids(&entry.closed)),
        (vec!["squeak".into()], vec!["led-glare".into()])
    );
    assert_eq!(entry.decided[0].title.as_deref(), Some("Opal glass"));
    assert_eq!(ids(&entry_of(&ledger, 2).closed), ["squeak"], "what is taken out is open no more");
}

#[test]
fn what_is_followed_moves_at_its_own_revisions_alone() {
    let heavier = lantern_with_a_heavier_lamp();
    let remark = format!("# A remark.\n{LANTERN}");
    let ledger = ledger(&[Some(LANTERN), Some(&remark), None, Some(&heavier), Some(LANTERN)]);
    let named = named(&ledger, "carry-mass").expect("a requirement of that name");
    assert_eq!(named, Named::Requirement("carry-mass".into()));
    let followed = follow(&ledger, named);
    let told: Vec<_> =
        followed.moments.iter().map(|moment| (moment.row, moment.turned())).collect();
    assert_eq!(told, [(0, None), (3, Some(Turned::Broke)), (4, Some(Turned::Mended))]);
    assert_eq!(
        super::named(&ledger, "scanner.mass"),
        Some(Named::Figure(Some("scanner".into()), "mass".into()))
    );
    assert_eq!(super::named(&ledger, "no-such-thing"), None);
    assert!(names(&ledger).contains(&"mass".to_owned()));
}

/// A scanner of 900 g and a lamp, with a cover of 14 g for those who want one; of 1200 g.
fn covered(lamp: &str, more: &str) -> String {
    format!(
        "[part.scanner]\norigin = \"assembled\"\n\
         contains = {{ frame = 1, lamp = 1, cover = {{ optional = true }} }}\n\
         [part.frame]\norigin = \"machined\"\nmass = \"900 g\"\n\
         [part.lamp]\norigin = \"bought\"\nmass = \"{lamp}\"\n\
         [part.cover]\norigin = \"printed\"\nmass = \"14 g\"\n\
         [requirement.carry-mass]\npart = \"scanner\"\nquantity = \"mass\"\n\
         at-most = \"1200 g\"\n{more}"
    )
}

/// What became of `carry-mass`: row, difference and shares in g, with all options or not, and the turn.
fn told_of(states: &[String]) -> (Vec<String>, Option<usize>) {
    let states: Vec<Option<&str>> = states.iter().map(|state| Some(state.as_str())).collect();
    let followed = follow(&ledger(&states), Named::Requirement("carry-mass".into()));
    let grams = |value: f64| format!("{:+.0} g", value * 1e3);
    let told = followed.moments.iter().skip(1).map(|moment| {
        let by = moment.moved().map_or_else(|| "-".into(), |(was, is)| grams(is - was));
        let shares = moment.shares.iter().map(|(part, share)| format!("{part} {}", grams(*share)));
        let with = moment.after.as_ref().is_some_and(|point| point.by_options);
        let with = if with { " with all" } else { "" };
        let shares = shares.collect::<Vec<_>>().join(", ");
        let turned = moment.turned().map(|turned| format!(" {turned:?}")).unwrap_or_default();
        format!("{}: {by} through [{shares}]{with}{turned}", moment.row)
    });
    (told.collect(), followed.last_held)
}

/// 1150 g, 1200 g and 1210 g without the cover: the second is beyond the limit with it alone, 1214 g, and
/// the third by itself.
#[test]
fn a_value_with_all_optional_parts_is_compared_with_one_that_has_them() {
    let states = ["250 g", "300 g", "295 g", "310 g"].map(|lamp| covered(lamp, ""));
    let (told, held) = told_of(&states);
    assert_eq!(
        told,
        [
            "1: +50 g through [lamp +50 g] with all Broke",
            "2: -5 g through [lamp -5 g] with all",
            "3: +15 g through [lamp +15 g]",
        ]
    );
    assert_eq!(held, Some(0));
}

#[test]
fn another_optional_part_is_a_move_where_it_decides() {
    let heavier = |state: String| state.replace("\"14 g\"", "\"24 g\"");
    let (told, _) = told_of(&[covered("300 g", ""), heavier(covered("300 g", ""))]);
    assert_eq!(told, ["1: +10 g through [cover +10 g] with all"]);
    let (told, _) = told_of(&[covered("250 g", ""), heavier(covered("250 g", ""))]);
    assert_eq!(told, [""; 0]);
}

/// A requirement that fails, is let through, held to again, put off and due again, and met at last.
#[test]
fn being_let_through_is_not_being_met() {
    let waiver = "[waiver.first-batch]\nrequirement = \"carry-mass\"\nup-to = \"1300 g\"\n\
                  until-before = \"1.1.0\"\non = 2026-10-05\nby = \"Ada\"\nwhy = \"fits\"\n";
    let states = [
        covered("250 g", ""),
        covered("310 g", ""),
        covered("310 g", waiver),
        covered("310 g", ""),
        covered("310 g", "due = \"2.0.0\"\n"),
        covered("310 g", ""),
        covered("310 g", waiver),
        covered("250 g", waiver),
    ];
    let (told, held) = told_of(&states[..7]);
    assert_eq!(
        told,
        [
            "1: +60 g through [lamp +60 g] Broke",
            "2: - through [] LetThrough",
            "3: - through [] HeldToIt",
            "4: - through [] PutOff",
            "5: - through [] MadeDue",
            "6: - through [] LetThrough",
        ]
    );
    assert_eq!(held, Some(0), "it was met at the beginning alone");
    let (told, held) = told_of(&states);
    assert_eq!(told.last().map(String::as_str), Some("7: -60 g through [lamp -60 g] Mended"));
    assert_eq!(held, Some(7));
    // Heavier than the waiver lets through.
    let (told, _) = told_of(&[covered("310 g", waiver), covered("450 g", waiver)]);
    assert_eq!(told, ["1: +140 g through [lamp +140 g] Broke"]);
}

/// The last digits of a sum of floats depend on the order of its terms.
#[test]
fn what_adding_up_leaves_over_is_no_move() {
    let state = covered("250 g", "");
    let moments = |nudge: &dyn Fn(f64) -> f64| {
        let mut ledger = ledger(&[Some(&state), Some(&state)]);
        let Told::Entry(entry) = &mut ledger.rows[1].told else { panic!("it can be read") };
        entry.readings[0].value = entry.readings[0].value.map(nudge);
        for value in entry.figures.iter_mut().filter_map(|figure| figure.after.as_mut()) {
            value.predicted = nudge(value.predicted);
        }
        let of = |named| follow(&ledger, named).moments.len();
        [of(Named::Requirement("carry-mass".into())), of(Named::Figure(None, "mass".into()))]
    };
    assert_eq!(moments(&|value| f64::from_bits(value.to_bits() + 2)), [1, 1]);
    assert_eq!(moments(&|value| value * (1.0 + 1e-9)), [2, 2], "a small change is one");
}

#[test]
fn what_is_kept_is_read_back_as_it_was() {
    let heavier = lantern_with_a_heavier_lamp();
    for row in ledger(&[Some(LANTERN), Some(&heavier), None]).rows {
        let text = serde_json::to_string(&row.told).expect("it can be written");
        let read: Told = serde_json::from_str(&text).expect("it can be read");
        assert_eq!(read, row.told);
    }
}
