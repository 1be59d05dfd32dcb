//! What a change turns, in the words of `[guard]`.

use crate::compare::{BudgetChange, Cause, Impact, VerdictChange};
use crate::history::figure_of;
use crate::record::{Event, Id, Priority};
use crate::verdict::{Assessed, Judged, Unproven, Verdict};

/// A requirement that a change turns for the worse.
#[derive(Clone, Debug)]
pub struct Turned {
    /// The variant in which it does, where it does not in the design itself.
    pub variant: Option<Id>,
    /// What happens to it.
    pub event: Event,
    /// Its verdict, before and after.
    pub change: VerdictChange,
}

/// Every must-have that the change turns for the worse, in the order of ids: in the design itself,
/// then in variants where the same does not happen to it in the design itself.
#[must_use]
pub fn turned(before: &Assessed, after: &Assessed, impact: &Impact) -> Vec<Turned> {
    let mut turned = turned_in(before, after, impact);
    let itself = turned.len();
    for (id, change) in &impact.variants {
        let Some((before, after)) = before.variant(id.as_str()).zip(after.variant(id.as_str()))
        else {
            continue;
        };
        let further = turned_in(before, after, change).into_iter().filter(|further| {
            let same = |known: &Turned| {
                known.event == further.event
                    && known.change.requirement == further.change.requirement
            };
            !turned[..itself].iter().any(same)
        });
        let further: Vec<Turned> =
            further.map(|further| Turned { variant: Some(id.clone()), ..further }).collect();
        turned.extend(further);
    }
    turned
}

/// Every must-have that the change turns for the worse in one build.
fn turned_in(before: &Assessed, after: &Assessed, impact: &Impact) -> Vec<Turned> {
    let judged = |id: &str| after.judged.iter().find(|judged| judged.requirement == *id);
    let changed = impact.verdicts.iter().filter_map(|change| {
        let event = event(change, judged(change.requirement.as_str())?)?;
        Some(Turned { variant: None, event, change: change.clone() })
    });
    let mut turned: Vec<Turned> = changed.chain(worse(before, after, impact)).collect();
    turned.sort_by(|a, b| a.change.requirement.cmp(&b.change.requirement));
    turned
}

fn event(change: &VerdictChange, after: &Judged) -> Option<Event> {
    let from = change.before?;
    if change.priority != Priority::Must {
        return None;
    }
    match (change.after?, change.cause) {
        (Verdict::Fail, Cause::Design) => Some(Event::NewlyFailing),
        (Verdict::Fail, Cause::Knowledge) => Some(Event::NewlyKnownFailing),
        (Verdict::Edge, Cause::Design) if from != Verdict::Fail => Some(Event::NewlyEdge),
        (Verdict::Stale, Cause::Design) => Some(Event::NewlyStale),
        (Verdict::Unproven, Cause::Design) if is_incomplete(after) => Some(Event::NewlyIncomplete),
        _ => None,
    }
}

fn is_incomplete(judged: &Judged) -> bool {
    judged.unproven == Some(Unproven::Incomplete)
}

/// Requirements that failed already, and moved away from their limit because the design changed.
fn worse(before: &Assessed, after: &Assessed, impact: &Impact) -> Vec<Turned> {
    let failing = after
        .judged
        .iter()
        .filter(|judged| judged.verdict == Verdict::Fail && judged.priority == Priority::Must);
    failing
        .filter_map(|is| {
            let was = before.judged.iter().find(|was| was.requirement == is.requirement)?;
            let is_worse = was.verdict == Verdict::Fail && left(is)? < left(was)?;
            let change = || compared(after, was, is, impact);
            is_worse.then(change).flatten()
        })
        .collect()
}

fn left(judged: &Judged) -> Option<f64> {
    judged.bounds.first().map(|bound| bound.left)
}

fn compared(after: &Assessed, was: &Judged, is: &Judged, impact: &Impact) -> Option<Turned> {
    let figure = figure_of(&after.design, is)?;
    let is_meant = |moved: &&BudgetChange| {
        (&moved.part, &moved.quantity, moved.builds) == (&figure.0, &figure.1, figure.2)
    };
    let moved = impact.budgets.iter().find(is_meant)?;
    let change = VerdictChange {
        requirement: is.requirement.clone(),
        priority: is.priority,
        before: Some(was.verdict),
        after: Some(is.verdict),
        cause: Cause::Design,
        shares: moved.shares.clone(),
    };
    Some(Turned { variant: None, event: Event::NewlyWorse, change })
}
