//! One figure or requirement through the history: where it moved, who broke it and who mended it.

use serde::Serialize;

use super::super::impact::because;
use super::super::moves::{self, ShareRow};
use super::super::shown::{Shown, known_to, stands};
use super::row::{DecidedRow, RevisionRow, decision, revision, unit};
use crate::compare::Cause;
use crate::history::{Followed, Ledger, Moment, Point, Row, Told, Turned};
use crate::record::Id;
use crate::verdict::{Side, Verdict};

/// What is followed, and every revision that moved it.
#[derive(Clone, Debug, Serialize)]
pub struct FollowedReport {
    /// All of it in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// What was asked for.
    pub name: String,
    /// Revisions that moved its value, its limit or its verdict, those that came first in front.
    pub moments: Vec<MomentRow>,
    /// The last revision at which it held, where it is a requirement and ever did.
    pub last_held: Option<RevisionRow>,
    /// What should be known besides.
    pub remarks: Vec<String>,
}

/// A revision that moved what is followed.
#[derive(Clone, Debug, Serialize)]
pub struct MomentRow {
    /// Which.
    #[serde(flatten)]
    pub revision: RevisionRow,
    /// Its value; nothing where it has none.
    pub value: Option<Shown>,
    /// Its value less the one before, with its sign.
    pub difference: Option<Shown>,
    /// How the requirement stands; nothing of a figure, and where it is gone.
    pub verdict: Option<Verdict>,
    /// How it stood before.
    pub verdict_before: Option<Verdict>,
    /// Whether that is the value with all optional parts.
    pub with_options: bool,
    /// Whether the revision `broke` or `mended` it, had it `let through` by a waiver or `held to it` again,
    /// `put off` or `made due`; nothing where it did none of these.
    pub what: Option<&'static str>,
    /// The same as a clause.
    #[serde(skip)]
    pub what_words: Option<&'static str>,
    /// What turned the verdict.
    pub cause: Option<Cause>,
    /// The same in words.
    pub because: Option<&'static str>,
    /// The limit that decides, where it is another than before.
    pub limit: Option<String>,
    /// Each part's share of the difference, largest first.
    pub shares: Vec<ShareRow>,
    /// Decisions of the revision about these parts, or about none in particular.
    pub decided: Vec<DecidedRow>,
}

/// What was `followed` under `name` through the ledger of `design`.
#[must_use]
pub fn followed(design: &Id, name: &str, ledger: &Ledger, followed: &Followed) -> FollowedReport {
    let moments = followed.moments.iter();
    let moments: Vec<MomentRow> =
        moments.map(|moment| moment_row(&ledger.rows[moment.row], moment)).collect();
    let held = followed.last_held.map(|row| revision(&ledger.rows[row].revision));
    FollowedReport {
        headline: headline(design, name, &moments, held.as_ref()),
        design: design.clone(),
        name: name.to_owned(),
        moments,
        last_held: held,
        remarks: super::remarks(ledger.is_cut_off),
    }
}

pub(super) fn moment_row(row: &Row, moment: &Moment) -> MomentRow {
    let (was, is) = (moment.before.as_ref(), moment.after.as_ref());
    let of = |point: Option<&Point>| point.and_then(|point| point.verdict);
    let turned = moment.turned();
    let unit = unit(&is.or(was).map(|point| point.unit.clone()).unwrap_or_default());
    let expanded_u = is.map_or(0.0, |point| point.expanded_u);
    let moved = moment.moved();
    let known = [was, is].map(|point| point.and_then(|point| point.value).unwrap_or_default());
    let expanded_u = known_to(known, expanded_u, &unit);
    let limit = |point: &Point| point.limits.first().copied();
    let is_other_limit = was.is_none_or(|was| is.is_none_or(|is| was.limits != is.limits));
    let is_turned = of(was) != of(is);
    MomentRow {
        revision: revision(&row.revision),
        value: is.and_then(shown),
        difference: moved.map(|(was, is)| Shown::signed(is - was, expanded_u, &unit)),
        verdict: of(is),
        verdict_before: of(was),
        with_options: is.is_some_and(|point| point.by_options),
        what: turned.map(what),
        what_words: turned.map(what_words),
        cause: moment.cause.filter(|_| is_turned && was.is_some() && is.is_some()),
        because: moment.cause.filter(|_| was.is_some() && is.is_some()).map(because),
        limit: is.and_then(limit).filter(|_| is_other_limit).map(|(side, limit)| {
            let side = if side == Side::AtMost { "at most" } else { "at least" };
            format!("{side} {}", Shown::measure(limit, &unit).text)
        }),
        shares: match was {
            Some(_) => moves::shares(&moment.shares, expanded_u, &unit),
            None => Vec::new(),
        },
        decided: decided(row, moment),
    }
}

/// What a revision did to a verdict, in a word.
fn what(turned: Turned) -> &'static str {
    match turned {
        Turned::Broke => "broke",
        Turned::Mended => "mended",
        Turned::LetThrough => "let through",
        Turned::HeldToIt => "held to it",
        Turned::PutOff => "put off",
        Turned::MadeDue => "made due",
    }
}

/// The same as a clause.
fn what_words(turned: Turned) -> &'static str {
    match turned {
        Turned::Broke => "broke it",
        Turned::Mended => "mended it",
        Turned::LetThrough => "let it through by a waiver",
        Turned::HeldToIt => "no longer lets it through",
        Turned::PutOff => "put it off",
        Turned::MadeDue => "made it due",
    }
}

/// What is said of a value with all optional parts.
pub const WITH_OPTIONS: &str = "with all optional parts";

fn shown(point: &Point) -> Option<Shown> {
    let unit = unit(&point.unit);
    let value = Shown::uncertain(point.value?, point.expanded_u, &unit);
    Some(value.and_more(point.is_lower_bound))
}

/// The decisions of a revision that may be why.
fn decided(row: &Row, moment: &Moment) -> Vec<DecidedRow> {
    let Told::Entry(entry) = &row.told else { return Vec::new() };
    let is_about = |part: &Id| moment.shares.iter().any(|(moved, _)| moved == part);
    let decided = entry.decided.iter();
    let decided =
        decided.filter(|decision| decision.parts.is_empty() || decision.parts.iter().any(is_about));
    decided.map(decision).collect()
}

/// `carry-mass is thin, 1352.8 g ± 8.8 g (lantern): broken by 3f2c9ab of Ada Frame on 2026-05-02; last
/// held at 1c0ffee`.
fn headline(design: &Id, name: &str, moments: &[MomentRow], held: Option<&RevisionRow>) -> String {
    let Some(last) = moments.last() else { return format!("{design}: nothing is known of {name}") };
    let with_options = if last.with_options { format!(" {WITH_OPTIONS}") } else { String::new() };
    let value = last.value.as_ref().map(|value| format!("{}{with_options}", value.text));
    let told = match (last.verdict, value) {
        (Some(verdict), Some(value)) => format!("{name} {}, {value}", stands(verdict)),
        (Some(verdict), None) => format!("{name} {}", stands(verdict)),
        (None, Some(value)) => format!("{name} is {value}"),
        (None, None) => format!("{name} is gone"),
    };
    let is_held = matches!(last.verdict, None | Some(Verdict::Pass | Verdict::Later));
    let turned = moments.iter().rev().find(|moment| moment.what.is_some());
    let by = match turned {
        Some(moment) => format!("; {}", who(moment)),
        None => match moments.iter().rev().find(|moment| moment.difference.is_some()) {
            Some(moved) => format!("; {} moved it last", by(moved)),
            // However much better it is known by now.
            None => format!("; so since {}", by(moments.first().unwrap_or(last))),
        },
    };
    let held = held.filter(|_| !is_held);
    let held = held.map(|held| format!("; last held at {}", held.revision)).unwrap_or_default();
    format!("{design}: {told}{by}{held}")
}

/// `3f2c9ab of Ada Frame broke it`.
fn who(moment: &MomentRow) -> String {
    format!("{} {}", by(moment), moment.what_words.unwrap_or("moved it"))
}

fn by(moment: &MomentRow) -> String {
    let RevisionRow { revision, author, date, .. } = &moment.revision;
    format!("{revision} of {author} on {date}")
}
