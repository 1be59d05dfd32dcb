//! What the history says, on the page of a checklist or of a figure.

use super::super::page::{Line, Page, Row, Span, Table, Tone};
use super::impact::through;
use super::ledger::remarks;
use crate::report::{
    BudgetMove, DecidedRow, LapseRow, LookBackReport, MomentRow, OriginRow, RevisionRow,
    WITH_OPTIONS,
};

/// Revisions that are named of one requirement.
const MOST_MOMENTS: usize = 3;

/// Adds what a checklist says of its history: what last held when, and what moved since the release.
pub(super) fn look_back(page: &mut Page, report: &LookBackReport) {
    let columns = vec!["requirement", "last held"];
    let rows = report.lapses.iter().map(lapse).collect();
    page.table("when it last held", Table { columns, named: false, rows });
    let columns = vec!["budget", "at the release", "now", "difference"];
    let rows = report.since_release.iter().map(budget).collect();
    page.table("since the last release", Table { columns, named: false, rows });
    if let (Some(tag), false) = (&report.last_release, report.since_release.is_empty()) {
        page.list("", vec![vec![Span::new(format!("the last release is {tag}"), Tone::Faint)]]);
    }
    page.list("", remarks(&report.remarks));
}

fn lapse(row: &LapseRow) -> Row {
    let held = match &row.last_held {
        Some(held) => format!("at {} on {}", held.revision, held.date),
        None => "never yet".to_owned(),
    };
    let more = row.moments.len().saturating_sub(MOST_MOMENTS);
    let more = (more > 0).then(|| format!("and {more} more"));
    Row {
        cells: vec![row.requirement.as_str().into(), held.into()],
        remarks: row.moments.iter().take(MOST_MOMENTS).map(moment).chain(more).collect(),
    }
}

/// `9ea9dea of Ines Okafor on 2026-05-01: stale through diffuser +14.7 g`.
fn moment(row: &MomentRow) -> String {
    let turned = row.verdict.filter(|_| row.verdict != row.verdict_before);
    let moved = row.difference.as_ref().map(|by| by.text.clone());
    let options = row.with_options.then(|| WITH_OPTIONS.to_owned());
    let turned = turned.map(|verdict| verdict.word().to_owned());
    let what = [turned, options, moved, through(&row.shares)];
    let what: Vec<String> = what.into_iter().flatten().collect();
    let what = if what.is_empty() { String::new() } else { format!(": {}", what.join(" ")) };
    format!("{}{what}", by(&row.revision))
}

fn by(revision: &RevisionRow) -> String {
    format!("{} of {} on {}", revision.revision, revision.author, revision.date)
}

fn budget(row: &BudgetMove) -> Row {
    let text = |shown: &Option<crate::report::Shown>| {
        shown.as_ref().map_or_else(|| "none".into(), |shown| Span::from(shown.text.as_str()))
    };
    // Where only another uncertainty is known, nothing moved.
    let difference = row.difference.as_ref().filter(|by| by.base != 0.0);
    let difference = difference.map(|by| by.text.as_str()).unwrap_or_default();
    Row {
        cells: vec![
            row.name.as_str().into(),
            text(&row.before),
            text(&row.predicted),
            difference.into(),
        ],
        remarks: through(&row.shares).into_iter().collect(),
    }
}

/// Since when something is what it is, and what was decided then.
pub(super) fn since_when(row: &OriginRow) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut told = |revision: &RevisionRow, what: String| {
        lines.push(vec![format!("{}{what}", by(revision)).into()]);
        lines.push(vec![Span::new(revision.subject.as_str(), Tone::Faint)]);
    };
    if let Some(moved) = &row.moved {
        let what = moment(moved);
        let what = what.strip_prefix(&by(&moved.revision)).unwrap_or_default().to_owned();
        told(&moved.revision, what);
        lines.extend(moved.decided.iter().map(decision));
    }
    if let Some(changed) = &row.changed {
        let facets = row.facet_words.join(", ");
        let mut lines_of_part =
            vec![vec![format!("changed last by {}: {}", by(changed), facets).into()]];
        lines_of_part.push(vec![Span::new(changed.subject.as_str(), Tone::Faint)]);
        lines.extend(lines_of_part);
        lines.extend(row.decided.iter().map(decision));
    }
    lines
}

fn decision(row: &DecidedRow) -> Line {
    let title = row.title.as_ref().map(|title| format!(": {title}")).unwrap_or_default();
    vec![format!("decided {}{title}", row.id).into()]
}
