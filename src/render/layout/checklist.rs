//! The release checklist on a page.

use super::super::page::{Line, Page, Row, Span, Table, Tone};
use super::items::work_left;
use super::{cautions, cut, findings, joined, look_back, proposal, steps};
use crate::report::{
    Carried, Checklist, ItemRow, OptionalRow, PartInTheWay, RequirementRow, VariantRow,
};
use crate::verdict::Verdict;

/// Parts that are ranked on a page.
const MOST_PARTS: usize = 12;

/// The checklist, from where the design stands to what to do next.
#[must_use]
pub fn checklist(report: &Checklist) -> Page {
    let mut page = Page { headline: headline(report), sections: Vec::new() };
    let is_later = |row: &&RequirementRow| row.verdict == Verdict::Later;
    page.table("", requirements(report.requirements.iter().filter(|row| !is_later(row))));
    page.table("due later", requirements(report.requirements.iter().filter(is_later)));
    page.table("open items", items(&report.items));
    page.list("work left on what is in the way", work_left(report.work.as_ref()));
    page.table("release checks", findings(&report.findings));
    if let Some(due) = &report.version {
        proposal::version(&mut page, due);
    }
    page.table("with all optional parts", optional(&report.optional));
    page.table("variants", variants(&report.variants));
    page.table("in the way, by part", by_part(&report.by_part));
    if let Some(history) = &report.history {
        look_back::look_back(&mut page, history);
    }
    page.list("cautions", cautions(report.cautions.as_ref()));
    page.list("next", steps(&report.next));
    page
}

fn headline(report: &Checklist) -> Line {
    let (word, tone) = if report.ready { ("ready", Tone::Good) } else { ("not ready", Tone::Bad) };
    match report.headline.split_once(&format!(": {word},")) {
        Some((before, after)) => {
            vec![format!("{before}: ").into(), Span::new(word, tone), format!(",{after}").into()]
        }
        None => vec![report.headline.as_str().into()],
    }
}

pub(super) fn requirements<'a>(rows: impl Iterator<Item = &'a RequirementRow>) -> Table {
    let columns = vec!["verdict", "requirement", "value", "promised", "left"];
    Table { columns, named: false, rows: rows.map(requirement).collect() }
}

fn requirement(row: &RequirementRow) -> Row {
    let is_open = row.value.as_ref().is_some_and(|value| value.lower_bound);
    let value = row.value.as_ref().map(|value| value.text.as_str());
    // Of a lower bound nothing can be said to be left.
    let left = row.limits.first().filter(|limit| !is_open || limit.left.base < 0.0);
    let left = left.map(|limit| limit.text.as_str());
    Row {
        cells: vec![
            row.verdict.into(),
            Span::new(row.id.as_str(), if row.in_the_way { Tone::Strong } else { Tone::Plain }),
            value.unwrap_or_default().into(),
            row.promised.as_str().into(),
            left.unwrap_or_default().into(),
        ],
        remarks: row.remarks.clone(),
    }
}

pub(super) fn items(rows: &[ItemRow]) -> Table {
    let row = |row: &ItemRow| {
        let standing = match &row.due {
            _ if row.in_the_way => Span::new("open", Tone::Bad),
            Some(due) => Span::new(format!("due {due}"), Tone::Faint),
            None => Span::new("open", Tone::Faint),
        };
        let holds = |what: &str, ids: &[crate::record::Id]| {
            (!ids.is_empty()).then(|| format!("{what} {}", joined(ids, ", ")))
        };
        let effort = row.effort.as_ref().map(|effort| format!("{} left", effort.text));
        let (blocks, after) = (holds("blocks", &row.blocks), holds("after", &row.after));
        let remarks = [row.title.clone(), effort, blocks, after];
        Row {
            cells: vec![standing, row.id.as_str().into(), joined(&row.parts, ", ").into()],
            remarks: remarks.into_iter().flatten().collect(),
        }
    };
    let columns = vec!["standing", "item", "parts"];
    Table { columns, named: false, rows: rows.iter().map(row).collect() }
}

fn optional(rows: &[OptionalRow]) -> Table {
    let row = |row: &OptionalRow| Row {
        cells: vec![
            row.name.as_str().into(),
            row.total.text.as_str().into(),
            row.adds.text.as_str().into(),
        ],
        remarks: vec![joined(&row.parts, ", ")],
    };
    let columns = vec!["budget", "value", "more"];
    Table { columns, named: false, rows: rows.iter().map(row).collect() }
}

/// Findings of a variant that are told beside those of the design itself.
const MOST_FINDINGS: usize = 5;

fn variants(rows: &[VariantRow]) -> Table {
    let row = |row: &VariantRow| {
        let standing = match row.ready {
            true => Span::new("ready", Tone::Good),
            false => Span::new("not ready", Tone::Bad),
        };
        Row { cells: vec![standing, row.id.as_str().into()], remarks: variant_remarks(row) }
    };
    let columns = vec!["standing", "variant"];
    Table { columns, named: false, rows: rows.iter().map(row).collect() }
}

/// What is in the way of the variant alone; how much of the design's own concerns it too.
fn variant_remarks(row: &VariantRow) -> Vec<String> {
    let requirement = |row: &RequirementRow| {
        let value = row.value.as_ref().map(|value| format!("{}, ", value.text));
        let left = row.limits.first().map(|limit| format!(", {}", limit.text));
        let [value, left] = [value, left].map(Option::unwrap_or_default);
        format!("{} {}: {value}{}{left}", row.verdict.word(), row.id, row.promised)
    };
    let requirements = row.requirements.iter().map(requirement);
    let findings = row.findings.iter().take(MOST_FINDINGS);
    let findings = findings.map(|row| format!("{}: {}", row.check, row.message));
    let more = row.findings.len().saturating_sub(MOST_FINDINGS);
    let more = (more > 0)
        .then(|| format!("{more} more, which tagworthy ready --variant {} lists", row.id));
    let findings = findings.chain(more);
    let in_common = format!("{} in the way as in the design itself", row.in_common);
    let left_out = match row.left_out {
        1 => "1 requirement does not apply".to_owned(),
        more => format!("{more} requirements do not apply"),
    };
    let counted = [(row.in_common, in_common), (row.left_out, left_out)].into_iter();
    let counted = counted.filter(|(number, _)| *number > 0).map(|(_, text)| text);
    row.title.clone().into_iter().chain(requirements).chain(findings).chain(counted).collect()
}

fn by_part(rows: &[PartInTheWay]) -> Table {
    let row = |row: &PartInTheWay| Row {
        cells: vec![Span::new(row.part.as_str(), Tone::Strong)],
        remarks: vec![held_up(row)],
    };
    let more = cut(rows, MOST_PARTS).map(|line| Row { cells: line, remarks: Vec::new() });
    let rows = rows.iter().take(MOST_PARTS).map(row).chain(more).collect();
    Table { columns: vec!["part"], named: false, rows }
}

/// `carry-mass (62 % of it), item led-glare, versions-fit`.
fn held_up(row: &PartInTheWay) -> String {
    let requirement = |carried: &Carried| match carried.share {
        Some(share) => format!("{} ({:.0} %)", carried.requirement, share * 100.0),
        None => carried.requirement.to_string(),
    };
    let requirements = row.requirements.iter().map(requirement);
    let items = row.items.iter().map(|item| format!("item {item}"));
    let findings = row.findings.iter().map(ToString::to_string);
    requirements.chain(items).chain(findings).collect::<Vec<_>>().join(", ")
}
