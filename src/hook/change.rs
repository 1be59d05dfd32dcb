//! Judges what a change does to one design.

use std::sync::Arc;

use super::events::{self, Turned};
use crate::assess::Parses;
use crate::compare;
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

/// Judges the change of the design at `manifest` from `was` to `is`; the later state is returned as it
/// was judged, where that was done.
pub(super) fn judge(
    (was, is): (Option<&State>, &State),
    manifest: &RepoPath,
    rule: &Rule<'_>,
) -> (Outcome, Option<Assessed>) {
    if is.linked.design.is_none() {
        let was_readable = was.is_none_or(|was| was.linked.design.is_some());
        return (unreadable(was_readable, is, manifest, rule), None);
    }
    match was.and_then(|was| judged(was, is)) {
        Some((before, after)) => (compared(&before, &after, rule), Some(after)),
        // Nothing to compare with: the first commit, a new design, or an unreadable one mended.
        None => (Outcome::default(), None),
    }
}

/// What a change does to a design whose records can be read before and after; `None` where they
/// cannot.
pub(super) fn note(was: &State, is: &State) -> Option<Note> {
    let (before, after) = judged(was, is)?;
    let impact = compare::moves(Some(&before), &after);
    let between = Between { before: Some(&before), after: &after };
    Some(report::note(&impact, between, &[]))
}

/// How the requirements of both states stand by the rules and on the day of the later one. What they have
/// in common is judged once; where they have too little, both are judged at the same time. Release checks
/// turn no commit away. `None` where the records of one of them cannot be read.
fn judged(was: &State, is: &State) -> Option<(Assessed, Assessed)> {
    let (earlier, later) = (was.linked.design.as_ref()?, is.linked.design.as_ref()?);
    let judged = |before, of| is.requirements_judged(before, of, &later.next);
    if !earlier.is_surely_built_as(later) {
        return Some(side_by_side(|| judged(None, earlier), || judged(None, later)));
    }
    let before = judged(was.follows.as_deref(), earlier);
    let after = judged(Some(&before), later);
    Some((before, after))
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
fn compared(before: &Assessed, after: &Assessed, rule: &Rule<'_>) -> Outcome {
    let impact = compare::moves(Some(before), after);
    let between = Between { before: Some(before), after };
    let turned = events::turned(before, after, &impact);
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
