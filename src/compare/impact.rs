//! Brings everything together that a change does.

use std::cell::LazyCell;
use std::collections::{BTreeMap, BTreeSet};

use super::reach::Reach;
use super::sides::Sides;
use super::state::{PartPair, State, pairs};
use super::{Cause, How, Impact, MeshChange, PartChange, VerdictChange};
use super::{budgets, cause, computed, ground, loosened, results, touched};
use crate::design::{Design, nearness};
use crate::facet::{Facet, Facets, Known};
use crate::record::Id;
use crate::verdict::{Assessed, Finding, Judged};

/// What leads from `before` to `after`; everything is new where there is no state before.
#[must_use]
pub fn impact(before: Option<&Assessed>, after: &Assessed) -> Impact {
    let mut change = of_build(before, after);
    let Some(before) = before else { return change };
    change.loosened = loosened::all(&before.design, &after.design);
    change.ground = ground::changes(&before.design, &after.design);
    change.touched = touched::all(&before.design, &after.design, &change.parts);
    change.variants = variants(before, after, &change, of_build);
    change.new_variants = only_of(after, before);
    change.gone_variants = only_of(before, after);
    change
}

/// What happens to the design itself, or to one variant of it.
fn of_build(before: Option<&Assessed>, after: &Assessed) -> Impact {
    let (from, to) = (before.map(State::of), State::of(after));
    Impact {
        new_findings: beyond(after, before),
        gone_findings: before.map(|before| beyond(before, Some(after))).unwrap_or_default(),
        results: before.map(|before| results::changes(before, after)).unwrap_or_default(),
        ..reached_out(moved((before, from.as_ref()), (after, &to)), from.as_ref(), &to)
    }
}

/// What moved, but for what parts reach, results and the findings of release checks.
#[must_use]
pub fn moves(before: Option<&Assessed>, after: &Assessed) -> Impact {
    let mut change = moves_of_build(before, after);
    let Some(before) = before else { return change };
    change.loosened = loosened::all(&before.design, &after.design);
    change.variants = variants(before, after, &change, moves_of_build);
    change
}

fn moves_of_build(before: Option<&Assessed>, after: &Assessed) -> Impact {
    moved((before, before.map(State::of).as_ref()), (after, &State::of(after)))
}

/// A way to compare two states.
type Compare = fn(Option<&Assessed>, &Assessed) -> Impact;

fn moved(
    (before, from): (Option<&Assessed>, Option<&State<'_>>),
    (after, to): (&Assessed, &State<'_>),
) -> Impact {
    let mut budgets = budgets::changes(before, after);
    budgets.extend(computed::changes(before, after));
    Impact { parts: parts(from, to), budgets, verdicts: verdicts(from, to), ..Impact::default() }
}

/// What happens to each variant and does not happen to the design itself. Of a new variant that is
/// told in which it stands otherwise.
fn variants(
    before: &Assessed,
    after: &Assessed,
    itself: &Impact,
    compare: Compare,
) -> Vec<(Id, Impact)> {
    let changes = after.variants.iter().filter_map(|is| {
        let id = is.design.variant.as_ref()?;
        let was = before.variant(id.as_str());
        // Beside nothing all is new: a new variant is held against the design itself.
        let beside = was.unwrap_or(after);
        let mut change = compare(was, is);
        if was.is_none() {
            change.parts = Vec::new();
            change.new_findings = beyond(is, Some(beside));
        }
        change.parts.retain(|part| !itself.parts.iter().any(|known| is_alike(known, part)));
        change.verdicts.retain(|turned| match was {
            Some(_) => !itself.verdicts.iter().any(|known| turns_alike(known, turned)),
            None => turned.after != after.of_requirement(&turned.requirement).map(|it| it.verdict),
        });
        let new = keys(after, &itself.new_findings);
        change.new_findings.retain(|found| !new.contains(&key(is, found)));
        let gone = keys(before, &itself.gone_findings);
        change.gone_findings.retain(|found| !gone.contains(&key(beside, found)));
        Some((id.clone(), change))
    });
    changes.collect()
}

fn is_alike(one: &PartChange, other: &PartChange) -> bool {
    (&one.part, one.how, &one.facets) == (&other.part, other.how, &other.facets)
}

fn turns_alike(one: &VerdictChange, other: &VerdictChange) -> bool {
    let turn = |turned: &VerdictChange| (turned.before, turned.after);
    one.requirement == other.requirement && turn(one) == turn(other)
}

/// The variants that `one` has and `other` has not.
fn only_of(one: &Assessed, other: &Assessed) -> Vec<Id> {
    let variants = one.variants.iter().filter_map(|variant| variant.design.variant.as_ref());
    variants.filter(|id| other.variant(id.as_str()).is_none()).cloned().collect()
}

fn parts(before: Option<&State<'_>>, after: &State<'_>) -> Vec<PartChange> {
    let change = |pair: PartPair<'_>| {
        let (how, facets) = match (pair.before, pair.after) {
            (Some(was), Some(is)) => (How::Changed, was.changed(is)),
            (None, Some(is)) => (How::Added, is.said()),
            (Some(was), None) => (How::Removed, was.said()),
            (None, None) => return None,
        };
        if how == How::Changed && facets.is_empty() {
            return None;
        }
        Some(PartChange {
            part: pair.id.clone(),
            mesh: before.filter(|_| facets.contains(&Facet::Geometry)).and_then(|before| {
                mesh_change((before.design, pair.before?), (after.design, pair.after?), pair.id)
            }),
            how,
            facets,
            version: (
                before.and_then(|before| version(before.design, pair.id)),
                version(after.design, pair.id),
            ),
            reaches: Vec::new(),
            requirements: Vec::new(),
        })
    };
    pairs(before, after).into_iter().filter_map(change).collect()
}

/// Adds what each part reaches: in the state before, where it is gone.
fn reached_out(mut change: Impact, before: Option<&State<'_>>, after: &State<'_>) -> Impact {
    let reach = LazyCell::new(|| Reach::of(after.design));
    let reach_before = LazyCell::new(|| before.map(|before| Reach::of(before.design)));
    for part in &mut change.parts {
        let reach_of_gone = (part.how == How::Removed).then(|| reach_before.as_ref()).flatten();
        let reached = reach_of_gone.unwrap_or_else(|| &reach).from(&part.part);
        (part.reaches, part.requirements) = (reached.paths, reached.requirements);
    }
    change
}

fn mesh_change(
    (before, was): (&Design, &Facets),
    (after, is): (&Design, &Facets),
    part: &Id,
) -> Option<MeshChange> {
    if [was, is].iter().any(|facets| facets.known() == Known::NotAtHand) {
        return Some(MeshChange::Untold);
    }
    let [was, is] = [before, after].map(|design| Some((design, design.part(part.as_str())?)));
    nearness(was?, is?).map(MeshChange::Near)
}

fn version(design: &Design, part: &Id) -> Option<semver::Version> {
    let part = design.part(part.as_str())?;
    design.record(part).version.as_ref().map(|version| version.value.clone())
}

fn verdicts(before: Option<&State<'_>>, after: &State<'_>) -> Vec<VerdictChange> {
    // Only a verdict that turned asks for it.
    let sides = LazyCell::new(|| before.map(|before| Sides::of(before, after)));
    let mut pairs: BTreeMap<&Id, (Option<&Judged>, Option<&Judged>)> = BTreeMap::new();
    for judged in before.into_iter().flat_map(|before| &before.assessed.judged) {
        pairs.entry(&judged.requirement).or_default().0 = Some(judged);
    }
    for judged in &after.assessed.judged {
        pairs.entry(&judged.requirement).or_default().1 = Some(judged);
    }
    let change = |(before, after)| verdict(&|| sides.as_ref(), before, after);
    pairs.into_values().filter_map(change).collect()
}

fn verdict<'s>(
    sides: &dyn Fn() -> Option<&'s Sides<'s>>,
    before: Option<&Judged>,
    after: Option<&Judged>,
) -> Option<VerdictChange> {
    let judged = after.or(before)?;
    let both = before.zip(after);
    if both.is_some_and(|(before, after)| before.verdict == after.verdict) {
        return None;
    }
    let turned = both.and_then(|both| Some((sides()?, both)));
    let (cause, shares) = match turned {
        Some((sides, (before, after))) => cause::turned(sides, before, after),
        None => (Cause::Requirement, Vec::new()),
    };
    Some(VerdictChange {
        requirement: judged.requirement.clone(),
        priority: judged.priority,
        before: before.map(|judged| judged.verdict),
        after: after.map(|judged| judged.verdict),
        cause,
        shares,
    })
}

/// Findings of `these` that are not among those of `others`: another place of the same is no news.
fn beyond(these: &Assessed, others: Option<&Assessed>) -> Vec<Finding> {
    let known = others.map(|others| keys(others, &others.findings)).unwrap_or_default();
    let is_new = |found: &&Finding| !known.contains(&key(these, found));
    these.findings.iter().filter(is_new).cloned().collect()
}

/// What makes a finding the same in another state: the check, the part, and what it says.
type Key<'a> = (&'static str, Option<&'a Id>, &'a str);

fn keys<'a>(of: &'a Assessed, found: &'a [Finding]) -> BTreeSet<Key<'a>> {
    found.iter().map(|found| key(of, found)).collect()
}

fn key<'a>(of: &'a Assessed, found: &'a Finding) -> Key<'a> {
    let said = found.identity.as_ref().unwrap_or(&found.message);
    (found.check.0, found.part.map(|part| of.design.id(part)), said)
}
