//! What a requirement is judged on, and what that is made of.

use crate::design::PartIx;
use crate::evaluate::{Budget, Contribution, Missing};
use crate::verdict::{Assessed, Judged, Unproven};

pub(super) use crate::verdict::unit_of;

/// The budget that a requirement is judged on, where there is anything in it.
pub(super) fn budget_of<'a>(assessed: &'a Assessed, judged: &Judged) -> Option<&'a Budget> {
    let is_by_evidence = judged.evidence.as_ref().is_some_and(|used| !used.counting.is_empty());
    let subject = judged.subject.as_ref().filter(|_| !is_by_evidence)?;
    let budget = assessed.figures.budgets.get(subject)?;
    (!budget.empty || !budget.missing.is_empty()).then_some(budget)
}

/// The parts whose figures the requirement lacks, with the reasons; those of optional parts too where
/// they are what leaves it open.
pub(super) fn missing<'a>(judged: &Judged, budget: &'a Budget) -> Vec<&'a (PartIx, Missing)> {
    let optional = match judged.unproven {
        Some(Unproven::Incomplete) => &budget.missing_options[..],
        _ => &[],
    };
    budget.missing.iter().chain(optional).collect()
}

/// What the value that is judged is made of: optional parts too where they decide.
pub(super) fn contributions(judged: &Judged, budget: &Budget) -> Vec<Contribution> {
    let optional = if judged.by_options { &budget.optional[..] } else { &[] };
    budget.contributions().chain(optional.iter().copied()).collect()
}

/// Those of `contributions` that make up the share `covered` of them all, largest first, at most
/// `most`, each with its share.
pub(super) fn largest(
    contributions: &[Contribution],
    covered: f64,
    most: usize,
) -> Vec<(Contribution, f64)> {
    let size = |contribution: &Contribution| contribution.total.predicted.abs();
    let whole: f64 = contributions.iter().map(size).sum();
    let mut sorted = contributions.to_vec();
    sorted.retain(|contribution| size(contribution) > 0.0);
    sorted.sort_by(|a, b| size(b).total_cmp(&size(a)).then_with(|| a.part.cmp(&b.part)));
    let mut so_far = 0.0;
    let shares = sorted.into_iter().take(most).map_while(|contribution| {
        let share = size(&contribution) / whole;
        let wanted = so_far < covered;
        so_far += share;
        wanted.then_some((contribution, share))
    });
    shares.collect()
}
