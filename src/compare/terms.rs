//! The terms of a budget by part, how they come to a total, and each part's share of a difference.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use rust_decimal::prelude::ToPrimitive;

use crate::design::{Design, Source};
use crate::evaluate::{Budget, Contribution, Total};
use crate::record::{Id, RollUp};
use crate::verdict::Side;

/// Which value of a budget is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Aspect {
    /// Predicted values stand against at-most limits, basic ones against at-least limits.
    pub(super) side: Side,
    /// With all optional parts.
    pub(super) with_options: bool,
}

impl Aspect {
    /// The value of a total, in base units.
    fn value(self, total: &Total) -> f64 {
        match self.side {
            Side::AtMost => total.predicted,
            Side::AtLeast => total.basic,
        }
    }

    /// The value of the whole budget, in base units.
    pub(super) fn of(self, budget: &Budget) -> f64 {
        let with = budget.with_options.as_ref().filter(|_| self.with_options);
        self.value(with.unwrap_or(&budget.total))
    }
}

/// What one part adds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Term {
    /// In base units.
    pub(super) value: f64,
    /// How many of the part there are.
    pub(super) multiplicity: f64,
}

/// The terms of a budget, by part.
pub(super) fn terms(design: &Design, budget: &Budget, aspect: Aspect) -> BTreeMap<Id, Term> {
    let optional = if aspect.with_options { budget.optional.as_slice() } else { &[] };
    let mut terms: BTreeMap<Id, Term> = BTreeMap::new();
    add(&mut terms, design, budget.contributions().chain(optional.iter().copied()), aspect);
    terms
}

/// The terms of two budgets but for those that both have with the same value, one for one in the order
/// of parts.
pub(super) fn differing(
    before: (&Design, &Budget),
    after: (&Design, &Budget),
    aspect: Aspect,
) -> [BTreeMap<Id, Term>; 2] {
    let alike = before.0.is_surely_built_as(after.0);
    let [was, is] = before.1.contributions_apart(after.1, alike);
    let mut terms = [BTreeMap::new(), BTreeMap::new()];
    let (mut at, mut to) = (0, 0);
    while at < was.len() || to < is.len() {
        let ids = (was.get(at), is.get(to));
        let order = match ids {
            (Some(was), Some(is)) => before.0.id(was.part).cmp(after.0.id(is.part)),
            (Some(_), None) => Ordering::Less,
            _ => Ordering::Greater,
        };
        let is_same = order == Ordering::Equal
            && ids.0.map(|it| aspect.value(&it.total)) == ids.1.map(|it| aspect.value(&it.total));
        if order != Ordering::Greater {
            at += 1;
        }
        if order != Ordering::Less {
            to += 1;
        }
        if !is_same {
            let old = ids.0.filter(|_| order != Ordering::Greater);
            let new = ids.1.filter(|_| order != Ordering::Less);
            add(&mut terms[0], before.0, old.copied(), aspect);
            add(&mut terms[1], after.0, new.copied(), aspect);
        }
    }
    terms
}

fn add(
    terms: &mut BTreeMap<Id, Term>,
    design: &Design,
    contributions: impl IntoIterator<Item = Contribution>,
    aspect: Aspect,
) {
    for Contribution { part, multiplicity, total, .. } in contributions {
        let term = terms.entry(design.id(part).clone()).or_default();
        term.value += aspect.value(&total);
        term.multiplicity += multiplicity.to_f64().unwrap_or(f64::NAN);
    }
}

/// How the quantity rolls up, and where its values come from; a part's own named value does not.
pub(super) fn kind(design: &Design, quantity: &Id) -> (RollUp, Source) {
    let known = design.quantities.get(quantity);
    known.map_or((RollUp::None, Source::Figures), |known| (known.roll_up, known.source))
}

/// What terms come to, in base units; nothing comes to 0.
pub(super) fn total(roll_up: RollUp, values: impl Iterator<Item = f64>) -> f64 {
    match roll_up {
        RollUp::Sum | RollUp::None => values.sum(),
        RollUp::RootSumSquare => values.map(|value| value * value).sum::<f64>().sqrt(),
        RollUp::Max => values.reduce(f64::max).unwrap_or(0.0),
        RollUp::Min => values.reduce(f64::min).unwrap_or(0.0),
    }
}

/// The value of `term` if there were `multiplicity` of it: independent sources of noise add as
/// squares, and an extreme value is the same however many have it.
pub(super) fn at_multiplicity(roll_up: RollUp, term: Term, multiplicity: f64) -> f64 {
    let ratio = multiplicity / term.multiplicity;
    match roll_up {
        RollUp::Sum => term.value * ratio,
        RollUp::RootSumSquare => term.value * ratio.sqrt(),
        RollUp::Max | RollUp::Min | RollUp::None => term.value,
    }
}

/// Each part's share of the difference of two totals, largest first; shares of nothing left out.
///
/// The shares come to the difference. Of a sum they are the parts' own differences, of a root of
/// squares those of the squares over the sum of both roots; of an extreme value the whole
/// difference belongs to the part that went beyond all others, or stopped to.
pub(super) fn shares(
    roll_up: RollUp,
    before: &BTreeMap<Id, Term>,
    after: &BTreeMap<Id, Term>,
) -> Vec<(Id, f64)> {
    let own = |weigh: fn(f64) -> f64, scale: f64| -> Vec<(Id, f64)> {
        let value =
            |terms: &BTreeMap<Id, Term>, part: &Id| terms.get(part).map_or(0.0, |t| t.value);
        let gone = before.keys().filter(|part| !after.contains_key(*part));
        let share = |part: &Id| (weigh(value(after, part)) - weigh(value(before, part))) / scale;
        after.keys().chain(gone).map(|part| (part.clone(), share(part))).collect()
    };
    let total = |terms: &BTreeMap<Id, Term>| total(roll_up, terms.values().map(|term| term.value));
    let mut shares = match roll_up {
        RollUp::Sum | RollUp::None => own(|value| value, 1.0),
        RollUp::RootSumSquare => own(|value| value * value, total(before) + total(after)),
        RollUp::Max => governing(before, after, total(after) - total(before), true),
        RollUp::Min => governing(before, after, total(after) - total(before), false),
    };
    shares.retain(|(_, share)| *share != 0.0 && share.is_finite());
    shares.sort_by(|(a, one), (b, other)| other.abs().total_cmp(&one.abs()).then(a.cmp(b)));
    shares
}

/// The whole `difference` at the part that governs the side which lies further beyond.
fn governing(
    before: &BTreeMap<Id, Term>,
    after: &BTreeMap<Id, Term>,
    difference: f64,
    is_max: bool,
) -> Vec<(Id, f64)> {
    let further = match (before.is_empty(), after.is_empty()) {
        (true, _) => after,
        (_, true) => before,
        _ if (difference > 0.0) == is_max => after,
        _ => before,
    };
    let sign = if is_max { 1.0 } else { -1.0 };
    let beyond = |a: &(&Id, &Term), b: &(&Id, &Term)| {
        (sign * a.1.value).total_cmp(&(sign * b.1.value)).then(b.0.cmp(a.0))
    };
    let part = further.iter().max_by(beyond).map(|(part, _)| part.clone());
    part.map(|part| (part, difference)).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn of(values: &[(&str, f64)]) -> BTreeMap<Id, Term> {
        let term = |value| Term { value, multiplicity: 1.0 };
        values.iter().map(|(part, value)| (Id::from(*part), term(*value))).collect()
    }

    fn check(roll_up: RollUp, before: &[(&str, f64)], after: &[(&str, f64)], expected: &str) {
        let shares = shares(roll_up, &of(before), &of(after));
        let lines: Vec<_> = shares.iter().map(|(part, share)| format!("{part} {share}")).collect();
        assert_eq!(lines.join(", "), expected);
    }

    #[test]
    fn of_a_sum_every_part_bears_its_own_difference() {
        let before = [("gate", 31.0), ("lid", 20.0), ("old", 4.0)];
        let after = [("gate", 30.0), ("lid", 20.0), ("new", 9.0)];
        check(RollUp::Sum, &before, &after, "new 9, old -4, gate -1");
    }

    #[test]
    fn of_a_maximum_the_part_that_rose_above_or_fell_from_it_bears_all() {
        let cool = [("gate", 40.0), ("panel", 50.0)];
        check(RollUp::Max, &cool, &[("gate", 60.0), ("panel", 50.0)], "gate 10");
        check(RollUp::Max, &cool, &[("gate", 40.0), ("panel", 30.0)], "panel -10");
        check(RollUp::Min, &cool, &[("gate", 60.0), ("panel", 50.0)], "gate 10");
        check(RollUp::Min, &cool, &[("gate", 40.0), ("panel", 30.0)], "panel -10");
    }

    #[test]
    fn of_a_root_of_squares_the_squares_are_shared_out() {
        // √(3² + 4²) = 5 and √(5² + 12²) = 13.
        let (before, after) = ([("fan", 3.0), ("motor", 4.0)], [("fan", 5.0), ("motor", 12.0)]);
        let shares = shares(RollUp::RootSumSquare, &of(&before), &of(&after));
        assert!((shares.iter().map(|(_, share)| share).sum::<f64>() - 8.0).abs() < 1e-12);
        assert_eq!(shares[0].0.as_str(), "motor");
    }

    fn any_terms() -> impl Strategy<Value = BTreeMap<Id, Term>> {
        let value = (-1e6..1e6).prop_map(|value: f64| Term { value, multiplicity: 1.0 });
        let part = prop::sample::select(vec!["a", "b", "c", "d", "e"]).prop_map(Id::from);
        prop::collection::btree_map(part, value, 0..5)
    }

    proptest! {
        #[test]
        fn shares_come_to_the_difference(
            before in any_terms(),
            after in any_terms(),
            roll_up in prop::sample::select(RollUp::WORDS.map(|(_, roll_up)| roll_up).to_vec()),
        ) {
            let total = |terms: &BTreeMap<Id, Term>| {
                total(roll_up, terms.values().map(|term| term.value))
            };
            let sum: f64 = shares(roll_up, &before, &after).iter().map(|(_, share)| share).sum();
            prop_assert!((sum - (total(&after) - total(&before))).abs() < 1e-6);
        }
    }
}
