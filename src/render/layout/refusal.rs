//! What a hook tells, on one screen.

use super::super::page::{Body, Line, Page, Row, Section, Span, Table, Tone};
use super::cut;
use super::impact::through;
use crate::report::{Note, Overrun, Refusal};

/// Diagnostics that one screen has room for.
const MOST_DIAGNOSTICS: usize = 3;
/// Requirements that one screen has room for.
const MOST_OVERRUNS: usize = 6;

/// Why it is refused, and the ways out; nothing else.
#[must_use]
pub fn refusal(report: &Refusal) -> Page {
    let headline = match report.headline.split_once(':') {
        Some((word, rest)) => vec![Span::new(word, Tone::Bad), format!(":{rest}").into()],
        None => vec![report.headline.as_str().into()],
    };
    let mut page = Page { headline, sections: Vec::new() };
    page.table("", overruns(&report.overruns));
    page.list("", cut(&report.overruns, MOST_OVERRUNS).into_iter().collect());
    page.diagnostics(&report.diagnostics, MOST_DIAGNOSTICS);
    page.list("ways out", ways_out(report));
    if !report.waiver.is_empty() {
        let body = Body::Snippet(report.waiver.clone());
        page.sections.push(Section { title: "such a record", body });
    }
    page
}

/// What is let through, a line each; no lines where there is nothing to say.
#[must_use]
pub fn note(report: &Note) -> Page {
    let mut lines =
        report.moved.iter().chain(&report.turned).map(|line| vec![Span::from(line.as_str())]);
    let headline = lines.next().unwrap_or_default();
    let mut page = Page { headline, sections: Vec::new() };
    page.list("", lines.collect());
    page
}

fn overruns(rows: &[Overrun]) -> Table {
    let row = |overrun: &Overrun| {
        let row = &overrun.row;
        let value = row.value.as_ref().map(|value| value.text.as_str());
        let left = row.limits.first().map(|limit| limit.text.as_str());
        let variant = overrun.variant.as_ref().map(|id| format!("in the variant {id}"));
        let before = overrun.before.map(|before| format!("{} before", before.word()));
        Row {
            cells: vec![
                row.verdict.into(),
                Span::new(row.id.as_str(), Tone::Strong),
                value.unwrap_or_default().into(),
                row.promised.as_str().into(),
                left.unwrap_or_default().into(),
            ],
            remarks: [variant, through(&overrun.through), before].into_iter().flatten().collect(),
        }
    };
    let columns = vec!["verdict", "requirement", "value", "promised", "left"];
    let rows = rows.iter().take(MOST_OVERRUNS).map(row).collect();
    Table { columns, named: false, rows }
}

fn ways_out(report: &Refusal) -> Vec<Line> {
    let waive = "let it through with a reason: add a `[waiver.NAME]` record and stage it";
    let mend = if report.diagnostics.is_empty() {
        "mend it, stage it, commit again"
    } else {
        "mend the records, stage them, commit again"
    };
    let mut lines: Vec<&str> = vec![mend];
    if !report.waiver.is_empty() {
        lines.push(waive);
    }
    lines.push("go past this hook: git commit --no-verify");
    lines.into_iter().map(|line| vec![line.into()]).collect()
}
