//! Judges what a change does to one design.

use std::sync::Arc;

use super::events::{self, Turned};
use crate::assess::Parses;
use crate::compare;
use crate::design::Design;
use crate::fileset::RepoPath;
use crate::outside::{Manner, Outcome, State};
use crate::parse::Role;
use crate::record::{Event, Manifest};
use crate::render::layout;
use crate::render::page::Page;
use crate::render::text::text;
use crate::report::{self, Between, Broken, Moment, Note};
use crate::threads::side_by_side;
use crate::verdict::Assessed;

/// By what a change is judged.
pub(super) struct Rule<'a> {
    /// What is refused.
    pub guard: &'a [Event],
    /// What git is about to do.
    pub moment: &'a Moment,
    /// How it is told.
    pub manner: &'a Manner,
}

/// What the manifest of a state says, whether its records can be read or not.
pub(super) fn rules(state: &State, manifest: &RepoPath) -> Arc<Manifest> {
    match &state.linked.design {
        Some(design) => Arc::clone(&design.manifest),
        None => Parses::default().of(&state.files, manifest, Role::Manifest).rules(),
    }
}

/// Judges the change of the design at `manifest` from `was` to `is`.
pub(super) fn judge(
    (was, is): (Option<&State>, &State),
    manifest: &RepoPath,
    rule: &Rule<'_>,
) -> Outcome {
    match (was.map(|was| &was.linked.design), &is.linked.design) {
        (was, None) => unreadable(!matches!(was, Some(None)), is, manifest, rule),
        (Some(Some(was)), Some(design)) => compared(was, design, is, rule),
        // Nothing to compare with: the first commit, a new design, or an unreadable one mended.
        (_, Some(_)) => Outcome::default(),
    }
}

/// What a change does to a design whose records can be read before and after; `None` where they
/// cannot.
pub(super) fn note(was: &State, is: &State) -> Option<Note> {
    let (was, design) = (was.linked.design.as_ref()?, is.linked.design.as_ref()?);
    let (before, after) = judged((was, design), is);
    let impact = compare::moves(Some(&before), &after);
    let between = Between { before: Some(&before), after: &after };
    Some(report::note(&impact, between, &[]))
}

/// How the requirements of both states stand by the rules and on the day of the later one. What they have
/// in common is judged once; where they have too little, both are judged at the same time. Release checks
/// turn no commit away.
fn judged((was, design): (&Arc<Design>, &Arc<Design>), is: &State) -> (Assessed, Assessed) {
    let judged = |before, of| is.requirements_judged(before, of, &design.next);
    if !was.is_surely_built_as(design) {
        return side_by_side(|| judged(None, was), || judged(None, design));
    }
    let before = judged(None, was);
    let after = judged(Some(&before), design);
    (before, after)
}

/// Records that cannot be read: refused where that is new.
fn unreadable(newly: bool, is: &State, manifest: &RepoPath, rule: &Rule<'_>) -> Outcome {
    if !(newly && rule.guard.contains(&Event::NewlyUnreadable)) {
        let notice =
            format!("tagworthy: the records cannot be read, and are not judged ({manifest})\n");
        return Outcome { notice, ..Outcome::default() };
    }
    let report = report::unreadable(is.diagnostics(), manifest, None, rule.moment.clone());
    Outcome { notice: told(&layout::refusal(&report), rule), refused: true, ..Outcome::default() }
}

/// Two readable states: refused where the change turns what is guarded.
fn compared(was: &Arc<Design>, design: &Arc<Design>, is: &State, rule: &Rule<'_>) -> Outcome {
    let (before, after) = judged((was, design), is);
    let impact = compare::moves(Some(&before), &after);
    let between = Between { before: Some(&before), after: &after };
    let turned = events::turned(&before, &after, &impact);
    let guarded = turned.iter().filter(|turned| rule.guard.contains(&turned.event));
    let broken: Vec<Broken<'_>> = guarded.map(|turned| broken(turned, between)).collect();
    if broken.is_empty() {
        let note = layout::note(&report::note(&impact, between, &[]));
        let notice = if is_empty(&note) { String::new() } else { told(&note, rule) };
        return Outcome { notice, ..Outcome::default() };
    }
    let refusal = report::refusal(&broken, between, rule.moment.clone());
    Outcome { notice: told(&layout::refusal(&refusal), rule), refused: true, ..Outcome::default() }
}

fn broken<'a>(turned: &'a Turned, between: Between<'a>) -> Broken<'a> {
    Broken {
        between: between.of_variant(turned.variant.as_ref()),
        event: turned.event,
        change: &turned.change,
    }
}

/// Adds what one design comes to; where it is refused, set apart from what was said of others.
pub(super) fn add(outcome: &mut Outcome, design: Outcome) {
    let is_apart = outcome.refused || design.refused;
    if is_apart && !outcome.notice.is_empty() && !design.notice.is_empty() {
        outcome.notice.push('\n');
    }
    outcome.add(design);
}

/// A page as the rule wants it told.
pub(super) fn told(page: &Page, rule: &Rule<'_>) -> String {
    text(page, rule.manner.width)
}

fn is_empty(page: &Page) -> bool {
    page.headline.is_empty() && page.sections.is_empty()
}
