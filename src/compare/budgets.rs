//! Budgets before and after.

use std::collections::{BTreeMap, BTreeSet};

use super::BudgetChange;
use super::terms::{self, Aspect};
use crate::design::Design;
use crate::evaluate::{self, Budget, Subject};
use crate::evidence;
use crate::quantity::Unit;
use crate::record::{Id, RollUp};
use crate::verdict::{Assessed, Side};

/// A subject by what it is called, which holds for both designs.
pub(super) type Name<'a> = (&'a Id, &'a Id, u64);

/// Every budget that is judged or stands at the top and that either state has figures for.
pub(super) fn changes(before: Option<&Assessed>, after: &Assessed) -> Vec<BudgetChange> {
    let (from, to) = (before.map(told).unwrap_or_default(), told(after));
    let names: BTreeSet<Name<'_>> = from.keys().chain(to.keys()).copied().collect();
    let one = |name: Name<'_>| {
        let (was, is) = (from.get(&name), to.get(&name));
        let anew = |state: Option<&Assessed>, known: &BTreeMap<Name<'_>, Told<'_>>| {
            of_that_order(state?, name, known)
        };
        let before_anew = if was.is_none() { anew(before, &from) } else { None };
        let after_anew = if is.is_none() { anew(Some(after), &to) } else { None };
        let was = was.copied().or_else(|| Some((&*before?.design, before_anew.as_ref()?)));
        let is = is.copied().or_else(|| Some((&*after.design, after_anew.as_ref()?)));
        change(name, was.as_ref(), is.as_ref())
    };
    names.into_iter().map(one).collect()
}

/// A budget that a state has for an order of another number of builds alone: it was there, and nobody
/// asked for this order.
fn of_that_order(
    assessed: &Assessed,
    (part, quantity, builds): Name<'_>,
    known: &BTreeMap<Name<'_>, Told<'_>>,
) -> Option<Budget> {
    let is_alike = |name: &Name<'_>| (name.0, name.1) == (part, quantity);
    if !known.keys().any(is_alike) {
        return None;
    }
    let design = &*assessed.design;
    let part = design.part(part.as_str())?;
    let subject = Subject { part, quantity: quantity.clone(), builds };
    let stand_ins = evidence::stand_ins(design, &assessed.standings);
    evaluate::budget_of(design, &stand_ins, &subject).filter(|budget| !budget.empty)
}

/// A budget and the design that it is of.
pub(super) type Told<'a> = (&'a Design, &'a Budget);

fn told(assessed: &Assessed) -> BTreeMap<Name<'_>, Told<'_>> {
    let design = &*assessed.design;
    let judged: BTreeSet<&Subject> =
        assessed.judged.iter().filter_map(|judged| judged.subject.as_ref()).collect();
    let budgets = assessed.figures.budgets.iter().filter(|(subject, budget)| {
        !budget.empty && (subject.part == design.top || judged.contains(subject))
    });
    budgets
        .map(|(subject, budget)| {
            let name = (design.id(subject.part), &subject.quantity, subject.builds);
            (name, (design, budget))
        })
        .collect()
}

pub(super) fn change(
    (part, quantity, builds): Name<'_>,
    before: Option<&Told<'_>>,
    after: Option<&Told<'_>>,
) -> BudgetChange {
    let design = after.or(before).map(|(design, _)| *design);
    let total = |told: &Told<'_>| told.1.total;
    let has_moved = before.map(total) != after.map(total);
    let roll_up = design.map_or(RollUp::None, |design| terms::kind(design, quantity).0);
    BudgetChange {
        part: part.clone(),
        quantity: quantity.clone(),
        builds,
        unit: design.map_or_else(Unit::none, |design| unit(design, part, quantity)),
        before: before.map(|(_, budget)| budget.total),
        after: after.map(|(_, budget)| budget.total),
        // Most budgets stay as they are, and what makes them up is many parts.
        shares: if has_moved { shares(roll_up, before, after) } else { Vec::new() },
    }
}

fn shares(roll_up: RollUp, before: Option<&Told<'_>>, after: Option<&Told<'_>>) -> Vec<(Id, f64)> {
    let predicted = Aspect { side: Side::AtMost, with_options: false };
    if let (RollUp::Sum | RollUp::None, Some(was), Some(is)) = (roll_up, before, after) {
        // What adds the same in both states has no share, and that is nearly all of it.
        let [was, is] = terms::differing(*was, *is, predicted);
        return terms::shares(roll_up, &was, &is);
    }
    let terms = |told: Option<&Told<'_>>| {
        told.map(|(design, budget)| terms::terms(design, budget, predicted)).unwrap_or_default()
    };
    terms::shares(roll_up, &terms(before), &terms(after))
}

/// The unit of the quantity, or the one in which the part's own named value is written.
fn unit(design: &Design, part: &Id, quantity: &Id) -> Unit {
    let known = design.quantities.get(quantity).map(|quantity| quantity.unit.clone());
    let own = || {
        let values = &design.record(design.part(part.as_str())?).values;
        let (_, sourced) = values.iter().find(|(name, _)| name.value == *quantity)?;
        Some(sourced.figure.measure.unit.clone())
    };
    known.or_else(own).unwrap_or_else(Unit::none)
}
