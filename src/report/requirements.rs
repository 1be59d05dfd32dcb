//! How each requirement stands: a row a requirement.

use serde::Serialize;

use semver::Version;

use super::computed::{self, ComputedRow};
use super::evidence::{self, EvidenceRow};
use super::judged_on::{budget_of, missing, unit_of};
use super::remarks::remarks;
use super::shown::{Shown, as_text, percent};
use crate::design::Design;
use crate::evaluate::{Budget, coverage_factor};
use crate::quantity::{Measure, Unit};
use crate::record::{Id, Requirement};
use crate::verdict::{Assessed, Bound, Covered, Judged, Side, Verdict};

/// A requirement and how it stands.
#[derive(Clone, Debug, Serialize)]
pub struct RequirementRow {
    /// The requirement.
    pub id: Id,
    /// What people call it.
    pub title: Option<String>,
    /// How it stands.
    pub verdict: Verdict,
    /// How it would stand without waiver and due date.
    pub beneath: Verdict,
    /// `must` or `should`.
    pub priority: &'static str,
    /// Whether it holds up the release.
    pub in_the_way: bool,
    /// The value that is judged, with its expanded uncertainty.
    pub value: Option<Shown>,
    /// What was promised, in words: `at most 45 °C`, `by inspection`.
    pub promised: String,
    /// What was promised, in numbers; the decisive limit first.
    pub limits: Vec<LimitRow>,
    /// What should be known besides, most important first.
    pub remarks: Vec<String>,
    /// The computed figure that it is about, where it is about one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub computed: Option<ComputedRow>,
    /// Parts without a figure.
    pub missing: Vec<Id>,
    /// How many figures count as exact because they do not say how sure they are.
    pub without_uncertainty: usize,
    /// Results that speak to it, where it is shown by evidence.
    pub evidence: Vec<EvidenceRow>,
    /// The waiver that covers it.
    pub waiver: Option<WaiverRow>,
    /// The release that it is due at; always where not given.
    pub due: Option<String>,
}

/// A value against one limit.
#[derive(Clone, Debug, Serialize)]
pub struct LimitRow {
    /// The side.
    pub side: Side,
    /// The limit.
    pub limit: Shown,
    /// What is left of the way to it, negative beyond it.
    pub left: Shown,
    /// What should be left, where a margin is wanted.
    pub wanted: Option<Shown>,
    /// In words: `16 g left, 25 g wanted`, `6.4 K over`.
    pub text: String,
    /// The verdict against this limit alone.
    pub verdict: Verdict,
    /// Probability of lying inside the limit.
    pub inside_limit: f64,
    /// Probability of lying inside the margin too.
    pub inside_margin: f64,
}

/// A waiver, and the release from which on it no longer holds.
#[derive(Clone, Debug, Serialize)]
pub struct WaiverRow {
    /// The waiver.
    pub id: Id,
    /// From this release on it no longer holds.
    #[serde(serialize_with = "as_text")]
    pub until_before: Version,
}

impl WaiverRow {
    pub(super) fn of(covered: &Covered) -> Self {
        Self { id: covered.waiver.clone(), until_before: covered.until_before.clone() }
    }
}

/// A row a requirement, in the order of ids.
pub(super) fn rows(assessed: &Assessed) -> Vec<RequirementRow> {
    assessed.judged.iter().map(|judged| row(assessed, judged)).collect()
}

/// How one requirement stands.
pub(super) fn row(assessed: &Assessed, judged: &Judged) -> RequirementRow {
    let design = &assessed.design;
    let requirement = &design.requirements[judged.index];
    let budget = budget_of(assessed, judged);
    let unit = unit_of(design, requirement, judged);
    let missing = budget.map_or_else(Vec::new, |budget| missing(judged, budget));
    RequirementRow {
        id: judged.requirement.clone(),
        title: requirement.title.as_ref().map(|title| title.value.clone()),
        verdict: judged.verdict,
        beneath: judged.beneath,
        priority: judged.priority.word(),
        in_the_way: judged.is_in_the_way(),
        value: value(design, judged, budget, &unit)
            .map(|value| value.and_more(!missing.is_empty())),
        promised: promised(requirement),
        limits: judged
            .bounds
            .iter()
            .map(|bound| limit_row(bound, judged.expanded_u, &unit))
            .collect(),
        remarks: remarks(assessed, judged, budget, &unit),
        computed: computed::row(assessed, judged, &unit),
        missing: missing.iter().map(|(part, _)| design.id(*part).clone()).collect(),
        without_uncertainty: budget.map_or(0, |budget| budget.without_uncertainty),
        evidence: evidence::rows(assessed, judged),
        waiver: judged.covered.as_ref().map(WaiverRow::of),
        due: requirement.due.as_ref().map(|due| due.value.to_string()),
    }
}

/// The value that is judged against the decisive limit.
fn value(design: &Design, judged: &Judged, budget: Option<&Budget>, unit: &Unit) -> Option<Shown> {
    let coverage = coverage_factor(design);
    let budget = budget.filter(|budget| !budget.empty);
    let Some(bound) = judged.bounds.first() else {
        return budget.map(|budget| Shown::predicted(&budget.total, coverage, unit));
    };
    let total = budget.map(|budget| &budget.total).filter(|_| !judged.by_options);
    Some(match (total, bound.side) {
        (Some(total), Side::AtMost) if total.money.is_some() => {
            Shown::predicted(total, coverage, unit)
        }
        (Some(total), Side::AtLeast) if total.money.is_some() => {
            Shown::basic(total, coverage, unit)
        }
        _ => Shown::uncertain(bound.value, judged.expanded_u, unit),
    })
}

/// What was promised, in words.
pub(super) fn promised(requirement: &Requirement) -> String {
    let limits = &requirement.limits;
    let shown = |measure: &Measure| Shown::written(measure.base, &measure.unit).text;
    match (&limits.at_least, &limits.at_most, &limits.equals, &limits.within) {
        (Some(low), Some(high), ..) => format!("{} to {}", shown(low), shown(high)),
        (None, Some(high), ..) => format!("at most {}", shown(high)),
        (Some(low), None, ..) => format!("at least {}", shown(low)),
        (_, _, Some(wanted), Some(within)) => {
            let spread = Shown::difference(within.base, &within.unit).text;
            format!("{} ± {spread}", shown(wanted))
        }
        (_, _, Some(wanted), None) => format!("equals {}", shown(wanted)),
        _ => promised_otherwise(requirement),
    }
}

/// What was promised by a requirement without a limit.
fn promised_otherwise(requirement: &Requirement) -> String {
    if let Some(success) = &requirement.success {
        let trials = requirement.trials.as_ref().map(|trials| format!("{} ", trials.value));
        return format!("{} of {}trials", percent(success.value), trials.unwrap_or_default());
    }
    match &requirement.rail {
        Some(rail) => format!("rating of {}", rail.as_str()),
        None => format!("by {}", requirement.method().word()),
    }
}

fn limit_row(bound: &Bound, expanded_u: f64, unit: &Unit) -> LimitRow {
    let wanted = (bound.margin > 0.0).then(|| Shown::difference(bound.margin, unit));
    let size = Shown::difference_to(bound.left.abs(), expanded_u, unit).text;
    let beyond = if bound.side == Side::AtMost { "over" } else { "short" };
    let text = match &wanted {
        _ if bound.left < 0.0 => format!("{size} {beyond}"),
        Some(wanted) => format!("{size} left, {} wanted", wanted.text),
        None => format!("{size} left"),
    };
    LimitRow {
        side: bound.side,
        limit: Shown::written(bound.limit, unit),
        left: Shown::difference(bound.left, unit),
        wanted,
        text,
        verdict: bound.verdict,
        inside_limit: bound.inside_limit,
        inside_margin: bound.inside_margin,
    }
}
