//! What holds up the release, turned around: by the parts that carry it.

use std::collections::BTreeMap;

use serde::Serialize;

use super::computed;
use super::evidence::overtaken_by;
use super::findings::holds_up;
use super::items::ItemRow;
use super::judged_on::{budget_of, contributions, largest, missing};
use crate::design::{Design, PartIx};
use crate::diagnostic::Code;
use crate::record::Id;
use crate::verdict::{Assessed, Judged, Side, Verdict};

/// A part and all that it holds up.
#[derive(Clone, Debug, Serialize)]
pub struct PartInTheWay {
    /// The part.
    pub part: Id,
    /// How much it holds up: one for each item, finding and missing figure, its share of each budget.
    pub weight: f64,
    /// Requirements that it carries.
    pub requirements: Vec<Carried>,
    /// Open items about it.
    pub items: Vec<Id>,
    /// Release checks that found something about it.
    pub findings: Vec<Code>,
}

/// A requirement that a part carries.
#[derive(Clone, Debug, Serialize)]
pub struct Carried {
    /// The requirement.
    pub requirement: Id,
    /// The part's share of the budget, where it is one of those that make it up.
    pub share: Option<f64>,
}

/// Parts that are named for a budget: the largest, until this share of it is covered …
const COVERED_SHARE: f64 = 0.8;
/// … and no more than so many.
const MOST_CARRIERS: usize = 3;

/// The parts that hold up the release, most of it first, then in the order of ids.
pub(super) fn by_part(assessed: &Assessed, items: &[ItemRow]) -> Vec<PartInTheWay> {
    let design = &assessed.design;
    let mut by_part: BTreeMap<Id, PartInTheWay> = BTreeMap::new();
    for judged in assessed.judged.iter().filter(|judged| judged.is_in_the_way()) {
        for (part, share) in carriers(assessed, judged) {
            let entry = entry(&mut by_part, design.id(part));
            entry.weight += share.unwrap_or(1.0);
            entry.requirements.push(Carried { requirement: judged.requirement.clone(), share });
        }
    }
    for item in items.iter().filter(|item| item.in_the_way) {
        for part in &item.parts {
            let entry = entry(&mut by_part, part);
            entry.weight += 1.0;
            entry.items.push(item.id.clone());
        }
    }
    for finding in assessed.findings.iter().filter(|finding| holds_up(assessed, finding)) {
        for part in finding.part.iter().chain(&finding.through) {
            let entry = entry(&mut by_part, design.id(*part));
            entry.weight += 1.0;
            if !entry.findings.contains(&finding.check) {
                entry.findings.push(finding.check);
            }
        }
    }
    let mut ranked: Vec<_> = by_part.into_values().collect();
    ranked.sort_by(|a, b| b.weight.total_cmp(&a.weight).then_with(|| a.part.cmp(&b.part)));
    ranked
}

fn entry<'a>(by_part: &'a mut BTreeMap<Id, PartInTheWay>, part: &Id) -> &'a mut PartInTheWay {
    by_part.entry(part.clone()).or_insert_with(|| PartInTheWay {
        part: part.clone(),
        weight: 0.0,
        requirements: Vec::new(),
        items: Vec::new(),
        findings: Vec::new(),
    })
}

/// The parts through which a requirement is no pass, with their shares of its budget.
pub(super) fn carriers(assessed: &Assessed, judged: &Judged) -> Vec<(PartIx, Option<f64>)> {
    let budget = budget_of(assessed, judged);
    let missing = budget.map_or_else(Vec::new, |budget| missing(judged, budget));
    let mut carriers: Vec<(PartIx, Option<f64>)> = match budget {
        Some(budget) if is_too_much(judged) => {
            largest(&contributions(judged, budget), COVERED_SHARE, MOST_CARRIERS)
                .into_iter()
                .map(|(contribution, share)| (contribution.part, Some(share)))
                .collect()
        }
        _ => computed_carriers(assessed, judged),
    };
    carriers.extend(missing.iter().map(|(part, _)| (*part, None)));
    if judged.beneath == Verdict::Stale {
        carriers.extend(overtaken_by(assessed, judged).into_iter().map(|part| (part, None)));
    }
    if carriers.is_empty() {
        carriers.extend(concerned(&assessed.design, judged).map(|part| (part, None)));
    }
    carriers
}

/// The parts that carry a computed figure, or that leave it without a value.
fn computed_carriers(assessed: &Assessed, judged: &Judged) -> Vec<(PartIx, Option<f64>)> {
    let Some(aimed) = judged.aimed.as_ref().filter(|aimed| aimed.decides) else {
        return Vec::new();
    };
    if let Some(Err(why)) = assessed.figures.computed.get(&aimed.aim) {
        return why.parts().into_iter().map(|part| (part, None)).collect();
    }
    let Some((_, end)) = assessed.computed(judged) else { return Vec::new() };
    let carriers = computed::carriers(end).into_iter().take(MOST_CARRIERS);
    carriers.map(|(part, share)| (part, Some(share))).collect()
}

/// Whether the sum is what stands in the way: an upper limit that is not kept, or only just.
fn is_too_much(judged: &Judged) -> bool {
    let upper = judged.bounds.first().is_some_and(|bound| bound.side == Side::AtMost);
    upper && matches!(judged.verdict, Verdict::Fail | Verdict::Edge | Verdict::Thin)
}

/// The part that a requirement is about; of a rail, the part that makes it.
fn concerned(design: &Design, judged: &Judged) -> Option<PartIx> {
    let requirement = &design.requirements[judged.index];
    if let Some(part) = &requirement.part {
        return design.part(part.as_str());
    }
    let rail = design.rail(requirement.rail.as_ref()?.as_str())?;
    design.part(rail.made_in.as_ref().or(rail.fed_by.as_ref())?.as_str())
}
