//! A release and its notes, on a page.

use super::super::page::{Body, Line, Page, Row, Section, Span, Table, Tone};
use super::{cautions, checklist, impact, items, parts, proposal, steps, upgrade};
use crate::report::{DecisionRow, Extent, Notes, ReleaseReport, ShortcomingRow, TurnedRow};

/// Whether the release can be made, and what is said of it.
#[must_use]
pub fn release(report: &ReleaseReport) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.list("refused", report.refused.iter().map(|why| bad(why)).collect());
    if let Some(due) = &report.proposal {
        proposal::version(&mut page, due);
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
    page.list("decided", notes.decisions.iter().map(decision).collect());
    page.list("verdicts that turned", notes.turned.iter().map(turned).collect());
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

/// `opal-diffuser on 2026-05-02, 9ea9dea of Ines Okafor: Opal glass. It spreads the light.`
fn decision(row: &DecisionRow) -> Line {
    let on = row.on.as_ref().map(|on| format!(" on {on}")).unwrap_or_default();
    let by = row.by.as_ref().map(|by| format!(", {} of {}", by.revision, by.author));
    let told: Vec<&str> =
        row.title.iter().chain(&row.why).map(|text| text.trim_end_matches('.')).collect();
    let told = if told.is_empty() { String::new() } else { format!(": {}", told.join(". ")) };
    let strong = Span::new(row.id.as_str(), Tone::Strong);
    vec![strong, format!("{on}{}{told}", by.unwrap_or_default()).into()]
}

/// `gate-stays-cool pass → stale by 9ea9dea of Ines Okafor on 2026-05-01, through diffuser +14.7 g`.
fn turned(row: &TurnedRow) -> Line {
    let TurnedRow { by, verdict } = row;
    let through = impact::through(&verdict.shares).map(|through| format!(", {through}"));
    let by = format!(" by {} of {} on {}", by.revision, by.author, by.date);
    let turned = format!(" {}{by}{}", verdict.turned(), through.unwrap_or_default());
    vec![Span::new(verdict.name(), Tone::Strong), turned.into()]
}
