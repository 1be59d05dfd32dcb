//! Parts that changed, and what they reach.

use super::super::page::{Row, Span, Table, Tone};
use super::{first, joined};
use crate::compare::How;
use crate::facet::Facet;
use crate::record::Id;
use crate::report::{PartRow, count};

/// Requirements that are named for one row.
const MOST_REQUIREMENTS: usize = 4;
/// Paths that are named for one part.
const MOST_PATHS: usize = 3;
/// Parts that are named for one row.
const MOST_PARTS: usize = 8;

/// A row a part; one row for all those of which the same is said or known otherwise, while the things
/// themselves stay as they are.
pub(super) fn changed(rows: &[PartRow]) -> Table {
    let columns = vec!["part", "how", "version", "in"];
    let mut told: Vec<Row> = Vec::new();
    for (at, one) in rows.iter().enumerate() {
        let alike: Vec<&PartRow> = rows.iter().filter(|other| is_told_with(one, other)).collect();
        let is_first = !rows[..at].iter().any(|before| is_told_with(one, before));
        match alike.len() {
            0 | 1 => told.push(part(one)),
            _ if is_first => told.push(together(&alike)),
            _ => {}
        }
    }
    Table { columns, named: false, rows: told }
}

/// What a part's change is in, as one reads it.
pub(super) fn facets(row: &PartRow) -> String {
    if row.how == How::Changed { row.facet_words.join(", ") } else { String::new() }
}

/// Whether the two are told in one row.
fn is_told_with(one: &PartRow, other: &PartRow) -> bool {
    let is_thing = |facet: &Facet| facet.is_physical() || *facet == Facet::Interface;
    let is_same_thing = |row: &PartRow| row.how == How::Changed && !row.facets.iter().any(is_thing);
    is_same_thing(one) && is_same_thing(other) && one.facets == other.facets
}

fn together(rows: &[&PartRow]) -> Row {
    let parts: Vec<Id> = rows.iter().map(|row| row.part.clone()).collect();
    let mut requirements: Vec<Id> =
        rows.iter().flat_map(|row| row.requirements.iter().cloned()).collect();
    requirements.sort();
    requirements.dedup();
    Row {
        cells: vec![
            Span::new(count(rows.len(), "part"), Tone::Strong),
            "changed".into(),
            Span::default(),
            rows.first().map(|row| facets(row)).unwrap_or_default().into(),
        ],
        remarks: [Some(first(&parts, MOST_PARTS, ", ")), touches(&requirements)]
            .into_iter()
            .flatten()
            .collect(),
    }
}

fn part(row: &PartRow) -> Row {
    let paths: Vec<String> =
        row.reaches.iter().take(MOST_PATHS).map(|path| joined(path, " → ")).collect();
    let more = match row.reaches.len().saturating_sub(MOST_PATHS) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let reaches = (!paths.is_empty()).then(|| format!("in {}{more}", paths.join("; ")));
    let near = row.near.as_ref().map(|near| format!("another mesh: {}", near.text));
    let untold = "whether its shape is another cannot be told here: large files were not fetched";
    let untold = row.untold.then(|| untold.to_owned());
    Row {
        cells: vec![
            Span::new(row.part.as_str(), Tone::Strong),
            row.how.word().into(),
            version(row).into(),
            facets(row).into(),
        ],
        remarks: [near, untold, reaches, touches(&row.requirements)]
            .into_iter()
            .flatten()
            .collect(),
    }
}

/// `touches carry-mass, cost-ceiling and 6 more`.
fn touches(requirements: &[Id]) -> Option<String> {
    let named = || format!("touches {}", first(requirements, MOST_REQUIREMENTS, ", "));
    (!requirements.is_empty()).then(named)
}

/// `1.2.0 → 1.3.0`, or the one version that there is.
fn version(row: &PartRow) -> String {
    match (&row.version_before, &row.version_after) {
        (Some(before), Some(after)) if before != after => format!("{before} → {after}"),
        (before, after) => after.as_ref().or(before.as_ref()).cloned().unwrap_or_default(),
    }
}
