//! How something comes about, on a page.

use super::super::page::{Line, Page, Row, Span, Table, Tone};
use super::joined;
use super::look_back::since_when;
use crate::quantity::Basis;
use crate::report::{Branch, FoundAt, InputRow, PartWhy, ResultRow, TrialsRow, Why};

/// Inputs of an uncertainty budget that are shown.
const MOST_INPUTS: usize = 10;

/// From the result down to its inputs, then what makes it unsure, what would move it, what was seen.
#[must_use]
pub fn why(report: &Why) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.list("", lines(&report.remarks));
    if let Some(tree) = &report.tree {
        page.table("how it comes about", self::tree(tree));
    }
    page.table("what makes it uncertain", uncertainty(&report.uncertainty));
    page.table("by random trials", report.trials.as_ref().map(trials).unwrap_or_default());
    page.list("what would lower it", lines(&report.levers));
    if let Some(part) = &report.part {
        self::part(&mut page, part);
    }
    page.table("evidence", evidence(&report.evidence));
    page.list("since when", report.origin.as_ref().map(since_when).unwrap_or_default());
    page
}

fn lines(texts: &[String]) -> Vec<Line> {
    texts.iter().map(|text| vec![text.as_str().into()]).collect()
}

/// `parts/lamp.toml:12`.
fn place(written: Option<&FoundAt>) -> Span {
    let text = written.map(|written| format!("{}:{}", written.file, written.line));
    Span::new(text.unwrap_or_default(), Tone::Faint)
}

fn percent(share: f64) -> String {
    if share < 0.005 { "< 1 %".to_owned() } else { format!("{:.0} %", share * 100.0) }
}

fn tree(root: &Branch) -> Table {
    let mut rows = Vec::new();
    push(&mut rows, root, "", "");
    Table { columns: vec!["what", "comes to", "share", "written at"], named: false, rows }
}

/// A line of the tree, then all beneath it; `lead` stands before the line and `next` before those.
fn push(rows: &mut Vec<Row>, branch: &Branch, lead: &str, next: &str) {
    let value = branch.value.as_ref().map(|value| value.text.as_str()).unwrap_or_default();
    let basis = branch.basis.map(|basis| format!(" {}", basis.word())).unwrap_or_default();
    let tone = if branch.branches.is_empty() { Tone::Plain } else { Tone::Strong };
    rows.push(Row {
        cells: vec![
            Span::new(format!("{lead}{}", branch.name), tone),
            format!("{value}{basis}").into(),
            branch.share.map(percent).unwrap_or_default().into(),
            place(branch.written.as_ref()),
        ],
        remarks: branch.remarks.clone(),
    });
    let last = branch.branches.len().saturating_sub(1);
    for (index, inner) in branch.branches.iter().enumerate() {
        let (fork, rail) = if index == last { ("└ ", "  ") } else { ("├ ", "│ ") };
        push(rows, inner, &format!("{next}{fork}"), &format!("{next}{rail}"));
    }
}

fn uncertainty(inputs: &[InputRow]) -> Table {
    let row = |input: &InputRow| Row {
        cells: vec![
            percent(input.share).into(),
            input.figure.as_str().into(),
            input.value.text.as_str().into(),
            input.sensitivity_text.as_str().into(),
            place(input.written.as_ref()),
        ],
        remarks: Vec::new(),
    };
    let more = super::cut(inputs, MOST_INPUTS);
    let more =
        more.map(|line| Row { cells: [vec![Span::default()], line].concat(), remarks: Vec::new() });
    let rows = inputs.iter().take(MOST_INPUTS).map(row).chain(more).collect();
    Table { columns: vec!["variance", "input", "value", "followed by", "at"], named: true, rows }
}

fn trials(found: &TrialsRow) -> Table {
    let row = |what: &str, [trials, first]: [&str; 2]| {
        let differs = found.differs.contains(&what).then(|| "beyond sampling".to_owned());
        let tone = if differs.is_some() { Tone::Doubtful } else { Tone::Plain };
        let cells = vec![Span::new(what, tone), trials.into(), first.into()];
        Row { cells, remarks: differs.into_iter().collect() }
    };
    let interval =
        |[low, high]: &[crate::report::Shown; 2]| format!("{} to {}", low.text, high.text);
    let text = |pair: &'_ [crate::report::Shown; 2]| [pair[0].text.clone(), pair[1].text.clone()];
    let [mean, u] = [&found.mean, &found.u].map(text);
    let interval = [interval(&found.interval), interval(&found.first_order_interval)];
    let undefined = (found.undefined > 0).then(|| format!("{} more had no value", found.undefined));
    let made = Row {
        cells: vec!["made".into(), format!("{} trials", found.defined).into()],
        remarks: [Some(format!("seed {}", found.seed)), undefined].into_iter().flatten().collect(),
    };
    let rows = [("mean", mean), ("u", u), ("interval", interval)];
    let rows =
        rows.iter().map(|(what, pair)| row(what, [&pair[0], &pair[1]])).chain([made]).collect();
    Table { columns: vec!["figure", "by trials", "to first order"], named: true, rows }
}

fn part(page: &mut Page, part: &PartWhy) {
    let described = [
        part.title.clone(),
        Some(part.origin.to_owned()),
        part.version.clone(),
        Some(format!("{}:{}", part.written.file, part.written.line)),
    ];
    let described: Vec<String> = described.into_iter().flatten().collect();
    page.list("", vec![vec![described.join(", ").into()]]);
    page.list("used in", part.used.iter().map(|path| vec![joined(path, " → ").into()]).collect());
    let stated = part.figures.iter().map(|stated| {
        let basis = stated.basis.map(Basis::word).map(|word| format!(" {word}"));
        let text = format!("{}{}", stated.text, basis.unwrap_or_default());
        let cells = vec![stated.name.as_str().into(), text.into(), place(stated.written.as_ref())];
        Row { cells, remarks: Vec::new() }
    });
    let columns = vec!["figure", "value", "written at"];
    page.table("states", Table { columns, named: false, rows: stated.collect() });
    let reached = part.requirements.iter().map(|(id, verdict)| Row {
        cells: vec![(*verdict).into(), id.as_str().into()],
        remarks: Vec::new(),
    });
    let columns = vec!["verdict", "requirement"];
    page.table("reaches", Table { columns, named: false, rows: reached.collect() });
    let facets = part.facets.iter().map(|(facet, digest)| Row {
        cells: vec![facet.word().into(), Span::new(digest.as_str(), Tone::Faint)],
        remarks: Vec::new(),
    });
    let columns = vec!["facet", "digest"];
    page.table("facets", Table { columns, named: false, rows: facets.collect() });
}

fn evidence(results: &[ResultRow]) -> Table {
    let row = |result: &ResultRow| {
        let tone = match result.standing {
            "current" => Tone::Good,
            "set-aside" => Tone::Faint,
            _ => Tone::Bad,
        };
        let carried = joined(&result.carried_over, ", ");
        let carried = (!carried.is_empty()).then(|| format!("carried over to {carried}"));
        let near = result.near.iter();
        let near = near.map(|(part, near)| format!("{part} has another mesh: {}", near.text));
        Row {
            cells: vec![
                Span::new(result.standing, tone),
                result.id.as_str().into(),
                result.seen.as_str().into(),
                place(Some(&result.written)),
            ],
            remarks: result.because.clone().into_iter().chain(near).chain(carried).collect(),
        }
    };
    let columns = vec!["standing", "result", "seen", "written at"];
    Table { columns, named: false, rows: results.iter().map(row).collect() }
}
