//! The release checklist: where the design stands, what is in the way, through which part, and what
//! to do next.

use serde::Serialize;

use semver::Version;

use super::cautions::{self, Cautions};
use super::findings::{self, FindingRow, holds_up, is_of_item, is_of_requirement};
use super::in_the_way::{PartInTheWay, by_part};
use super::items::{ItemRow, WorkLeft, open_items, work_left};
use super::ledger::LookBackReport;
use super::moves;
use super::next::{NextStep, next};
use super::place::{Lines, Place};
use super::proposal::{ProposalReport, proposal};
use super::requirements::{self, RequirementRow};
use super::shown::{Shown, as_text, count};
use super::variants::{self, VariantRow};
use crate::evaluate::coverage_factor;
use crate::record::Id;
use crate::release;
use crate::verdict::{Assessed, Finding};

/// The checklist for one release.
#[derive(Clone, Debug, Serialize)]
pub struct Checklist {
    /// Where the design stands, in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// The variant of it, where one is judged.
    pub variant: Option<Id>,
    /// The release that it is judged for.
    #[serde(serialize_with = "as_text")]
    pub release: Version,
    /// The state of the repository that was judged.
    pub place: Place,
    /// Whether nothing is in the way.
    pub ready: bool,
    /// How much is in the way.
    pub held_up_by: HeldUp,
    /// Every requirement, in the order of ids.
    pub requirements: Vec<RequirementRow>,
    /// Every open item, in an order in which they can be done.
    pub items: Vec<ItemRow>,
    /// What is left of those that are in the way; nothing where none is.
    pub work: Option<WorkLeft>,
    /// What the release checks found, in their order.
    pub findings: Vec<FindingRow>,
    /// Which version is due, where the one that is judged will not do after the last release.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub version: Option<ProposalReport>,
    /// What optional parts would add to the budgets that are judged.
    pub optional: Vec<OptionalRow>,
    /// The variants, in the order of ids.
    pub variants: Vec<VariantRow>,
    /// Parts by how much they hold up, most first.
    pub by_part: Vec<PartInTheWay>,
    /// When requirements that are in the way last held, who moved them since, and what became of the
    /// budgets since the last release; nothing where nobody looked back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub history: Option<LookBackReport>,
    /// What can hurt.
    pub cautions: Option<Cautions>,
    /// What to do next, in this order.
    pub next: Vec<NextStep>,
}

/// How much holds up a release.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct HeldUp {
    /// Must-haves that are in the way …
    pub requirements: usize,
    /// … of so many requirements.
    pub of_requirements: usize,
    /// Open items that are due.
    pub items: usize,
    /// Findings of release checks.
    pub findings: usize,
    /// Variants with something in the way that is not in the way of the design itself.
    pub variants: usize,
    /// Whether the version's number is too low for what changed since the last release.
    pub version: bool,
}

/// What the optional parts would add to a budget.
#[derive(Clone, Debug, Serialize)]
pub struct OptionalRow {
    /// What it is called: `mass`, `mass of film-gate`, `cost (10 builds)`.
    pub name: String,
    /// The part whose budget it is.
    pub part: Id,
    /// The quantity.
    pub quantity: Id,
    /// Number of builds in the order that a cost is meant of.
    pub builds: u64,
    /// What they add together.
    pub adds: Shown,
    /// The value with all of them.
    pub total: Shown,
    /// The optional parts, in the order of ids.
    pub parts: Vec<Id>,
}

/// The checklist of a design, as it stands at `place`; `lines` says where findings are written.
#[must_use]
pub fn checklist(assessed: &Assessed, place: Place, lines: Lines<'_>) -> Checklist {
    checked(assessed, place, lines, None)
}

/// The same of what is to be released under the version that it is judged for: one that is too low for
/// what changed since the last release is in the way too.
#[must_use]
pub fn checklist_of_release(assessed: &Assessed, place: Place, lines: Lines<'_>) -> Checklist {
    let design = &assessed.design;
    // A variant is released with the design, and what it goes without is no break.
    let last = assessed.occasion.past.last.as_ref().filter(|_| design.variant.is_none());
    let unfit = last.and_then(|last| {
        let due = release::propose(&last.version, &last.design, design);
        let report = proposal(&design.name, &due, Some(&assessed.occasion.release));
        report.unfit.is_some().then_some(report)
    });
    checked(assessed, place, lines, unfit)
}

fn checked(
    assessed: &Assessed,
    place: Place,
    lines: Lines<'_>,
    version: Option<ProposalReport>,
) -> Checklist {
    let design = &assessed.design;
    let items = open_items(assessed);
    let variants = variants::rows(assessed, lines);
    let in_the_way: Vec<ItemRow> = items.iter().filter(|item| item.in_the_way).cloned().collect();
    let held_up_by = HeldUp {
        requirements: assessed.judged.iter().filter(|judged| judged.is_in_the_way()).count(),
        of_requirements: assessed.judged.len(),
        items: items.iter().filter(|item| item.in_the_way).count(),
        findings: assessed.findings.iter().filter(|finding| holds_up(assessed, finding)).count(),
        variants: variants.iter().filter(|row| row.has_its_own()).count(),
        version: version.is_some(),
    };
    let is_told = |finding: &&Finding| is_of_item(finding) || is_of_requirement(assessed, finding);
    let findings = assessed.findings.iter().filter(|finding| !is_told(finding));
    Checklist {
        headline: headline(assessed, &place, held_up_by),
        design: design.name.clone(),
        variant: design.variant.clone(),
        release: assessed.occasion.release.clone(),
        place,
        ready: held_up_by.is_nothing(),
        held_up_by,
        requirements: requirements::rows(assessed),
        findings: findings.map(|finding| findings::row(design, finding, lines)).collect(),
        optional: optional(assessed),
        variants,
        by_part: by_part(assessed, &items),
        history: None,
        work: work_left(assessed, &in_the_way),
        cautions: cautions::of_design(design),
        next: next(assessed, &items, version.as_ref()),
        version,
        items,
    }
}

impl HeldUp {
    fn is_nothing(self) -> bool {
        self.requirements + self.items + self.findings + self.variants == 0 && !self.version
    }

    /// `3 of 11 requirements, 1 open item, 2 findings and 1 variant`.
    fn phrase(self) -> String {
        let (held, of) = (self.requirements, self.of_requirements);
        let requirements = (held > 0).then(|| format!("{held} of {}", count(of, "requirement")));
        let items = (self.items > 0).then(|| count(self.items, "open item"));
        let findings = (self.findings > 0).then(|| count(self.findings, "finding"));
        let variants = (self.variants > 0).then(|| count(self.variants, "variant"));
        let version = self.version.then(|| "the version".to_owned());
        let all: Vec<String> =
            [requirements, items, findings, variants, version].into_iter().flatten().collect();
        match all.split_last() {
            Some((last, [])) => last.clone(),
            Some((last, before)) => format!("{} and {last}", before.join(", ")),
            None => "nothing".into(),
        }
    }
}

fn headline(assessed: &Assessed, place: &Place, held_up_by: HeldUp) -> String {
    let (name, release) = (&assessed.design.name, &assessed.occasion.release);
    let ready = if held_up_by.is_nothing() { "ready" } else { "not ready" };
    let (place, held_up_by) = (place.phrase(), held_up_by.phrase());
    let variant = assessed.design.variant.as_ref();
    let variant = variant.map(|variant| format!(", variant {variant},")).unwrap_or_default();
    format!("{name} {release}{variant} {place}: {ready}, {held_up_by} in the way")
}

fn optional(assessed: &Assessed) -> Vec<OptionalRow> {
    let design = &assessed.design;
    let coverage = coverage_factor(design);
    let budgets = assessed.figures.budgets.iter();
    let judged = budgets.filter(|(subject, _)| {
        assessed.judged.iter().any(|judged| judged.subject.as_ref() == Some(subject))
    });
    judged
        .filter_map(|(subject, budget)| {
            let total = budget.with_options.as_ref()?;
            let unit = &design.quantities.get(&subject.quantity)?.unit;
            let adds = total.predicted - budget.total.predicted;
            if adds == 0.0 {
                return None;
            }
            let is_open = !(budget.missing.is_empty() && budget.missing_options.is_empty());
            let (part, is_top) = (design.id(subject.part), subject.part == design.top);
            Some(OptionalRow {
                name: moves::name(part, is_top, &subject.quantity, subject.builds),
                part: part.clone(),
                quantity: subject.quantity.clone(),
                builds: subject.builds,
                adds: Shown::signed(adds, coverage * total.u, unit),
                total: Shown::predicted(total, coverage, unit).and_more(is_open),
                parts: budget
                    .optional
                    .iter()
                    .map(|contribution| design.id(contribution.part).clone())
                    .collect(),
            })
        })
        .collect()
}
