//! How the product is put together, on a page and as the rows of a sheet.

use super::super::csv::{Cell, csv};
use super::super::page::{Line, Page, Row, Span, Table, Tone};
use super::{cautions, findings};
use crate::report::{AmountRow, AssemblyReport, ReconciledRow, StepRow, ToolRow, VariantFindings};

/// What to lay out, the steps, and how they agree with the list.
#[must_use]
pub fn assembly(report: &AssemblyReport) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.table("lay out first", tools(&report.tools));
    page.table("steps", steps(&report.steps));
    page.table("not as listed", findings(&report.findings));
    page.table("not as listed, by variant", of_variants(&report.variants));
    page.table("list and steps", reconciled(&report.reconciliation));
    page.list("cautions", cautions(report.cautions.as_ref()));
    page.list("next", vec![next(report)]);
    page
}

/// The steps as a sheet.
#[must_use]
pub fn assembly_sheet(report: &AssemblyReport) -> String {
    const COLUMNS: [&str; 12] = [
        "number", "step", "title", "times", "uses", "makes", "tools", "torque", "time", "cautions",
        "option", "note",
    ];
    let row = |row: &StepRow| {
        let shown = |shown: &Option<crate::report::Shown>| {
            Cell::text(shown.as_ref().map(|shown| shown.text.as_str()))
        };
        vec![
            Cell::Number(row.number.to_string()),
            Cell::text(Some(row.id.as_str())),
            Cell::text(row.title.as_deref()),
            Cell::Number(row.times.clone()),
            Cell::Text(amounts(&row.uses)),
            Cell::Text(amounts(&row.makes)),
            Cell::Text(row.tools.join(", ")),
            shown(&row.torque),
            shown(&row.time),
            Cell::Text(row.cautions.join(", ")),
            Cell::text(row.option.as_ref().map(crate::record::Id::as_str)),
            Cell::text(row.note.as_deref()),
        ]
    };
    csv(&COLUMNS, &report.steps.iter().map(row).collect::<Vec<_>>())
}

fn of_variants(rows: &[VariantFindings]) -> Table {
    let told = |found: &VariantFindings| {
        let messages = found.findings.iter().map(|finding| finding.message.clone());
        Row {
            cells: vec![Span::new(found.variant.as_str(), Tone::Bad)],
            remarks: messages.collect(),
        }
    };
    Table { columns: vec!["variant"], named: false, rows: rows.iter().map(told).collect() }
}

fn tools(rows: &[ToolRow]) -> Table {
    let row = |row: &ToolRow| {
        let numbers: Vec<String> = row.steps.iter().map(ToString::to_string).collect();
        let steps = if row.steps.len() == 1 { "step" } else { "steps" };
        let jig = row.is_jig.then(|| "a jig, made before".to_owned());
        Row {
            cells: vec![
                Span::new(row.tool.as_str(), Tone::Strong),
                format!("{steps} {}", numbers.join(", ")).into(),
            ],
            remarks: row.title.iter().cloned().chain(jig).collect(),
        }
    };
    Table { columns: vec!["tool", "steps"], named: false, rows: rows.iter().map(row).collect() }
}

fn steps(rows: &[StepRow]) -> Table {
    let row = |row: &StepRow| Row {
        cells: vec![
            row.number.to_string().into(),
            Span::new(row.id.as_str(), Tone::Strong),
            row.time.as_ref().map(|time| time.text.as_str()).unwrap_or_default().into(),
        ],
        remarks: told(row),
    };
    Table { columns: vec!["", "step", "time"], named: false, rows: rows.iter().map(row).collect() }
}

fn told(row: &StepRow) -> Vec<String> {
    let some = |what: &str, text: String| (!text.is_empty()).then(|| format!("{what} {text}"));
    let remarks = [
        row.title.clone(),
        (row.times != "1").then(|| format!("{} times", row.times)),
        row.option.as_ref().filter(|_| row.is_optional).map(|option| format!("only with {option}")),
        some("takes", amounts(&row.uses)),
        some("makes", amounts(&row.makes)),
        some("with", row.tools.join(", ")),
        row.torque.as_ref().map(|torque| format!("tighten to {}", torque.text)),
        some("caution:", row.cautions.join(", ")),
        row.note.clone(),
    ];
    remarks.into_iter().flatten().collect()
}

/// `2 dowel-pin (ISO 2338 3 m6 x 10), film-gate, 0.24 m felt-strip`.
fn amounts(rows: &[AmountRow]) -> String {
    let amount = |row: &AmountRow| {
        let named = row.designation.as_ref().map(|text| format!(" ({text})")).unwrap_or_default();
        let many = if row.amount == "1" { String::new() } else { format!("{} ", row.amount) };
        format!("{many}{}{named}", row.part)
    };
    rows.iter().map(amount).collect::<Vec<_>>().join(", ")
}

/// The parts of which list and steps tell different things.
fn reconciled(rows: &[ReconciledRow]) -> Table {
    let row = |row: &ReconciledRow| Row {
        cells: vec![
            Span::new(row.part.as_str(), Tone::Bad),
            row.listed.as_str().into(),
            row.used.as_str().into(),
            row.made.as_deref().unwrap_or_default().into(),
        ],
        remarks: row.optional.then(|| "with all optional parts".to_owned()).into_iter().collect(),
    };
    let differing = rows.iter().filter(|row| !row.agrees);
    let columns = vec!["part", "listed", "used", "made"];
    Table { columns, named: true, rows: differing.map(row).collect() }
}

fn next(report: &AssemblyReport) -> Line {
    let text = if report.steps.is_empty() {
        "write down the first step: a `[step.…]` record with what it uses"
    } else if report.findings.is_empty() && report.variants.is_empty() {
        "lay out what `tagworthy bom` lists, and begin"
    } else {
        "bring list and steps together; `tagworthy bom` shows the list"
    };
    vec![text.into()]
}
