//! What should be known beside a verdict: why it is no pass, and what the value rests on.

use super::computed;
use super::evidence;
use super::judged_on::{budget_of, missing, unit_of};
use super::lapsed;
use super::shown::{Shown, count, percent, some_of};
use crate::design::PartIx;
use crate::evaluate::{Budget, Missing, coverage_factor};
use crate::quantity::Unit;
use crate::record::{Priority, Requirement};
use crate::verdict::{Assessed, Judged, Side, Unproven, Verdict};

/// Parts that are named in a remark; the others are counted.
const NAMED_PARTS: usize = 3;

/// The remarks on one requirement, most important first.
pub(super) fn remarks(
    assessed: &Assessed,
    judged: &Judged,
    budget: Option<&Budget>,
    unit: &Unit,
) -> Vec<String> {
    let missing = budget.map_or_else(Vec::new, |budget| missing(judged, budget));
    let mut remarks: Vec<String> = [
        let_through(assessed, judged),
        probability(judged),
        judged.unproven.as_ref().and_then(unproven),
    ]
    .into_iter()
    .flatten()
    .collect();
    remarks.extend(lapsed::remarks(judged, unit));
    remarks.extend(computed::remarks(assessed, judged, unit));
    let others = [
        parts_without_figure(assessed, &missing),
        budget.and_then(|budget| without_options(assessed, judged, budget, unit)),
        budget.and_then(|budget| growth(judged, budget, unit)),
        budget.and_then(without_uncertainty),
        confidence(&assessed.design.requirements[judged.index]),
        (judged.priority == Priority::Should).then(|| "should-have".into()),
    ];
    remarks.extend(evidence::remarks(assessed, judged, unit));
    remarks.extend(others.into_iter().flatten());
    remarks
}

/// By what a requirement that is no pass does not hold up the release, and how it stands beneath.
fn let_through(assessed: &Assessed, judged: &Judged) -> Option<String> {
    let beneath = judged.beneath.word();
    match judged.verdict {
        Verdict::Waived => {
            let covered = judged.covered.as_ref()?;
            Some(format!(
                "{beneath}, waived by {} until before {}",
                covered.waiver, covered.until_before
            ))
        }
        Verdict::Later => {
            let due = assessed.design.requirements[judged.index].due.as_ref()?;
            Some(format!("due {}; {beneath} today", due.value))
        }
        _ => None,
    }
}

/// How probable it is that the value keeps what it narrowly keeps, or narrowly misses.
fn probability(judged: &Judged) -> Option<String> {
    let bound = judged.bounds.first()?;
    match judged.beneath {
        Verdict::Thin => Some(format!("inside the margin with {}", percent(bound.inside_margin))),
        Verdict::Edge => Some(format!("inside the limit with {}", percent(bound.inside_limit))),
        _ => None,
    }
}

fn unproven(why: &Unproven) -> Option<String> {
    match why {
        Unproven::NoEvidence(method) => Some(format!("evidence by {} is missing", method.word())),
        Unproven::NoFigure => Some("no part states a figure".into()),
        // The parts that make it so are named by the budget, the results by themselves.
        Unproven::Incomplete
        | Unproven::Unpinned
        | Unproven::Undecidable
        | Unproven::Contradiction
        | Unproven::NotCounting(_)
        | Unproven::SoFar { .. } => None,
        Unproven::NoValue(why) => Some(why.clone()),
        Unproven::NotComputed(what) => Some(format!("not computed: {what}")),
    }
}

fn parts_without_figure(assessed: &Assessed, missing: &[&(PartIx, Missing)]) -> Option<String> {
    let names = missing.iter().map(|(part, _)| assessed.design.id(*part));
    let number = count(missing.len(), "part");
    let told = format!("{number} without a figure: {}", some_of(names, NAMED_PARTS));
    (!missing.is_empty()).then_some(told)
}

/// What the value would be without the optional parts, where they decide.
pub(super) fn options(assessed: &Assessed, judged: &Judged) -> Option<String> {
    let unit = unit_of(&assessed.design, &assessed.design.requirements[judged.index], judged);
    without_options(assessed, judged, budget_of(assessed, judged)?, &unit)
}

fn without_options(
    assessed: &Assessed,
    judged: &Judged,
    budget: &Budget,
    unit: &Unit,
) -> Option<String> {
    let without = Shown::predicted(&budget.total, coverage_factor(&assessed.design), unit).text;
    judged.by_options.then(|| format!("only with all optional parts ({without} without)"))
}

/// How much of a value that is judged against an upper limit is growth allowance.
fn growth(judged: &Judged, budget: &Budget, unit: &Unit) -> Option<String> {
    let bound = judged.bounds.first().filter(|bound| bound.side == Side::AtMost)?;
    let growth = budget.total.predicted - budget.total.basic;
    let told = growth.abs() > bound.value.abs() * 1e-9 && !judged.by_options;
    let growth = Shown::difference_to(growth, judged.expanded_u, unit).text;
    told.then(|| format!("{growth} of it growth allowance"))
}

fn confidence(requirement: &Requirement) -> Option<String> {
    let confidence = requirement.confidence.as_ref()?;
    Some(format!("to be shown with {} confidence", percent(confidence.value)))
}

fn without_uncertainty(budget: &Budget) -> Option<String> {
    let number = budget.without_uncertainty;
    (number > 0).then(|| format!("{} without ±", count(number, "figure")))
}
