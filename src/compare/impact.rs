//! Brings everything together that a change does.

use std::collections::{BTreeMap, BTreeSet};

use super::reach::Reach;
use super::sides::Sides;
use super::state::{PartPair, State, pairs};
use super::{
    Cause, How, Impact, MeshChange, PartChange, VerdictChange, budgets, cause, computed, loosened,
};
use crate::design::{Design, nearness};
use crate::facet::{Facet, Facets, Known};
use crate::record::Id;
use crate::verdict::{Assessed, Finding, Judged};

/// What leads from `before` to `after`; everything is new where there is no state before.
#[must_use]
pub fn impact(before: Option<&Assessed>, after: &Assessed) -> Impact {
    let (from, to) = (before.map(State::of), State::of(after));
    let verdicts = verdicts(from.as_ref(), &to);
    let mut budgets = budgets::changes(before, after);
    budgets.extend(computed::changes(before, after));
    Impact {
        variants: before.map(|before| variants(before, after, &verdicts)).unwrap_or_default(),
        parts: parts(from.as_ref(), &to),
        budgets,
        verdicts,
        loosened: from.map(|from| loosened::all(from.design, to.design)).unwrap_or_default(),
        new_findings: beyond(after, before),
        gone_findings: before.map(|before| beyond(before, Some(after))).unwrap_or_default(),
    }
}

/// What happens to each variant, but for verdicts that turn everywhere. Of a new variant those are
/// told that are others than in the design itself.
fn variants(
    before: &Assessed,
    after: &Assessed,
    everywhere: &[VerdictChange],
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
        let mut change = impact(was, is);
        change.verdicts.retain(|turned| match was {
            Some(_) => !is_everywhere(turned),
            None => turned.after != after.of_requirement(&turned.requirement).map(|it| it.verdict),
        });
        Some((id.clone(), change))
    });
    changes.collect()
}

fn parts(before: Option<&State<'_>>, after: &State<'_>) -> Vec<PartChange> {
    let reach = Reach::of(after.design);
    let reach_before = before.map(|before| Reach::of(before.design));
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
        let is_gone = how == How::Removed;
        let reached = reach_before.as_ref().filter(|_| is_gone).unwrap_or(&reach).from(pair.id);
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
            reaches: reached.paths,
            requirements: reached.requirements,
        })
    };
    pairs(before, after).into_iter().filter_map(change).collect()
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
    let sides = before.map(|before| Sides::of(before, after));
    let mut pairs: BTreeMap<&Id, (Option<&Judged>, Option<&Judged>)> = BTreeMap::new();
    for judged in before.into_iter().flat_map(|before| &before.assessed.judged) {
        pairs.entry(&judged.requirement).or_default().0 = Some(judged);
    }
    for judged in &after.assessed.judged {
        pairs.entry(&judged.requirement).or_default().1 = Some(judged);
    }
    let change = |(before, after)| verdict(sides.as_ref(), before, after);
    pairs.into_values().filter_map(change).collect()
}

fn verdict(
    sides: Option<&Sides<'_>>,
    before: Option<&Judged>,
    after: Option<&Judged>,
) -> Option<VerdictChange> {
    let judged = after.or(before)?;
    let (cause, shares) = match (sides, before, after) {
        (_, Some(before), Some(after)) if before.verdict == after.verdict => return None,
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
