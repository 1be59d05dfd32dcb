//! What a hook lets through, said aloud in a few lines.

use serde::Serialize;

use super::impact::verdict_rows;
use super::moves::{Between, moves, told};
use crate::compare::{Impact, Loosened};
use crate::record::Id;
use crate::verdict::Verdict;

/// What is let through, said aloud.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Note {
    /// The line with which budgets moved; nothing where none did.
    pub moved: Option<String>,
    /// Verdicts that turned and are let through, a line each.
    pub turned: Vec<String>,
    /// What is promised less than before, a line each.
    pub loosened: Vec<String>,
}

impl Note {
    /// Whether there is nothing to say.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.moved.is_none() && self.turned.is_empty() && self.loosened.is_empty()
    }
}

/// Moves that are named in a note.
const NAMED_MOVES: usize = 3;

/// What `change` does without being refused; `refused` are the requirements that it is refused for.
#[must_use]
pub fn note(change: &Impact, between: Between<'_>, refused: &[Id]) -> Note {
    let moves = moves(change, between);
    let told = told(&moves).into_iter().filter_map(|(row, by)| {
        let after = row.after.as_ref()?;
        Some(format!("{} {} (now {})", row.name, by.text, after.text))
    });
    let told: Vec<String> = told.collect();
    let more = told.len().saturating_sub(NAMED_MOVES);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let named = told.iter().take(NAMED_MOVES).cloned().collect::<Vec<_>>().join(", ");
    let name = &between.after.design.name;
    Note {
        moved: (!told.is_empty()).then(|| format!("{name}: {named}{more}")),
        turned: turned(change, between, refused),
        loosened: change.loosened.iter().map(loosened).collect(),
    }
}

/// Whether a verdict needs no word on why it is let through.
fn is_good(verdict: Option<Verdict>) -> bool {
    matches!(verdict, None | Some(Verdict::Pass | Verdict::Waived))
}

/// Verdicts that are others now and are not refused.
fn turned(change: &Impact, between: Between<'_>, refused: &[Id]) -> Vec<String> {
    verdict_rows(change, between)
        .iter()
        .filter(|row| !refused.contains(&row.requirement))
        .filter(|row| row.after.is_some_and(|after| after != Verdict::Later))
        .map(|row| {
            let through = if is_good(row.after) { "" } else { "; let through" };
            let because = row.because.map(|because| format!(", {because}")).unwrap_or_default();
            format!("{} {}{because}{through}", row.name(), row.turned())
        })
        .collect()
}

/// `carry-mass promises less: at most 1200 g → at most 1300 g`.
fn loosened(loosened: &Loosened) -> String {
    let Loosened { requirement, what, before, after } = loosened;
    let after = if after.is_empty() { "nothing" } else { after };
    match *what {
        "requirement" => format!("{requirement} is no longer promised"),
        // A limit says itself which one it is.
        "at-most" | "at-least" => format!("{requirement} promises less: {before} → {after}"),
        what => format!("{requirement} promises less: {what} {before} → {after}"),
    }
}
