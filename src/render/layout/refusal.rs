//! What a hook tells, on one screen.

use super::super::page::{Body, Line, Page, Row, Section, Span, Table, Tone};
use super::cut;
use super::impact::through;
use crate::report::{DiagnosticRow, MOST_DIAGNOSTICS, MOST_OVERRUNS, Note, Overrun, Refusal};
use crate::verdict::Verdict;

/// Columns of a command that the narrowest of usual screens has room for.
const MOST_COLUMNS: usize = 58;
/// Commands that are written in full; of more of them only what differs is.
const MOST_IN_FULL: usize = 2;

/// What one screen has room for.
#[derive(Clone, Copy)]
struct Room {
    /// Requirements.
    overruns: usize,
    /// Lines about something else.
    besides: usize,
    /// Things to do.
    steps: usize,
    /// Commands that let something through.
    waivers: usize,
}

/// The usual room.
const ROOM: Room = Room { overruns: MOST_OVERRUNS, besides: 3, steps: 4, waivers: 3 };
/// The same where there are more requirements than that.
const FULL: Room = Room { steps: 2, ..ROOM };
/// The room for all kinds of things that are in the way of a release.
const CROWDED: Room = Room { overruns: 2, besides: 1, steps: 2, waivers: 1 };

/// How the commands that let something through begin, and where they end alike.
const WAIVE: (&str, &str) = ("tagworthy waive ", " --until-before");

/// Why it is refused, and the ways out; nothing else.
#[must_use]
pub fn refusal(report: &Refusal) -> Page {
    let headline = match report.headline.split_once(':') {
        Some((word, rest)) => vec![Span::new(word, Tone::Bad), format!(":{rest}").into()],
        None => vec![report.headline.as_str().into()],
    };
    let mut page = Page { headline, sections: Vec::new() };
    let room = room(report);
    page.table("", overruns(&report.overruns[..report.overruns.len().min(room.overruns)]));
    page.list("", further(report, room));
    page.diagnostics(shown_diagnostics(report), MOST_DIAGNOSTICS);
    page.list("mend it", mend(report, room));
    snippet(&mut page, report.moment.instead(), waivers(&report.waivers, room.waivers));
    let past = report.moment.way_past().into_iter().collect();
    snippet(&mut page, "or go past this hook", past);
    page
}

/// What is let through, a line each; no lines where there is nothing to say.
#[must_use]
pub fn note(report: &Note) -> Page {
    let lines = report.moved.iter().chain(&report.turned).chain(&report.loosened);
    let mut lines = lines.map(|line| vec![Span::from(line.as_str())]);
    let headline = lines.next().unwrap_or_default();
    let mut page = Page { headline, sections: Vec::new() };
    page.list("", lines.collect());
    page
}

fn overruns(rows: &[Overrun]) -> Table {
    let columns = vec!["verdict", "requirement", "value", "promised", "left"];
    let rows = rows.iter().map(overrun).collect();
    Table { columns, named: false, rows }
}

fn overrun(overrun: &Overrun) -> Row {
    let row = &overrun.row;
    let value = row.value.as_ref().map(|value| value.text.as_str());
    let left = row.limits.first().map(|limit| limit.text.as_str());
    let variant = overrun.variant.as_ref().map(|id| format!("in the variant {id}"));
    let before = overrun.before.map(|before| format!("{} before", before.word()));
    // A value beyond its limit says itself what is wrong; anything else needs a word.
    let says_itself = row.verdict == Verdict::Fail && !row.limits.is_empty();
    let why = row.remarks.first().filter(|_| !says_itself).cloned();
    let event = overrun.event.map(str::to_owned);
    Row {
        cells: vec![
            row.verdict.into(),
            Span::new(row.id.as_str(), Tone::Strong),
            value.unwrap_or_default().into(),
            row.promised.as_str().into(),
            left.unwrap_or_default().into(),
        ],
        remarks: [variant, through(&overrun.through), overrun.options.clone(), why, event, before]
            .into_iter()
            .flatten()
            .collect(),
    }
}

/// Where something lists all of them, that says that there are more.
fn shown_diagnostics(report: &Refusal) -> &[DiagnosticRow] {
    let rows = &report.diagnostics;
    match report.all_of_it {
        Some(_) => &rows[..rows.len().min(MOST_DIAGNOSTICS)],
        None => rows,
    }
}

fn room(report: &Refusal) -> Room {
    let (overruns, besides) = (report.overruns.len(), report.besides.len());
    match report.all_of_it {
        Some(_) if besides > 0 && overruns + besides > CROWDED.overruns => CROWDED,
        Some(_) if overruns > ROOM.overruns => FULL,
        _ => ROOM,
    }
}

/// What else is refused, how much of all is not shown, and what lists that.
fn further(report: &Refusal, room: Room) -> Vec<Line> {
    let besides = report.besides.len().min(room.besides);
    let hidden =
        report.overruns.len().saturating_sub(room.overruns) + report.besides.len() - besides;
    let mut lines = lines(&report.besides[..besides], besides);
    if hidden > 0 {
        let mut line = vec![Span::new(format!("and {hidden} more"), Tone::Faint)];
        line.extend(report.all_of_it.iter().map(|all| format!("; {all}").into()));
        lines.push(line);
    }
    lines
}

fn mend(report: &Refusal, room: Room) -> Vec<Line> {
    // What lists all that is refused then says what to do about it too, and was named already.
    let is_cut = room.steps < ROOM.steps;
    let steps = if is_cut { report.mend.len().min(room.steps) } else { report.mend.len() };
    let mut mend = lines(&report.mend[..steps], room.steps);
    let is_about_the_name =
        report.overruns.is_empty() && report.besides.is_empty() && report.diagnostics.is_empty();
    // What to do about a wrong name is said in full.
    mend.extend((!is_about_the_name).then(|| vec![report.moment.again().into()]));
    let all_of_it = report.all_of_it.iter().filter(|_| !is_cut);
    mend.extend(all_of_it.map(|command| vec![command.as_str().into()]));
    mend
}

/// The first `most` texts, and how many there are besides.
fn lines(texts: &[String], most: usize) -> Vec<Line> {
    let shown = texts.iter().take(most).map(|text| vec![text.as_str().into()]);
    shown.chain(cut(texts, most)).collect()
}

/// The commands that let something through.
fn waivers(commands: &[String], most: usize) -> Vec<String> {
    if commands.len() <= MOST_IN_FULL {
        return commands.iter().flat_map(|command| broken(command)).collect();
    }
    let (begin, end) = WAIVE;
    let parts = |command: &String| {
        let (what, rest) = command.strip_prefix(begin)?.split_once(end)?;
        Some((what.to_owned(), rest.to_owned()))
    };
    let Some((_, rest)) = commands.first().and_then(parts) else { return commands.to_vec() };
    let whats = commands.iter().take(most).filter_map(parts);
    let more = cut(commands, most).into_iter().flatten().map(|span| span.text);
    let whats = whats.map(|(what, _)| what).chain(more).map(|what| format!("    {what}"));
    let command = [format!("{begin}WHAT{end}{rest}"), "where WHAT is one of".to_owned()];
    command.into_iter().chain(whats).collect()
}

/// A command, on two lines where it is long: to be copied from a narrow screen too.
fn broken(command: &str) -> Vec<String> {
    match command.split_once(WAIVE.1) {
        _ if command.len() <= MOST_COLUMNS => vec![command.to_owned()],
        Some((head, tail)) => vec![format!("{head} \\"), format!("   {}{tail}", WAIVE.1)],
        None => vec![command.to_owned()],
    }
}

fn snippet(page: &mut Page, title: &'static str, lines: Vec<String>) {
    if !lines.is_empty() {
        page.sections.push(Section { title, body: Body::Snippet(lines) });
    }
}
