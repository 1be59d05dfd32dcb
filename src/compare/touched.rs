//! Items, decisions and steps that a change touches: their records, or the parts that they are about.

use std::collections::{BTreeMap, BTreeSet};

use super::ground::done;
use super::{How, PartChange, Planned, Touch, Touched};
use crate::design::{Design, Held};
use crate::diagnostic::At;
use crate::facet::Facet;
use crate::record::{Decision, Id, Item, Step};

/// Open items, decisions in force and steps that are touched, each kind in the order of ids.
pub(super) fn all(before: &Design, after: &Design, parts: &[PartChange]) -> Vec<Touched> {
    let others = Others::among(parts);
    let mut touched = items(before, after, &others);
    touched.extend(decisions(before, after, &others));
    touched.extend(steps(before, after, &others));
    touched
}

/// The parts that are other things now, came or went.
struct Others<'a>(BTreeSet<&'a Id>);

impl<'a> Others<'a> {
    fn among(parts: &'a [PartChange]) -> Self {
        let is_other = |change: &&PartChange| {
            let mut facets = change.facets.iter();
            change.how != How::Changed
                || facets.any(|facet| facet.is_physical() || *facet == Facet::Interface)
        };
        Self(parts.iter().filter(is_other).map(|change| &change.part).collect())
    }

    /// Those of `named` that are among them, each once.
    fn of<'n>(&self, named: impl IntoIterator<Item = &'n At<Id>>) -> Vec<Id> {
        let named: BTreeSet<&Id> = named.into_iter().map(|part| &part.value).collect();
        named.into_iter().filter(|part| self.0.contains(*part)).cloned().collect()
    }
}

/// The records of one kind in both states, by id.
fn pairs<'a, T>(
    (before, after): (&'a [Held<T>], &'a [Held<T>]),
    id: impl Fn(&T) -> &At<Id>,
) -> BTreeMap<&'a Id, (Option<&'a T>, Option<&'a T>)>
where
    T: 'a,
{
    let mut pairs: BTreeMap<&Id, (Option<&T>, Option<&T>)> = BTreeMap::new();
    for held in before {
        pairs.entry(&id(&held.record).value).or_default().0 = Some(&held.record);
    }
    for held in after {
        pairs.entry(&id(&held.record).value).or_default().1 = Some(&held.record);
    }
    pairs
}

fn touched(kind: Planned, id: &Id, touch: Option<Touch>, parts: Vec<Id>) -> Option<Touched> {
    let touch = touch.or_else(|| (!parts.is_empty()).then_some(Touch::Reached))?;
    Some(Touched { kind, id: id.clone(), touch, parts })
}

fn items(before: &Design, after: &Design, others: &Others<'_>) -> Vec<Touched> {
    let is_open = |item: &&Item| item.closed.is_none();
    let item = |(id, (was, is)): (&Id, (Option<&Item>, Option<&Item>))| {
        let touch = match (was.filter(is_open), is.filter(is_open)) {
            (None, None) => return None,
            (None, Some(_)) => Some(Touch::Added),
            (Some(_), None) if is.is_some() => Some(Touch::Closed),
            (Some(_), None) => Some(Touch::Removed),
            (Some(_), Some(_)) => None,
        };
        let parts = is.or(was).map(|item| others.of(&item.parts)).unwrap_or_default();
        touched(Planned::Item, id, touch, parts)
    };
    pairs((&before.items, &after.items), |item| &item.id).into_iter().filter_map(item).collect()
}

fn decisions(before: &Design, after: &Design, others: &Others<'_>) -> Vec<Touched> {
    let replaced = after.decisions.iter().flat_map(|decision| &decision.replaces);
    let replaced: BTreeSet<&Id> = replaced.map(|id| &id.value).collect();
    let decision = |(id, (was, is)): (&Id, (Option<&Decision>, Option<&Decision>))| {
        let touch = match (was, is) {
            (None, Some(_)) => Some(Touch::Added),
            (Some(_), None) => Some(Touch::Removed),
            _ if replaced.contains(id) => return None,
            _ => None,
        };
        let parts = is.or(was).map(|decision| others.of(&decision.parts)).unwrap_or_default();
        touched(Planned::Decision, id, touch, parts)
    };
    let pairs = pairs((&before.decisions, &after.decisions), |decision| &decision.id);
    pairs.into_iter().filter_map(decision).collect()
}

fn steps(before: &Design, after: &Design, others: &Others<'_>) -> Vec<Touched> {
    let step = |(id, (was, is)): (&Id, (Option<&Step>, Option<&Step>))| {
        let touch = match (was, is) {
            (None, _) => Some(Touch::Added),
            (_, None) => Some(Touch::Removed),
            (Some(was), Some(is)) => (done(was) != done(is)).then_some(Touch::Changed),
        };
        let parts = is.or(was).map(|step| others.of(handled(step))).unwrap_or_default();
        touched(Planned::Step, id, touch, parts)
    };
    pairs((&before.steps, &after.steps), |step| &step.id).into_iter().filter_map(step).collect()
}

/// The parts that a step is about.
fn handled(step: &Step) -> impl Iterator<Item = &At<Id>> {
    step.uses.iter().chain(&step.makes).map(|(part, _)| part).chain(&step.option)
}
