//! Requirements that are shown by evidence: values, outcomes and trials of results that are current.
//! The worst of them counts.

use super::decide::{Decision, Judgeable, bound};
use super::{Bound, Limit, Side, Unproven, Verdict, limits};
use crate::design::Design;
use crate::diagnostic::At;
use crate::evaluate::coverage_factor;
use crate::evaluate::heat::Extreme;
use crate::evidence::trials::Tally;
use crate::evidence::{self, NotCounting, Reading, Standing, Standings, Stands, reading};
use crate::record::{AmbientRule, Decide, Evidence, Id, Method, Outcome, Requirement};

/// What was made of the evidence for a requirement. Results are places in [`Design::evidence`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EvidenceUsed {
    /// Every result that speaks to it by the method asked for, whatever its standing.
    pub results: Vec<usize>,
    /// Those that count.
    pub counting: Vec<usize>,
    /// The worst of them, which decides.
    pub decisive: Option<usize>,
    /// What the decisive one comes to, where it is a value.
    pub reading: Option<Reading>,
    /// Current results that are no evidence, with the reason.
    pub not_counting: Vec<(usize, NotCounting)>,
    /// Trials, all that count together.
    pub trials: Option<TrialsJudged>,
}

/// Trials against the share of them that must succeed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrialsJudged {
    /// What was tried so far.
    pub tally: Tally,
    /// The number fixed beforehand.
    pub wanted: u64,
    /// Samples that they were made with, where every result says.
    pub samples: Option<u64>,
    /// The share that succeeds at least, with the confidence asked for.
    pub at_least: f64,
}

/// How a requirement stands by its evidence.
#[derive(Default)]
pub(super) struct ByEvidence {
    pub(super) decision: Decision,
    /// The verdict where it does not follow from limits.
    pub(super) shown: Option<Verdict>,
    pub(super) unproven: Option<Unproven>,
    pub(super) guard: f64,
    pub(super) expanded_u: f64,
    pub(super) used: EvidenceUsed,
}

/// Judges a requirement by evidence; `None` for one that is shown by analysis.
pub(super) fn judge(
    design: &Design,
    standings: &Standings,
    requirement: &Requirement,
) -> Option<ByEvidence> {
    let is_trials = requirement.success.is_some();
    if requirement.method() == Method::Analysis && !is_trials && is_computed(requirement) {
        return None;
    }
    let results: Vec<Spoken<'_>> = standings
        .results(design)
        .filter(|(_, evidence, _)| speaks_to(evidence, requirement))
        .map(|(index, evidence, stands)| Spoken { index, evidence, stands })
        .collect();
    let current: Vec<Spoken<'_>> =
        results.iter().copied().filter(|result| result.stands.is_current()).collect();
    let mut judged = if is_trials {
        by_trials(requirement, &current)
    } else if requirement.quantity.is_some() {
        by_values(design, requirement, &current)
    } else {
        by_outcomes(&current)
    };
    if judged.used.counting.is_empty() {
        let (shown, unproven) = without(&results, &judged.used, requirement.method());
        (judged.shown, judged.unproven) = (shown, unproven);
    }
    judged.used.results = results.iter().map(|result| result.index).collect();
    Some(judged)
}

/// Whether analysis can show it at all: a quantity of a part, or a rail.
fn is_computed(requirement: &Requirement) -> bool {
    requirement.quantity.is_some() || requirement.rail.is_some()
}

/// A result that speaks to the requirement.
#[derive(Clone, Copy)]
struct Spoken<'a> {
    index: usize,
    evidence: &'a Evidence,
    stands: &'a Stands,
}

/// Whether a result is of what the requirement asks for, by the method that it asks for.
#[must_use]
pub fn speaks_to(evidence: &Evidence, requirement: &Requirement) -> bool {
    if evidence::method(evidence) != requirement.method() {
        return false;
    }
    let is_named = evidence.verifies.iter().any(|id| id.value == requirement.id.value);
    let of_part = is_same(&evidence.part, &requirement.part);
    if requirement.success.is_some() {
        evidence.trials.is_some() && (is_named || (evidence.verifies.is_empty() && of_part))
    } else if requirement.quantity.is_some() {
        is_value_of(evidence, requirement)
    } else {
        evidence.outcome.is_some() && is_named
    }
}

/// Whether a result is a value of the quantity and the part that the requirement is about.
pub(super) fn is_value_of(evidence: &Evidence, requirement: &Requirement) -> bool {
    evidence.value.is_some()
        && is_same(&evidence.part, &requirement.part)
        && is_same(&evidence.quantity, &requirement.quantity)
}

/// Whether both name the same, wherever it is written.
fn is_same(one: &Option<At<Id>>, other: &Option<At<Id>>) -> bool {
    one.as_ref().zip(other.as_ref()).is_some_and(|(one, other)| one.value == other.value)
}

/// What it comes to where nothing counts: stale where results were overtaken, else unproven.
fn without(
    results: &[Spoken<'_>],
    used: &EvidenceUsed,
    method: Method,
) -> (Option<Verdict>, Option<Unproven>) {
    if let Some((_, why)) = used.not_counting.first() {
        return (None, Some(Unproven::NotCounting(*why)));
    }
    let any =
        |asked: fn(&Standing) -> bool| results.iter().any(|result| asked(&result.stands.standing));
    if any(|standing| matches!(standing, Standing::Stale(_))) {
        return (Some(Verdict::Stale), None);
    }
    let why = if any(|standing| matches!(standing, Standing::Contradiction(_))) {
        Unproven::Contradiction
    } else if any(|standing| matches!(standing, Standing::Undecidable(_))) {
        Unproven::Undecidable
    } else if any(|standing| *standing == Standing::Unpinned) {
        Unproven::Unpinned
    } else {
        Unproven::NoEvidence(method)
    };
    (None, Some(why))
}

/// Any failure fails; else any pass passes.
fn by_outcomes(current: &[Spoken<'_>]) -> ByEvidence {
    let went = |asked: Outcome| {
        let is_so = move |result: &&Spoken<'_>| {
            result.evidence.outcome.as_ref().is_some_and(|outcome| outcome.value == asked)
        };
        current.iter().find(is_so).map(|result| result.index)
    };
    let (failed, passed) = (went(Outcome::Fail), went(Outcome::Pass));
    let counting = current.iter().map(|result| result.index).collect();
    ByEvidence {
        shown: Some(if failed.is_some() { Verdict::Fail } else { Verdict::Pass }),
        used: EvidenceUsed { counting, decisive: failed.or(passed), ..EvidenceUsed::default() },
        ..ByEvidence::default()
    }
}

/// All current trials are of one configuration: every part that they cover is as it is today.
fn by_trials(requirement: &Requirement, current: &[Spoken<'_>]) -> ByEvidence {
    let asked = requirement.success.as_ref().zip(requirement.confidence.as_ref());
    let (Some((success, confidence)), Some(wanted)) = (asked, requirement.trials.as_ref()) else {
        return ByEvidence::default();
    };
    let trials = || current.iter().filter_map(|result| result.evidence.trials.as_ref());
    let tally = trials()
        .fold(Tally::default(), |sum, trials| sum.and(trials.passed.value, trials.of.value));
    let samples = trials().map(|trials| trials.samples.as_ref().map(|samples| samples.value));
    let samples = samples.sum::<Option<u64>>();
    let at_least = tally.at_least(confidence.value);
    let is_reached = tally.of >= wanted.value;
    let so_far = Unproven::SoFar { tally, wanted: wanted.value };
    let verdict = if at_least >= success.value { Verdict::Pass } else { Verdict::Fail };
    let trials = TrialsJudged { tally, wanted: wanted.value, samples, at_least };
    ByEvidence {
        shown: is_reached.then_some(verdict),
        unproven: (!is_reached).then_some(so_far),
        used: EvidenceUsed {
            counting: current.iter().map(|result| result.index).collect(),
            trials: Some(trials),
            ..EvidenceUsed::default()
        },
        ..ByEvidence::default()
    }
}

/// What one result comes to against one limit.
#[derive(Clone, Copy)]
struct Held {
    index: usize,
    reading: Reading,
    guard: f64,
    bound: Bound,
}

impl Held {
    /// What is left when the whole guard band is deducted.
    fn left(&self) -> f64 {
        self.bound.left - self.guard
    }
}

/// Each limit by the result that keeps it worst.
fn by_values(design: &Design, requirement: &Requirement, current: &[Spoken<'_>]) -> ByEvidence {
    let mut used = EvidenceUsed::default();
    let mut worst: Vec<Held> = Vec::new();
    let limits = limits::of(requirement);
    for limit in &limits {
        let mut held: Vec<Held> = Vec::new();
        for result in current {
            match against(design, requirement, result, limit) {
                Some(Ok(one)) => held.push(one),
                Some(Err(why)) => used.not_counting.push((result.index, why)),
                None => {}
            }
        }
        used.counting.extend(held.iter().map(|one| one.index));
        let last = |a: &Held, b: &Held| {
            a.bound.verdict.cmp(&b.bound.verdict).then(b.left().total_cmp(&a.left()))
        };
        worst.extend(held.into_iter().max_by(last));
    }
    used.counting.sort_unstable();
    used.counting.dedup();
    used.not_counting.sort_unstable();
    used.not_counting.dedup();
    let decision = Decision::of(worst.iter().map(|one| one.bound).collect());
    let decisive = decision
        .bounds
        .first()
        .and_then(|bound| worst.iter().find(|one| one.bound.side == bound.side).copied());
    used.decisive = decisive.map(|one| one.index);
    used.reading = decisive.map(|one| one.reading);
    // A limit against which nothing counts is not shown, unless another one is broken already.
    let is_open = worst.len() < limits.len() && decision.verdict() != Verdict::Fail;
    let why = used.not_counting.first().map(|(_, why)| Unproven::NotCounting(*why));
    ByEvidence {
        unproven: why.filter(|_| is_open),
        guard: decisive.map_or(0.0, |one| one.guard),
        expanded_u: decisive.map_or(0.0, |one| coverage_factor(design) * one.reading.u),
        decision,
        shown: None,
        used,
    }
}

fn against(
    design: &Design,
    requirement: &Requirement,
    result: &Spoken<'_>,
    limit: &Limit,
) -> Option<Result<Held, NotCounting>> {
    let rule = requirement.ambient_rule.as_ref().map_or(AmbientRule::Carry, |rule| rule.value);
    let extreme = if limit.side == Side::AtMost { Extreme::Hot } else { Extreme::Cold };
    let reading = match reading(design, result.evidence, rule, extreme)? {
        Ok(reading) => reading,
        Err(why) => return Some(Err(why)),
    };
    let is_simple = requirement.decide() == Decide::Simple;
    let guard = if is_simple { 0.0 } else { coverage_factor(design) * reading.u };
    let value = reading.value;
    let judgeable = Judgeable { basic: value, predicted: value, u: reading.u, guard };
    let bound = bound(&judgeable, limit);
    Some(Ok(Held { index: result.index, reading, guard, bound }))
}
