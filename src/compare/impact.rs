//! Brings everything together that a change does.

use std::cell::LazyCell;
use std::collections::{BTreeMap, BTreeSet};

use super::reach::Reach;
use super::sides::Sides;
use super::state::{PartPair, State, pairs};
use super::{Cause, How, Impact, PartChange, VerdictChange, budgets, cause, computed, loosened};
use crate::design::Design;
use crate::record::Id;
use crate::verdict::{Assessed, Finding, Judged};

/// What leads from `before` to `after`; everything is new where there is no state before.
#[must_use]
pub fn impact(before: Option<&Assessed>, after: &Assessed) -> Impact {
    let (from, to) = (before.map(State::of), State::of(after));
    let mut all = moved((before, from.as_ref()), (after, &to), impact);
    reach_out(&mut all.parts, from.as_ref(), &to);
    all.new_findings = beyond(after, before);
    all.gone_findings = before.map(|before| beyond(before, Some(after))).unwrap_or_default();
    all
}

/// The same but for what parts reach and for the findings of release checks.
#[must_use]
pub fn moves(before: Option<&Assessed>, after: &Assessed) -> Impact {
    moved((before, before.map(State::of).as_ref()), (after, &State::of(after)), moves)
}

/// A way to compare two states.
type Compare = fn(Option<&Assessed>, &Assessed) -> Impact;

fn moved(
    (before, from): (Option<&Assessed>, Option<&State<'_>>),
    (after, to): (&Assessed, &State<'_>),
    compare: Compare,
) -> Impact {
    let verdicts = verdicts(from, to);
    let mut budgets = budgets::changes(before, after);
    budgets.extend(computed::changes(before, after));
    Impact {
        variants: before
            .map(|before| variants(before, after, &verdicts, compare))
            .unwrap_or_default(),
        parts: parts(from, to),
        budgets,
        verdicts,
        loosened: from.map(|from| loosened::all(from.design, to.design)).unwrap_or_default(),
        ..Impact::default()
    }
}

/// What happens to each variant, but for verdicts that turn everywhere. Of a new variant those are
/// told that are others than in the design itself.
fn variants(
    before: &Assessed,
    after: &Assessed,
    everywhere: &[VerdictChange],
    compare: Compare,
) -> Vec<(Id, Impact)> {
    let is_everywhere = |turned: &VerdictChange| {
        everywhere.iter().any(|known| {
            known.requirement == turned.requirement
                && (known.before, known.after) == (turned.before, turned.after)
        })
    };
    let changes = after.variants.iter().filter_map(|is| {
        let id = is.design.variant.as_ref()?;
        let was = before.variant(id.as_str());
        let mut change = compare(was, is);
        change.verdicts.retain(|turned| match was {
            Some(_) => !is_everywhere(turned),
            None => turned.after != after.of_requirement(&turned.requirement).map(|it| it.verdict),
        });
        Some((id.clone(), change))
    });
    changes.collect()
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
fn reach_out(parts: &mut [PartChange], before: Option<&State<'_>>, after: &State<'_>) {
    let reach = Reach::of(after.design);
    let reach_before = before.map(|before| Reach::of(before.design));
    for part in parts {
        let before = reach_before.as_ref().filter(|_| part.how == How::Removed);
        let reached = before.unwrap_or(&reach).from(&part.part);
        (part.reaches, part.requirements) = (reached.paths, reached.requirements);
    }
}

fn version(design: &Design, part: &Id) -> Option<semver::Version> {
    let part = design.part(part.as_str())?;
    design.record(part).version.as_ref().map(|version| version.value.clone())
}

fn verdicts(before: Option<&State<'_>>, after: &State<'_>) -> Vec<VerdictChange> {
    // Most changes turn no verdict, and then nobody asks what moved the figures.
    let sides = LazyCell::new(|| before.map(|before| Sides::of(before, after)));
    let mut pairs: BTreeMap<&Id, (Option<&Judged>, Option<&Judged>)> = BTreeMap::new();
    for judged in before.into_iter().flat_map(|before| &before.assessed.judged) {
        pairs.entry(&judged.requirement).or_default().0 = Some(judged);
    }
    for judged in &after.assessed.judged {
        pairs.entry(&judged.requirement).or_default().1 = Some(judged);
    }
    let change = |(before, after): (Option<&Judged>, Option<&Judged>)| {
        let is_turned = before.map(|judged| judged.verdict) != after.map(|judged| judged.verdict);
        is_turned.then(|| verdict(sides.as_ref(), before, after)).flatten()
    };
    pairs.into_values().filter_map(change).collect()
}

fn verdict(
    sides: Option<&Sides<'_>>,
    before: Option<&Judged>,
    after: Option<&Judged>,
) -> Option<VerdictChange> {
    let judged = after.or(before)?;
    let (cause, shares) = match (sides, before, after) {
        (Some(sides), Some(before), Some(after)) => cause::turned(sides, before, after),
        _ => (Cause::Requirement, Vec::new()),
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
    let known = others.into_iter().flat_map(|of| of.findings.iter().map(|found| key(of, found)));
    let known: BTreeSet<_> = known.collect();
    let is_new = |found: &&Finding| !known.contains(&key(these, found));
    these.findings.iter().filter(is_new).cloned().collect()
}

fn key<'a>(of: &'a Assessed, found: &'a Finding) -> (&'static str, Option<&'a Id>, &'a str) {
    (found.check.0, found.part.map(|part| of.design.id(part)), &found.message)
}
