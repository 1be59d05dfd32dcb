//! How the product is put together: the steps in their order, what to lay out for them, and whether
//! they use what the bill of materials has.

use std::collections::BTreeMap;

use serde::Serialize;

use super::cautions::{self, Cautions};
use super::findings::{self, FindingRow};
use super::place::{Lines, Place};
use super::shown::{Shown, count, some_of};
use super::variants::is_of;
use crate::design::{Design, Held, PartIx};
use crate::diagnostic::At;
use crate::evaluate::reconcile::{Reconciled, Reconciliation, is_done, reconcile, times};
use crate::evaluate::{Number, Subject, budget_of, coverage_factor, multiplicities};
use crate::evidence;
use crate::quantity::{Amount, Dimension, Unit, show_measure};
use crate::record::{Id, Step};
use crate::verdict::{Assessed, STEPS_MATCH};

/// The assembly of one product.
#[derive(Clone, Debug, Serialize)]
pub struct AssemblyReport {
    /// How it stands, in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// The variant of it, where one is meant.
    pub variant: Option<Id>,
    /// The state of the repository.
    pub place: Place,
    /// What all of it takes, options not counted in, where any step says how long it takes.
    pub time: Option<Shown>,
    /// Tools and jigs, those needed first in front.
    pub tools: Vec<ToolRow>,
    /// The steps in the order in which they are done, those for optional parts among them.
    pub steps: Vec<StepRow>,
    /// Every part by its list and by its steps, in the order of parts.
    pub reconciliation: Vec<ReconciledRow>,
    /// Where the two do not agree.
    pub findings: Vec<FindingRow>,
    /// Variants of which the two do not agree where they do in the design itself, in the order of ids.
    pub variants: Vec<VariantFindings>,
    /// What can hurt.
    pub cautions: Option<Cautions>,
}

/// A tool, or a jig that is a part of the design.
#[derive(Clone, Debug, Serialize)]
pub struct ToolRow {
    /// What it is called; a jig by its part's id.
    pub tool: String,
    /// The jig's title.
    pub title: Option<String>,
    /// Whether it is a part of the design, to be made before.
    pub is_jig: bool,
    /// The steps that need it, by number.
    pub steps: Vec<usize>,
}

/// A step.
#[derive(Clone, Debug, Serialize)]
pub struct StepRow {
    /// Its place in the order, from 1.
    pub number: usize,
    /// The step.
    pub id: Id,
    /// What is done.
    pub title: Option<String>,
    /// Remarks.
    pub note: Option<String>,
    /// How often it is done in one build; exact.
    pub times: String,
    /// What goes in each time.
    pub uses: Vec<AmountRow>,
    /// What comes into being each time.
    pub makes: Vec<AmountRow>,
    /// Tools and jigs.
    pub tools: Vec<String>,
    /// The tightening torque.
    pub torque: Option<Shown>,
    /// How long it takes once.
    pub time: Option<Shown>,
    /// What to be careful about.
    pub cautions: Vec<String>,
    /// The part that it is kept to.
    pub option: Option<Id>,
    /// Whether that is an optional part: the step is then not counted in.
    pub is_optional: bool,
}

/// How much of a part.
#[derive(Clone, Debug, Serialize)]
pub struct AmountRow {
    /// The part.
    pub part: Id,
    /// The standard's designation.
    pub designation: Option<String>,
    /// How much: pieces, or an extent with its unit.
    pub amount: String,
}

/// A part by its list and by its steps.
#[derive(Clone, Debug, Serialize)]
pub struct ReconciledRow {
    /// The part.
    pub part: Id,
    /// Whether this is what optional parts add.
    pub optional: bool,
    /// What the product holds.
    pub listed: String,
    /// What the steps use.
    pub used: String,
    /// What the steps make of it, where it is put together from parts.
    pub made: Option<String>,
    /// Whether all of these agree.
    pub agrees: bool,
    /// The steps that use it.
    pub used_in: Vec<Id>,
}

/// A variant of which list and steps do not agree.
#[derive(Clone, Debug, Serialize)]
pub struct VariantFindings {
    /// The variant.
    pub variant: Id,
    /// Where they do not.
    pub findings: Vec<FindingRow>,
}

/// The assembly of a design, as it stands at `place`; `lines` says where findings are written.
#[must_use]
pub fn assembly(assessed: &Assessed, place: Place, lines: Lines<'_>) -> AssemblyReport {
    let design = &*assessed.design;
    let base = multiplicities(design, design.top, false);
    let with_options = multiplicities(design, design.top, true);
    let done = design.steps.iter().filter(|step| is_done(design, step, &with_options));
    let done: Vec<&Held<Step>> = done.collect();
    let found = reconcile(design);
    let of_check = assessed.findings.iter().filter(|finding| finding.check == STEPS_MATCH);
    let variants = of_variants(assessed, lines);
    let time = time(assessed);
    AssemblyReport {
        headline: headline(assessed, &place, done.len(), time.as_ref()) + &agree(&found, &variants),
        design: design.name.clone(),
        variant: design.variant.clone(),
        place,
        time,
        tools: tools(design, &done),
        steps: done
            .iter()
            .zip(1..)
            .map(|(step, number)| StepRow {
                is_optional: !is_done(design, step, &base),
                ..row(design, step, number)
            })
            .collect(),
        reconciliation: reconciled(design, &found),
        findings: of_check.map(|finding| findings::row(design, finding, lines)).collect(),
        variants,
        cautions: cautions::of_assembly(design, &done),
    }
}

/// Where list and steps of a variant do not agree, and not so in the design itself.
fn of_variants(assessed: &Assessed, lines: Lines<'_>) -> Vec<VariantFindings> {
    let told = assessed.variants.iter().filter_map(|variant| {
        let of_check = variant.findings.iter().filter(|finding| finding.check == STEPS_MATCH);
        let own = of_check.filter(|finding| !is_of(assessed, finding));
        Some(VariantFindings {
            variant: variant.design.variant.clone()?,
            findings: own.map(|finding| findings::row(&variant.design, finding, lines)).collect(),
        })
    });
    told.filter(|told| !told.findings.is_empty()).collect()
}

fn headline(assessed: &Assessed, place: &Place, steps: usize, time: Option<&Shown>) -> String {
    let design = &assessed.design;
    let variant = design.variant.as_ref();
    let variant = variant.map(|variant| format!(", variant {variant},")).unwrap_or_default();
    let time = time.map(|time| format!(", {}", time.text)).unwrap_or_default();
    let (name, place, steps) = (&design.name, place.phrase(), count(steps, "step"));
    format!("{name}{variant} {place}: {steps}{time}")
}

/// `; 2 parts not as listed`, of the design itself and of its variants.
fn agree(found: &Reconciliation, variants: &[VariantFindings]) -> String {
    let differing = found.rows.iter().filter(|row| !row.agrees()).count();
    let itself = match differing {
        0 if found.rows.is_empty() => String::new(),
        0 => "; they use exactly what is listed".to_owned(),
        differing => format!("; {} not as listed", count(differing, "part")),
    };
    match variants {
        [] => itself,
        others => {
            format!("{itself}; not so in {}", some_of(others.iter().map(|it| &it.variant), 4))
        }
    }
}

fn time(assessed: &Assessed) -> Option<Shown> {
    let design = &assessed.design;
    let subject = Subject { part: design.top, quantity: Id::from("assembly-time"), builds: 1 };
    let stand_ins = evidence::stand_ins(design, &assessed.standings);
    let budget = budget_of(design, &stand_ins, &subject).filter(|budget| !budget.empty)?;
    let unit = &design.quantities.get(&subject.quantity)?.unit;
    Some(Shown::basic(&budget.total, coverage_factor(design), unit))
}

/// Each tool once, in the order in which it is first needed.
fn tools(design: &Design, steps: &[&Held<Step>]) -> Vec<ToolRow> {
    let mut rows: Vec<ToolRow> = Vec::new();
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    for (step, number) in steps.iter().zip(1..) {
        for tool in &step.tools {
            let place = *places.entry(tool.as_str()).or_insert_with(|| {
                let jig = design.part(tool.as_str()).map(|part| design.record(part));
                let title = jig.and_then(|jig| jig.title.as_ref());
                rows.push(ToolRow {
                    tool: tool.value.clone(),
                    title: title.map(|title| title.value.clone()),
                    is_jig: jig.is_some(),
                    steps: Vec::new(),
                });
                rows.len() - 1
            });
            rows[place].steps.push(number);
        }
    }
    rows
}

fn row(design: &Design, step: &Step, number: usize) -> StepRow {
    let figure = |figure: &Option<At<crate::quantity::Figure>>| {
        let figure = figure.as_ref()?;
        let spread = figure.spread.as_ref().map_or(0.0, |spread| spread.half_width);
        Some(Shown::uncertain(figure.measure.base, spread, &figure.measure.unit))
    };
    let text = |text: &Option<At<String>>| text.as_ref().map(|text| text.value.clone());
    StepRow {
        number,
        id: step.id.value.clone(),
        title: text(&step.title),
        note: text(&step.note),
        times: times(step).to_string(),
        uses: step.uses.iter().map(|(part, amount)| amount_row(design, part, amount)).collect(),
        makes: step.makes.iter().map(|(part, amount)| amount_row(design, part, amount)).collect(),
        tools: step.tools.iter().map(|tool| tool.value.clone()).collect(),
        torque: figure(&step.torque),
        time: figure(&step.time),
        cautions: step.cautions.iter().map(|hazard| hazard.word().to_owned()).collect(),
        option: step.option.as_ref().map(|option| option.value.clone()),
        is_optional: false,
    }
}

fn amount_row(design: &Design, part: &At<Id>, amount: &Amount) -> AmountRow {
    let record = design.part(part.as_str()).map(|part| design.record(part));
    let designation = record.and_then(|record| record.designation.as_ref());
    AmountRow {
        part: part.value.clone(),
        designation: designation.map(|designation| designation.value.clone()),
        amount: shown(amount.exact, amount.dimension, &amount.unit),
    }
}

/// Pieces to the last one, an extent in its unit.
fn shown(amount: rust_decimal::Decimal, dimension: Dimension, unit: &Unit) -> String {
    match dimension {
        Dimension::NONE => amount.normalize().to_string(),
        _ => show_measure(Number::Exact(amount).to_f64(), unit),
    }
}

fn reconciled(design: &Design, found: &Reconciliation) -> Vec<ReconciledRow> {
    let units = design.units_of_amounts();
    let amount =
        |part: PartIx, amount| shown(amount, design.amounts[part.index()], &units[part.index()]);
    let row = |row: &Reconciled| ReconciledRow {
        part: design.id(row.part).clone(),
        optional: row.optional,
        listed: amount(row.part, row.listed),
        used: amount(row.part, row.used),
        made: row.made.map(|made| amount(row.part, made)),
        agrees: row.agrees(),
        used_in: row.used_in.clone(),
    };
    found.rows.iter().map(row).collect()
}
