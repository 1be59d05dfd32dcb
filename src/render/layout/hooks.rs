//! The git hooks of a repository.

use super::super::page::{Line, Page, Row, Span, Table, Tone};
use crate::report::{HookRow, HooksReport, Standing};

/// Which hooks are in place, and what to do.
#[must_use]
pub fn hooks(report: &HooksReport) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    let rows = report.hooks.iter().map(row).collect();
    page.table("", Table { columns: vec!["hook", "standing"], named: false, rows });
    page.list("besides", lines(&report.remarks));
    page.list("next", lines(&report.next));
    page
}

fn row(row: &HookRow) -> Row {
    let tone = match row.standing {
        Standing::InPlace | Standing::PutInPlace | Standing::BroughtUpToDate => Tone::Good,
        Standing::OfAnotherVersion | Standing::ChangedByHand => Tone::Doubtful,
        Standing::SomeoneElses | Standing::TakenOut => Tone::Plain,
        Standing::Absent => Tone::Faint,
    };
    let cells = vec![row.hook.into(), Span::new(row.standing.words(), tone)];
    Row { cells, remarks: row.remarks.clone() }
}

fn lines(texts: &[String]) -> Vec<Line> {
    texts.iter().map(|text| vec![text.as_str().into()]).collect()
}
