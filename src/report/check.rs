//! What `check` tells: whether the records are readable, what the budgets come to, what was found.

use serde::Serialize;

use super::aside;
use super::budgets::{self, BudgetRow};
use super::diagnostics::DiagnosticRow;
use super::findings::{self, FindingRow};
use super::place::{Lines, Place};
use super::shown::count;
use crate::diagnostic::Severity;
use crate::record::Id;
use crate::verdict::Assessed;

/// Records, budgets and findings at one state of the repository.
#[derive(Clone, Debug, Serialize)]
pub struct CheckReport {
    /// All of it in one line.
    pub headline: String,
    /// The design, where its name is readable.
    pub design: Option<Id>,
    /// The variant of it, where one is evaluated.
    pub variant: Option<Id>,
    /// The state of the repository that was read.
    pub place: Place,
    /// Whether no error is among the diagnostics; without that nothing else is told.
    pub readable: bool,
    /// What is wrong in the record files, in the order of files and lines.
    pub diagnostics: Vec<DiagnosticRow>,
    /// The budgets.
    pub budgets: Vec<BudgetRow>,
    /// Parts that are in no build of the product, in the order of ids.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub aside: Vec<Id>,
    /// What the release checks found.
    pub findings: Vec<FindingRow>,
    /// What to do next.
    pub next: String,
}

/// What reading a design came to; `assessed` where its records were readable. `lines` says where
/// findings are written.
#[must_use]
pub fn check(
    diagnostics: Vec<DiagnosticRow>,
    assessed: Option<&Assessed>,
    place: Place,
    lines: Lines<'_>,
) -> CheckReport {
    let budgets = assessed.map_or_else(Vec::new, budgets::rows);
    let findings = assessed.map_or_else(Vec::new, |assessed| {
        let row = |finding| findings::row(&assessed.design, finding, lines);
        assessed.findings.iter().map(row).collect()
    });
    let design = assessed.map(|assessed| assessed.design.name.clone());
    let mut report = CheckReport {
        headline: String::new(),
        readable: assessed.is_some(),
        variant: assessed.and_then(|assessed| assessed.design.variant.clone()),
        design,
        place,
        diagnostics,
        budgets,
        aside: assessed.map_or_else(Vec::new, of_design),
        findings,
        next: next(assessed),
    };
    report.headline = headline(&report);
    report
}

/// Of a variant alone nothing is told: what it leaves out is in the design.
fn of_design(assessed: &Assessed) -> Vec<Id> {
    let is_variant = assessed.design.variant.is_some();
    if is_variant { Vec::new() } else { aside::aside(assessed) }
}

fn next(assessed: Option<&Assessed>) -> String {
    match assessed {
        Some(assessed) => {
            let release = &assessed.occasion.release;
            format!("what is in the way of {release}: tagworthy ready")
        }
        None => "mend the records above, then check again".into(),
    }
}

fn headline(report: &CheckReport) -> String {
    let name = report.design.as_ref().map_or("records", Id::as_str);
    let variant = report.variant.as_ref();
    let name = variant.map_or_else(|| name.into(), |variant| format!("{name}, variant {variant},"));
    let place = report.place.phrase();
    let of = |severity| report.diagnostics.iter().filter(|row| row.severity == severity).count();
    let (errors, warnings) = (of(Severity::Error), of(Severity::Warning));
    if !report.readable {
        let errors = count(errors, "error");
        return format!("{name} {place}: not readable, {errors}; nothing was judged");
    }
    let budgets = count(report.budgets.len(), "budget");
    let findings = count(report.findings.len(), "finding");
    let warnings = match warnings {
        0 => String::new(),
        number => format!(", {}", count(number, "warning")),
    };
    format!("{name} {place}: readable, {budgets}, {findings}{warnings}")
}
