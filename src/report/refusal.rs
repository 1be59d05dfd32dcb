//! What a hook tells: why it refuses, in one screen; or what it lets through, in a few lines.

use serde::Serialize;

use super::diagnostics::DiagnosticRow;
use super::impact::{Between, turn, verdict_row};
use super::moves::{ShareRow, moves, told};
use super::requirements::{self, RequirementRow};
use super::shown::count;
use crate::compare::{Impact, VerdictChange};
use crate::record::Id;
use crate::verdict::Verdict;

/// Why a commit is refused, and the ways out.
#[derive(Clone, Debug, Serialize)]
pub struct Refusal {
    /// All of it in one line.
    pub headline: String,
    /// What is wrong in record files, where that is the reason.
    pub diagnostics: Vec<DiagnosticRow>,
    /// Requirements that the change breaks.
    pub overruns: Vec<Overrun>,
    /// A record that would let the first of them through; lines of TOML.
    pub waiver: Vec<String>,
}

/// A requirement that a change breaks.
#[derive(Clone, Debug, Serialize)]
pub struct Overrun {
    /// How it stands now.
    pub row: RequirementRow,
    /// How it stood before.
    pub before: Option<Verdict>,
    /// The parts that turned it, largest share first.
    pub through: Vec<ShareRow>,
}

/// What is let through, said aloud.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Note {
    /// The line with which budgets moved; nothing where none did.
    pub moved: Option<String>,
    /// Verdicts that turned and are let through, a line each.
    pub turned: Vec<String>,
}

impl Note {
    /// Whether there is nothing to say.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.moved.is_none() && self.turned.is_empty()
    }
}

/// The refusal of a commit whose records cannot be read.
#[must_use]
pub fn unreadable(diagnostics: Vec<DiagnosticRow>) -> Refusal {
    let errors = count(diagnostics.len(), "error");
    Refusal {
        headline: format!("refused: the records would no longer be readable, {errors}"),
        diagnostics,
        overruns: Vec::new(),
        waiver: Vec::new(),
    }
}

/// The refusal of a commit that breaks the requirements in `broken`.
#[must_use]
pub fn refusal(broken: &[&VerdictChange], between: Between<'_>) -> Refusal {
    let overruns: Vec<Overrun> =
        broken.iter().filter_map(|change| overrun(change, between)).collect();
    let number = count(overruns.len(), "requirement");
    Refusal {
        headline: format!("refused: this breaks {number} of {}", between.after.design.name),
        diagnostics: Vec::new(),
        waiver: overruns.first().map(|overrun| waiver(&overrun.row, between)).unwrap_or_default(),
        overruns,
    }
}

fn overrun(change: &VerdictChange, between: Between<'_>) -> Option<Overrun> {
    let judged = &between.after.judged;
    let judged = judged.iter().find(|judged| judged.requirement == change.requirement)?;
    Some(Overrun {
        row: requirements::row(between.after, judged),
        before: change.before,
        through: verdict_row(change, between).shares,
    })
}

/// A waiver as it would be written, up to the value that is now.
fn waiver(row: &RequirementRow, between: Between<'_>) -> Vec<String> {
    let up_to = row.value.as_ref().map(|value| {
        let plain = value.text.split(" ±").next().unwrap_or_default();
        format!("up-to        = \"{plain}\"")
    });
    let release = &between.after.occasion.release;
    let next = semver::Version::new(release.major, release.minor.saturating_add(1), 0);
    let mut lines = vec!["[waiver.NAME]".into(), format!("requirement  = \"{}\"", row.id)];
    lines.extend(up_to);
    lines.push(format!("until-before = \"{next}\""));
    lines.push(format!("on           = {}", between.after.occasion.today));
    lines.push("by           = \"…\"".into());
    lines.push("why          = \"…\"".into());
    lines
}

/// Moves that are named in a note.
const NAMED_MOVES: usize = 3;

/// What `change` does without being refused; `refused` are the requirements that it is refused for.
#[must_use]
pub fn note(change: &Impact, between: Between<'_>, refused: &[Id]) -> Note {
    let moves = moves(change, &between.before.design, &between.after.design);
    let told = told(&moves).into_iter().filter_map(|(row, by)| {
        let after = row.after.as_ref()?;
        Some(format!("{} {} to {}", row.name, by.text, after.text))
    });
    let told: Vec<String> = told.collect();
    let more = told.len().saturating_sub(NAMED_MOVES);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let named = told.iter().take(NAMED_MOVES).cloned().collect::<Vec<_>>().join(", ");
    let name = &between.after.design.name;
    Note {
        moved: (!told.is_empty()).then(|| format!("{name}: {named}{more}")),
        turned: turned(change, between, refused),
    }
}

/// Whether a verdict needs no word on why it is let through.
fn is_good(verdict: Option<Verdict>) -> bool {
    matches!(verdict, None | Some(Verdict::Pass | Verdict::Waived))
}

/// Verdicts that are others now and are not refused.
fn turned(change: &Impact, between: Between<'_>, refused: &[Id]) -> Vec<String> {
    let verdicts = change.verdicts.iter();
    verdicts
        .filter(|turned| !refused.contains(&turned.requirement))
        .filter(|turned| turned.after.is_some_and(|after| after != Verdict::Later))
        .map(|turned| {
            let row = verdict_row(turned, between);
            let through = if is_good(turned.after) { "" } else { "; let through" };
            format!("{} {}, {}{through}", row.requirement, turn(&row), row.because)
        })
        .collect()
}
