//! What becomes of results on the way from one state to the other.

use std::collections::BTreeMap;

use super::{ResultChange, ResultTurn};
use crate::design::Design;
use crate::evidence::{Standing, Stands};
use crate::record::{Evidence, Id};
use crate::verdict::{Assessed, Judged};

/// Results that came, went, were overtaken, hold again or were set aside, in the order of ids.
pub(super) fn changes(before: &Assessed, after: &Assessed) -> Vec<ResultChange> {
    let mut pairs: BTreeMap<&Id, [Option<Place<'_>>; 2]> = BTreeMap::new();
    for (side, assessed) in [before, after].into_iter().enumerate() {
        for (index, evidence, stands) in assessed.standings.results(&assessed.design) {
            let place = Place { assessed, index, standing: &stands.standing };
            pairs.entry(&evidence.id.value).or_default()[side] = Some(place);
        }
    }
    let change = |(id, [was, is]): (&Id, [Option<Place<'_>>; 2])| {
        Some(ResultChange {
            evidence: id.clone(),
            turn: turn(was.map(|was| was.standing), is.map(|is| is.standing))?,
            requirements: is.or(was)?.spoken_to(),
        })
    };
    pairs.into_iter().filter_map(change).collect()
}

/// A result in one state.
#[derive(Clone, Copy)]
struct Place<'a> {
    assessed: &'a Assessed,
    index: usize,
    standing: &'a Standing,
}

impl Place<'_> {
    /// The requirements that it speaks to.
    fn spoken_to(&self) -> Vec<Id> {
        let speaks = |judged: &&Judged| {
            judged.evidence.as_ref().is_some_and(|used| used.results.contains(&self.index))
        };
        let judged = self.assessed.judged.iter().filter(speaks);
        judged.map(|judged| judged.requirement.clone()).collect()
    }
}

fn turn(was: Option<&Standing>, is: Option<&Standing>) -> Option<ResultTurn> {
    let Some(is) = is else { return Some(ResultTurn::Removed) };
    match (was, is) {
        (Some(Standing::Current), Standing::Stale(_)) => Some(ResultTurn::Overtaken),
        (Some(Standing::Stale(_)), Standing::Current) => Some(ResultTurn::HoldsAgain),
        (Some(Standing::SetAside), Standing::SetAside) => None,
        (Some(_), Standing::SetAside) => Some(ResultTurn::SetAside),
        (None, _) => Some(ResultTurn::Added),
        _ => None,
    }
}

/// Whether results that came, went or say something else turned a verdict, and no change of the parts
/// that those results were won on which counted before.
pub(super) fn turned(
    (before, was): (&Assessed, &Judged),
    (after, is): (&Assessed, &Judged),
) -> bool {
    let (were, are) = (Spoken::of(before, was), Spoken::of(after, is));
    let counted = || were.results.iter().filter(|(_, result)| result.counts);
    let is_overtaken = |id: &Id| {
        let now = are.results.get(id).map(|result| &result.stands.standing);
        matches!(now, Some(Standing::Stale(_)))
    };
    if counted().any(|(id, _)| is_overtaken(id)) {
        return false;
    }
    let counts_no_more = |id: &Id| !are.results.get(id).is_some_and(|result| result.counts);
    let says_more = |(id, now): (&&Id, &Result<'_>)| match were.results.get(*id) {
        None => true,
        Some(_) if !now.counts => false,
        Some(then) => then.is_pinned_since(now) || found(then.evidence) != found(now.evidence),
    };
    counted().any(|(id, _)| counts_no_more(id)) || are.results.iter().any(says_more)
}

/// The results that speak to one requirement, by id.
struct Spoken<'a> {
    results: BTreeMap<&'a Id, Result<'a>>,
}

struct Result<'a> {
    evidence: &'a Evidence,
    stands: &'a Stands,
    counts: bool,
}

impl<'a> Spoken<'a> {
    fn of(assessed: &'a Assessed, judged: &'a Judged) -> Self {
        let design: &'a Design = &assessed.design;
        let result = |used: &'a crate::verdict::EvidenceUsed, index: usize| {
            let evidence: &'a Evidence = &design.evidence[index];
            let (stands, counts) = (assessed.standings.of(index), used.counting.contains(&index));
            (&evidence.id.value, Result { evidence, stands, counts })
        };
        let used = judged.evidence.iter();
        let results = used.flat_map(|used| used.results.iter().map(|index| result(used, *index)));
        Self { results: results.collect() }
    }
}

impl Result<'_> {
    /// Whether it is said only now what was on the bench, or of which parts a change does not matter.
    fn is_pinned_since(&self, now: &Result<'_>) -> bool {
        let is_told = matches!(self.stands.standing, Standing::Current | Standing::Stale(_));
        !is_told || self.stands.carried_over != now.stands.carried_over
    }
}

/// What was found on the bench.
fn found(evidence: &Evidence) -> impl PartialEq + use<> {
    let figures = [&evidence.value, &evidence.ambient, &evidence.steady]
        .map(|figure| figure.as_ref().map(|at| at.value.clone()));
    let outcome = evidence.outcome.as_ref().map(|outcome| outcome.value);
    let trials = evidence.trials.as_ref();
    (figures, outcome, trials.map(|trials| (trials.passed.value, trials.of.value)))
}
