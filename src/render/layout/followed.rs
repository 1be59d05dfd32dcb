//! One figure or requirement through the history, on a page and on a sheet.

use super::super::csv::{Cell, csv};
use super::super::page::{Page, Row, Span, Table, Tone};
use super::impact::through;
use super::ledger::remarks;
use crate::compare::Cause;
use crate::report::{FollowedReport, MomentRow, Shown, WITH_OPTIONS};

/// The most columns of a plot.
const MOST_COLUMNS: usize = 48;

/// A row a revision that moved it; before them a plot of its values where there `is_room` for one.
#[must_use]
pub fn followed(report: &FollowedReport, is_plotted: bool) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.list("", remarks(&report.remarks));
    if let Some(plot) = is_plotted.then(|| plot(&report.moments)).flatten() {
        page.list("", vec![vec![plot.into()]]);
    }
    let columns = vec!["revision", "date", "value", "difference", "verdict", "author"];
    let rows = report.moments.iter().map(row).collect();
    page.table("revisions that moved it", Table { columns, named: true, rows });
    page
}

fn row(moment: &MomentRow) -> Row {
    let text =
        |shown: &Option<Shown>| shown.as_ref().map(|shown| shown.text.clone()).unwrap_or_default();
    let revision = &moment.revision;
    let tone = match moment.what {
        Some("mended") => Tone::Good,
        Some("let through" | "put off") | None => Tone::Plain,
        Some(_) => Tone::Bad,
    };
    Row {
        cells: vec![
            Span::new(revision.revision.as_str(), tone),
            revision.date.as_str().into(),
            text(&moment.value).into(),
            text(&moment.difference).into(),
            moment.verdict.map_or_else(Span::default, Span::from),
            Span::new(revision.author.as_str(), Tone::Faint),
        ],
        remarks: told(moment),
    }
}

fn told(moment: &MomentRow) -> Vec<String> {
    let turned = moment.what_words.map(|what| {
        let before = moment.verdict_before.map(|verdict| verdict.word()).unwrap_or_default();
        let is_said = !matches!(moment.what, Some("broke" | "mended"));
        let because =
            moment.because.filter(|_| !(is_said && moment.cause == Some(Cause::Requirement)));
        let because = because.map(|why| format!(", {why}")).unwrap_or_default();
        format!("{what} ({before} before){because}")
    });
    let decided = moment.decided.iter().map(|decision| match &decision.title {
        Some(title) => format!("decided {}: {title}", decision.id),
        None => format!("decided {}", decision.id),
    });
    let subject = Some(moment.revision.subject.clone());
    let options = moment.with_options.then(|| WITH_OPTIONS.to_owned());
    let told = [options, turned, subject, through(&moment.shares), moment.limit.clone()];
    told.into_iter().flatten().chain(decided).collect()
}

/// `1050 g ▁▁▂▃▇█ 1352.8 g`: the values, evenly from the smallest to the largest; nothing of fewer
/// than three, or of equal ones.
fn plot(moments: &[MomentRow]) -> Option<String> {
    const BLOCKS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
    let shown: Vec<&Shown> = moments.iter().filter_map(|moment| moment.value.as_ref()).collect();
    let values: Vec<f64> = shown.iter().map(|shown| shown.base).collect();
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if values.len() < 3 || high <= low {
        return None;
    }
    let step = values.len().div_ceil(MOST_COLUMNS);
    let block = |values: &[f64]| {
        let last = values.last().copied().unwrap_or(low);
        let height = (last - low) / (high - low) * (BLOCKS.len() - 1) as f64;
        BLOCKS[(height.round() as usize).min(BLOCKS.len() - 1)]
    };
    let blocks: String = values.chunks(step).map(block).collect();
    let (first, last) = (shown.first()?, shown.last()?);
    Some(format!("{} {blocks} {}", first.text, last.text))
}

/// The same as a sheet.
#[must_use]
pub fn followed_sheet(report: &FollowedReport) -> String {
    let columns = [
        "revision",
        "date",
        "author",
        "subject",
        "value",
        "unit",
        "difference",
        "verdict",
        "before",
        "what",
        "parts",
        "options",
    ];
    csv(&columns, &report.moments.iter().map(sheet_row).collect::<Vec<_>>())
}

fn sheet_row(moment: &MomentRow) -> Vec<Cell> {
    let text = |text: &str| Cell::Text(text.to_owned());
    let number = |shown: Option<&Shown>| {
        shown.map_or(Cell::text(None), |shown| Cell::Number(shown.number.to_string()))
    };
    let verdict = |verdict: Option<crate::verdict::Verdict>| {
        verdict.map_or(Cell::text(None), |verdict| text(verdict.word()))
    };
    let shares: Vec<String> =
        moment.shares.iter().map(|share| format!("{} {}", share.part, share.value.text)).collect();
    vec![
        text(&moment.revision.revision),
        text(&moment.revision.date),
        text(&moment.revision.author),
        text(&moment.revision.subject),
        number(moment.value.as_ref()),
        text(moment.value.as_ref().map_or("", |value| value.unit.as_str())),
        number(moment.difference.as_ref()),
        verdict(moment.verdict),
        verdict(moment.verdict_before),
        moment.what.map_or(Cell::text(None), text),
        Cell::Text(shares.join("; ")),
        if moment.with_options { text("all") } else { Cell::text(None) },
    ]
}
