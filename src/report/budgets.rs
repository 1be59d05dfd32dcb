//! Budgets: what each comes to, what it is made of, what is missing.

use serde::Serialize;

use super::judged_on::{largest, unit_of};
use super::shown::Shown;
use super::{moves, requirements};
use crate::design::Design;
use crate::evaluate::{Budget, Contribution, Missing, Subject, coverage_factor};
use crate::quantity::{Basis, Unit};
use crate::record::Id;
use crate::verdict::{Assessed, Verdict};

/// One quantity of one part, with everything beneath it.
#[derive(Clone, Debug, Serialize)]
pub struct BudgetRow {
    /// What it is called: `mass`, `mass of film-gate`, `cost (10 builds)`.
    pub name: String,
    /// The part.
    pub part: Id,
    /// Whether the part is the whole product.
    pub is_top: bool,
    /// The quantity.
    pub quantity: Id,
    /// Number of builds in the order that a cost is meant of.
    pub builds: u64,
    /// Sum of the figures, with its expanded uncertainty.
    pub basic: Shown,
    /// The same with the growth allowance.
    pub predicted: Shown,
    /// Predicted with all optional parts, where there are any.
    pub with_options: Option<Shown>,
    /// What is promised of it, requirement by requirement.
    pub promises: Vec<Promise>,
    /// Parts without a figure: the values are then lower bounds.
    pub missing: Vec<MissingRow>,
    /// The contributions that make up most of it, largest first.
    pub largest: Vec<ContributionRow>,
    /// How many figures count as exact because they do not say how sure they are.
    pub without_uncertainty: usize,
    /// The assembly's own figure, where it disagrees with its parts.
    pub disagrees_with: Option<Shown>,
}

/// A requirement of a budget.
#[derive(Clone, Debug, Serialize)]
pub struct Promise {
    /// The requirement.
    pub requirement: Id,
    /// In words: `at most 45 °C`.
    pub promised: String,
    /// How it stands.
    pub verdict: Verdict,
}

/// A part without a figure.
#[derive(Clone, Debug, Serialize)]
pub struct MissingRow {
    /// The part.
    pub part: Id,
    /// Why it has none, in words.
    pub why: &'static str,
}

/// What one part adds to a budget.
#[derive(Clone, Debug, Serialize)]
pub struct ContributionRow {
    /// The part.
    pub part: Id,
    /// How many of it, or how much in base units, the whole holds; exact.
    pub multiplicity: String,
    /// All of them, predicted, with the expanded uncertainty.
    pub value: Shown,
    /// Share of the budget.
    pub share: f64,
    /// How the figure is known.
    pub basis: Basis,
}

/// Contributions that are named for a budget.
const NAMED_CONTRIBUTIONS: usize = 3;

/// A row for every budget that has anything in it, those of the whole product first.
pub(super) fn rows(assessed: &Assessed) -> Vec<BudgetRow> {
    let budgets = assessed.figures.budgets.iter();
    let mut rows: Vec<BudgetRow> = budgets
        .filter(|(_, budget)| !budget.empty)
        .filter_map(|(subject, budget)| row(assessed, subject, budget))
        .collect();
    rows.sort_by_key(|row| !row.is_top);
    rows
}

fn row(assessed: &Assessed, subject: &Subject, budget: &Budget) -> Option<BudgetRow> {
    let design = &assessed.design;
    let coverage = coverage_factor(design);
    let unit = unit(assessed, subject)?;
    let is_open = !budget.missing.is_empty();
    let is_open_with_options = is_open || !budget.missing_options.is_empty();
    let (part, is_top) = (design.id(subject.part), subject.part == design.top);
    Some(BudgetRow {
        name: moves::name(part, is_top, &subject.quantity, subject.builds),
        part: part.clone(),
        is_top,
        quantity: subject.quantity.clone(),
        builds: subject.builds,
        basic: Shown::basic(&budget.total, coverage, &unit).and_more(is_open),
        predicted: Shown::predicted(&budget.total, coverage, &unit).and_more(is_open),
        with_options: budget
            .with_options
            .as_ref()
            .map(|total| Shown::predicted(total, coverage, &unit).and_more(is_open_with_options)),
        promises: promises(assessed, subject),
        missing: missing(design, budget),
        largest: contributions(design, budget, &unit),
        without_uncertainty: budget.without_uncertainty,
        disagrees_with: budget
            .own
            .filter(|own| own.disagrees)
            .map(|own| Shown::uncertain(own.value, coverage * own.u, &unit)),
    })
}

/// The quantity's unit; that of a limit for a named value of a part.
fn unit(assessed: &Assessed, subject: &Subject) -> Option<Unit> {
    let design = &assessed.design;
    if let Some(quantity) = design.quantities.get(&subject.quantity) {
        return Some(quantity.unit.clone());
    }
    let judged = assessed.judged.iter().find(|judged| judged.subject.as_ref() == Some(subject))?;
    Some(unit_of(design, &design.requirements[judged.index], judged))
}

fn promises(assessed: &Assessed, subject: &Subject) -> Vec<Promise> {
    let judged = assessed.judged.iter().filter(|judged| judged.subject.as_ref() == Some(subject));
    judged
        .map(|judged| Promise {
            requirement: judged.requirement.clone(),
            promised: requirements::promised(&assessed.design.requirements[judged.index]),
            verdict: judged.verdict,
        })
        .collect()
}

fn missing(design: &Design, budget: &Budget) -> Vec<MissingRow> {
    let row =
        |part, why: &Missing| MissingRow { part: design.id(part).clone(), why: missing_words(why) };
    budget.missing.iter().map(|(part, why)| row(*part, why)).collect()
}

/// Why a part has no figure.
pub(super) fn missing_words(why: &Missing) -> &'static str {
    match why {
        Missing::Figure => "states none",
        Missing::Formula => "its formula has no value",
        Missing::Mesh(why) => why.words(),
        Missing::Offer => "nobody offers it",
        Missing::MaterialOffer => "nobody offers its material",
        Missing::Mass => "its mass is not known",
        Missing::PackUnit => "sold in another unit than it is contained in",
        Missing::Overflow => "too large to add up",
    }
}

fn contributions(design: &Design, budget: &Budget, unit: &Unit) -> Vec<ContributionRow> {
    let coverage = coverage_factor(design);
    let contributions: Vec<Contribution> = budget.contributions().collect();
    // A count has no large parts.
    let most = if unit.symbol().is_empty() { 0 } else { NAMED_CONTRIBUTIONS };
    largest(&contributions, 1.0, most)
        .into_iter()
        .map(|(contribution, share)| ContributionRow {
            part: design.id(contribution.part).clone(),
            multiplicity: contribution.multiplicity.normalize().to_string(),
            value: Shown::predicted(&contribution.total, coverage, unit),
            share,
            basis: contribution.basis,
        })
        .collect()
}
