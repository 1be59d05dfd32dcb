//! What to do next: concrete, in the order in which it helps.

use std::collections::BTreeSet;

use serde::Serialize;

use super::computed;
use super::evidence::to_repeat;
use super::findings::holds_up;
use super::items::ItemRow;
use super::judged_on::{budget_of, contributions, largest, missing, unit_of};
use super::proposal::ProposalReport;
use super::shown::{Shown, percent, some_of};
use super::variants;
use crate::compare::Impact;
use crate::evaluate::{Budget, By, Missing, Unprinted};
use crate::evidence::NotCounting;
use crate::quantity::{Basis, Unit};
use crate::record::Id;
use crate::verdict::{Assessed, Bound, Finding, Judged, Side, Unproven, Verdict};

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NextStep {
    /// What kind of thing it is.
    pub step: Step,
    /// What to do, in one line.
    pub text: String,
    /// The requirement, item, parts or check that it is about.
    pub about: Vec<String>,
}

impl NextStep {
    /// The same, to be done in a variant.
    fn in_variant(self, id: &Id) -> Self {
        Self { text: format!("in {id}: {}", self.text), ..self }
    }
}

/// Kinds of things to do, in the order in which they are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// Change the design: it is beyond a limit.
    Mend,
    /// Know a figure better, or gain room.
    Narrow,
    /// Gain margin.
    Widen,
    /// State a figure, add an offer.
    Supply,
    /// Show by inspection, demonstration or test.
    Prove,
    /// Close an open item.
    Close,
    /// Do what a release check asks for.
    Settle,
    /// Take a version that is high enough.
    Renumber,
    /// Say why less is promised than before.
    Explain,
    /// Write down why something is let through.
    Waive,
    /// Make the release.
    Release,
}

/// Parts that are named for one thing to do.
const NAMED_PARTS: usize = 3;

/// What to do next, each thing once.
pub(super) fn next(
    assessed: &Assessed,
    items: &[ItemRow],
    unfit: Option<&ProposalReport>,
) -> Vec<NextStep> {
    let held_up = assessed.judged.iter().filter(|judged| judged.is_in_the_way());
    let mut steps: Vec<NextStep> = held_up.flat_map(|judged| towards(assessed, judged)).collect();
    steps.extend(items.iter().filter(|item| item.in_the_way).map(close));
    steps
        .extend(assessed.findings.iter().filter(|finding| holds_up(assessed, finding)).map(settle));
    steps.extend(assessed.variants.iter().flat_map(|variant| in_variant(assessed, variant)));
    steps.extend(unfit.map(renumber));
    let mut steps = in_order(steps);
    steps.extend(last(assessed, &steps));
    steps
}

/// What to do about what is in the way of a variant alone.
fn in_variant(assessed: &Assessed, variant: &Assessed) -> Vec<NextStep> {
    let Some(id) = &variant.design.variant else { return Vec::new() };
    let own = variants::own(assessed, variant).flat_map(|judged| towards(variant, judged));
    let found = variants::own_findings(assessed, variant).map(settle);
    own.chain(found).map(|step| step.in_variant(id)).collect()
}

/// What to do about a change, each thing once: what it turned, what it loosened, what it brought.
pub(super) fn after_change(change: &Impact, after: &Assessed) -> Vec<NextStep> {
    let mut steps = about_turned(change, after);
    for (id, change) in &change.variants {
        let variant = after.variant(id.as_str());
        let turned = variant.map(|variant| about_turned(change, variant)).unwrap_or_default();
        steps.extend(turned.into_iter().map(|step| step.in_variant(id)));
    }
    steps.extend(change.loosened.iter().map(|loosened| NextStep {
        step: Step::Explain,
        text: match loosened.what {
            "requirement" => {
                format!("say why {} is gone, with `tagworthy decide`", loosened.requirement)
            }
            what => format!(
                "say why {what} of {} was loosened, with `tagworthy decide`",
                loosened.requirement
            ),
        },
        about: vec![loosened.requirement.as_str().into()],
    }));
    in_order(steps)
}

/// What to do about that which a change turned and found in one build.
fn about_turned(change: &Impact, after: &Assessed) -> Vec<NextStep> {
    let is_turned = |judged: &&Judged| {
        let mut turned = change.verdicts.iter();
        judged.is_in_the_way() && turned.any(|turned| turned.requirement == judged.requirement)
    };
    let turned = after.judged.iter().filter(is_turned);
    let found = change.new_findings.iter().filter(|finding| holds_up(after, finding)).map(settle);
    turned.flat_map(|judged| towards(after, judged)).chain(found).collect()
}

/// What would mend one requirement, a text each.
pub(super) fn for_requirement(assessed: &Assessed, requirement: &Id) -> Vec<String> {
    let judged = assessed.of_requirement(requirement);
    let steps = judged.map_or_else(Vec::new, |judged| towards(assessed, judged));
    steps.into_iter().map(|step| step.text).collect()
}

/// Each step once, in the order of kinds.
fn in_order(mut steps: Vec<NextStep>) -> Vec<NextStep> {
    let mut seen = BTreeSet::new();
    steps.retain(|step| seen.insert(step.text.clone()));
    steps.sort_by_key(|step| step.step);
    steps
}

fn renumber(due: &ProposalReport) -> NextStep {
    NextStep {
        step: Step::Renumber,
        text: format!("call it {} or higher: `next` in the manifest", due.version),
        about: vec![due.design.as_str().into()],
    }
}

fn settle(finding: &Finding) -> NextStep {
    NextStep {
        step: Step::Settle,
        text: finding.remedy.clone().unwrap_or_else(|| finding.message.clone()),
        about: vec![finding.check.0.into()],
    }
}

/// What follows `steps`: the release where there are none; else a way around them, where one of them
/// has any.
fn last(assessed: &Assessed, steps: &[NextStep]) -> Option<NextStep> {
    if steps.is_empty() {
        let release = assessed.occasion.release.to_string();
        let text = format!("tag it: tagworthy release {release}");
        return Some(NextStep { step: Step::Release, text, about: vec![release] });
    }
    let text =
        "or let one through with a reason: a `[waiver.…]` record, up to a value and a release";
    let around = NextStep { step: Step::Waive, text: text.into(), about: Vec::new() };
    steps.iter().any(|step| step.step != Step::Renumber).then_some(around)
}

/// What brings one requirement nearer to a pass.
fn towards(assessed: &Assessed, judged: &Judged) -> Vec<NextStep> {
    let budget = budget_of(assessed, judged);
    let requirement = &assessed.design.requirements[judged.index];
    let unit = unit_of(&assessed.design, requirement, judged);
    let mut steps = budget.map_or_else(Vec::new, |budget| supply(assessed, judged, budget));
    let by_lever = || lever(assessed, judged).map(|lever| format!(": {lever}")).unwrap_or_default();
    let bound = judged.bounds.first();
    if judged.verdict == Verdict::Stale {
        let repeat = to_repeat(assessed, judged);
        steps.extend(repeat.map(|text| about(Step::Prove, judged, text)));
    }
    steps.extend(match (judged.verdict, bound) {
        (Verdict::Fail, Some(bound)) => {
            Some(with(mend(assessed, judged, bound, budget, &unit), &by_lever()))
        }
        (Verdict::Fail, None) => {
            Some(about(Step::Mend, judged, format!("mend {}", judged.requirement)))
        }
        (Verdict::Edge, Some(bound)) => {
            Some(with(narrow(assessed, judged, bound, budget, &unit), &by_lever()))
        }
        (Verdict::Thin, Some(bound)) => Some(with(widen(judged, bound, &unit), &by_lever())),
        (Verdict::Unproven, _) => judged.unproven.as_ref().and_then(|why| prove(judged, why)),
        _ => None,
    });
    steps
}

/// What would move a computed figure most towards a pass.
fn lever(assessed: &Assessed, judged: &Judged) -> Option<String> {
    let is_too_much = judged.bounds.first()?.side == Side::AtMost;
    let (_, end) = assessed.computed(judged)?;
    let design = &assessed.design;
    match &end.by {
        By::HeatPaths if is_too_much => computed::best_levers(design, &end.value, 1),
        By::Loads(_) => {
            let (part, share) = computed::carriers(end).into_iter().next()?;
            Some(format!("{} is {} of the peak", design.id(part), percent(share)))
        }
        By::HeatPaths | By::Formula | By::Moments(_) => None,
    }
}

fn with(step: NextStep, more: &str) -> NextStep {
    NextStep { text: step.text + more, ..step }
}

fn about(step: Step, judged: &Judged, text: String) -> NextStep {
    NextStep { step, text, about: vec![judged.requirement.as_str().into()] }
}

fn mend(
    assessed: &Assessed,
    judged: &Judged,
    bound: &Bound,
    budget: Option<&Budget>,
    unit: &Unit,
) -> NextStep {
    let needed = needed(judged, bound, unit);
    let (direction, by) = match bound.side {
        Side::AtMost => {
            ("down", budget.map_or_else(String::new, |budget| mostly(assessed, judged, budget)))
        }
        Side::AtLeast => ("up", String::new()),
    };
    let text = format!("bring {} {direction} by {needed}{by}", judged.requirement);
    about(Step::Mend, judged, text)
}

/// What must still be gained for a pass: up to the margin, with the whole uncertainty.
fn needed(judged: &Judged, bound: &Bound, unit: &Unit) -> String {
    let needed = bound.margin + judged.expanded_u - bound.left;
    Shown::difference_to(needed, judged.expanded_u, unit).text
}

/// `; led-panel is 35 % of it`, where several parts make up a budget.
fn mostly(assessed: &Assessed, judged: &Judged, budget: &Budget) -> String {
    let contributions = contributions(judged, budget);
    match largest(&contributions, 1.0, 1).first() {
        Some((contribution, share)) if contributions.len() > 1 => {
            format!("; {} is {} of it", assessed.design.id(contribution.part), percent(*share))
        }
        _ => String::new(),
    }
}

fn narrow(
    assessed: &Assessed,
    judged: &Judged,
    bound: &Bound,
    budget: Option<&Budget>,
    unit: &Unit,
) -> NextStep {
    let needed = needed(judged, bound, unit);
    let better = budget.and_then(|budget| least_known(assessed, judged, budget));
    let better = better.map(|part| format!(", or measure {part}")).unwrap_or_default();
    about(Step::Narrow, judged, format!("win {needed} in {}{better}", judged.requirement))
}

/// The part whose figure adds most to the uncertainty, unless it is measured already.
fn least_known(assessed: &Assessed, judged: &Judged, budget: &Budget) -> Option<Id> {
    let candidates = contributions(judged, budget)
        .into_iter()
        .filter(|contribution| contribution.basis != Basis::Measured && contribution.total.u > 0.0);
    let worst = candidates.max_by(|a, b| a.total.u.total_cmp(&b.total.u))?;
    Some(assessed.design.id(worst.part).clone())
}

fn widen(judged: &Judged, bound: &Bound, unit: &Unit) -> NextStep {
    let needed = needed(judged, bound, unit);
    about(Step::Widen, judged, format!("win {needed} of margin in {}", judged.requirement))
}

fn prove(judged: &Judged, why: &Unproven) -> Option<NextStep> {
    let id = &judged.requirement;
    let text = match why {
        Unproven::NoEvidence(method) => format!("show {id} by {} and record it", method.word()),
        Unproven::NoFigure => {
            let quantity = judged.subject.as_ref().map(|subject| subject.quantity.as_str());
            format!("state {} for {id}", quantity.unwrap_or("a figure"))
        }
        Unproven::NoValue(why) => format!("make {id} computable: {why}"),
        Unproven::NotComputed(_) => format!("show {id} in another way: nothing computes it yet"),
        Unproven::Unpinned => format!("give the evidence for {id} its revision, or repeat it"),
        Unproven::Undecidable => format!("judge {id} where its revisions and files are at hand"),
        Unproven::Contradiction => format!("mend the seal of the evidence for {id}, or repeat it"),
        Unproven::NotCounting(NotCounting::NoWorkingAmbient) => {
            format!("give the [ambient] that {id} is carried to")
        }
        Unproven::NotCounting(_) => format!("repeat the evidence for {id}"),
        Unproven::SoFar { tally, wanted } => {
            let left = wanted.saturating_sub(tally.of);
            format!("make the {left} trials that {id} still lacks")
        }
        Unproven::Incomplete => return None,
    };
    Some(about(Step::Prove, judged, text))
}

/// What the parts without a figure need.
fn supply(assessed: &Assessed, judged: &Judged, budget: &Budget) -> Vec<NextStep> {
    let quantity = judged.subject.as_ref().map_or("a figure", |subject| subject.quantity.as_str());
    let kinds = [
        Missing::Figure,
        Missing::Formula,
        Missing::Mass,
        Missing::Offer,
        Missing::MaterialOffer,
        Missing::PackUnit,
        Missing::Overflow,
    ];
    let kinds = kinds.into_iter().chain(Unprinted::ALL.map(Missing::Mesh));
    let missing = missing(judged, budget);
    kinds
        .filter_map(|kind| {
            let parts = missing.iter().filter(|(_, why)| *why == kind);
            let parts: Vec<&Id> = parts.map(|(part, _)| assessed.design.id(*part)).collect();
            let names = some_of(&parts, NAMED_PARTS);
            let text = match kind {
                Missing::Figure => format!("state {quantity} for {names}"),
                Missing::Mesh(why) => format!("{} of {names}, or state mass", mended(why)),
                Missing::Formula => format!("mend the formula of {quantity} of {names}"),
                Missing::Mass => format!("state mass for {names}"),
                Missing::Offer => format!("add an offer for {names}"),
                Missing::MaterialOffer => format!("name a material that has an offer for {names}"),
                Missing::PackUnit => format!("give pack in the unit that {names} comes in"),
                Missing::Overflow => format!("check the amounts of {names}: too large to add up"),
            };
            let about = parts.into_iter().map(|part| part.as_str().into()).collect();
            (!names.is_empty()).then_some(NextStep { step: Step::Supply, text, about })
        })
        .collect()
}

/// What to do where a mesh does not give the mass of its part.
fn mended(why: Unprinted) -> &'static str {
    match why {
        Unprinted::NoFile => "commit the mesh",
        Unprinted::NotFetched => "fetch the mesh",
        Unprinted::Unreadable | Unprinted::Open => "export a closed mesh",
        Unprinted::NoDensity => "state the density of the material",
    }
}

fn close(item: &ItemRow) -> NextStep {
    let first = some_of(&item.after, NAMED_PARTS);
    let first = if first.is_empty() { first } else { format!(", after {first}") };
    let title = item.title.as_ref().map(|title| format!(" ({title})")).unwrap_or_default();
    let text = format!("close item {}{title}{first}", item.id);
    NextStep { step: Step::Close, text, about: vec![item.id.as_str().into()] }
}
