//! A release and its notes, on a page.

use super::super::page::{Body, Line, Page, Row, Section, Span, Table, Tone};
use super::{cautions, checklist, impact, items, parts, proposal, steps, upgrade};
use crate::report::{DecisionRow, Extent, Notes, ReleaseReport, ShortcomingRow};

/// Whether the release can be made, and what is said of it.
#[must_use]
pub fn release(report: &ReleaseReport) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.list("refused", report.refused.iter().map(|why| bad(why)).collect());
    if let Some(due) = &report.proposal {
        page.list("version", vec![vec![due.headline.as_str().into()]]);
        page.table("reasons", proposal::reasons(&due.reasons));
    }
    if report.extent >= Extent::Notes {
        sections(&mut page, &report.notes);
    }
    if report.extent >= Extent::Everything {
        let lines = report.record.text().lines().map(str::to_owned).collect();
        page.sections.push(Section { title: "record", body: Body::Snippet(lines) });
    }
    if !report.checklist.ready {
        page.list("next", steps(&report.checklist.next));
    }
    page
}

/// The notes alone, as they stand in the tag.
#[must_use]
pub fn notes(report: &ReleaseReport) -> Page {
    let title = report.notes.title.as_ref().map(|title| format!(": {title}")).unwrap_or_default();
    let since = report.notes.since.as_ref().map(|since| format!(", after {since}"));
    let headline =
        format!("{} {}{}{title}", report.design, report.release, since.unwrap_or_default());
    let mut page = Page { headline: vec![headline.into()], sections: Vec::new() };
    sections(&mut page, &report.notes);
    page
}

fn bad(why: &str) -> Line {
    vec![Span::new(why, Tone::Bad)]
}

fn sections(page: &mut Page, notes: &Notes) {
    page.table("requirements", checklist::requirements(notes.requirements.iter()));
    page.table("known shortcomings", shortcomings(&notes.shortcomings));
    page.table("budgets", impact::moves(&notes.budgets, &[]));
    page.table("promised less", impact::loosened(&notes.loosened));
    page.table("parts", parts::changed(&notes.parts));
    page.table("decided", decisions(&notes.decisions));
    page.table("closed", items::closed(&notes.closed));
    if let Some(way) = &notes.upgrade {
        page.list("for those who built the last release", vec![vec![way.headline.as_str().into()]]);
        upgrade::sections(page, way);
    }
    page.list("cautions", cautions(notes.cautions.as_ref()));
}

fn shortcomings(rows: &[ShortcomingRow]) -> Table {
    let row = |row: &ShortcomingRow| {
        let until = row.until.as_ref().map(|until| format!("to be mended for {until}"));
        let why = row.why.as_ref().map(|why| why.trim_end_matches('.').to_owned());
        let remarks = [why, until].into_iter().flatten().collect();
        Row {
            cells: vec![Span::new(row.about.as_str(), Tone::Doubtful), row.what.as_str().into()],
            remarks,
        }
    };
    Table { columns: vec!["about", "what"], named: false, rows: rows.iter().map(row).collect() }
}

fn decisions(rows: &[DecisionRow]) -> Table {
    let row = |row: &DecisionRow| Row {
        cells: vec![row.on.as_deref().unwrap_or_default().into(), row.id.as_str().into()],
        remarks: row.title.iter().chain(&row.why).cloned().collect(),
    };
    Table { columns: vec!["day", "decision"], named: false, rows: rows.iter().map(row).collect() }
}
