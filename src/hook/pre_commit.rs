//! `pre-commit`: judges what is about to be committed, against what is checked out.
//!
//! The index is the one that git names in `GIT_INDEX_FILE`: with `commit -a`, a partial commit or an
//! amendment it is another than the repository's own. The working tree is not looked at.

use std::sync::Arc;

use super::events;
use crate::assess::Parses;
use crate::compare::{self, VerdictChange};
use crate::design::Design;
use crate::fileset::RepoPath;
use crate::git::{At, Repository, Snapshot};
use crate::outside::{Failure, Loader, Manner, Outcome, State, World, manifests};
use crate::parse::Role;
use crate::record::{Event, Id, Manifest};
use crate::render::layout;
use crate::render::page::Page;
use crate::render::text::text;
use crate::report::{self, Between};
use crate::threads::side_by_side;

/// What is refused at a commit where the manifest does not say.
const REFUSED: [Event; 2] = [Event::NewlyUnreadable, Event::NewlyFailing];

/// Judges every design that the commit touches.
///
/// # Errors
/// [`Failure`] where git's state could not be read; the shim then lets git go on.
pub fn run(manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let head = repository.head()?.map(At::Revision);
    let mut after = repository.snapshot(&At::Index)?;
    let mut before = head.as_ref().map(|head| repository.snapshot(head)).transpose()?;
    let mut loader = Loader::new(&repository);
    let mut outcome = Outcome::default();
    for manifest in manifests(after.entries()) {
        let was = before.as_mut().filter(|before| before.entries().contains_key(&manifest));
        if was.as_ref().is_some_and(|was| !is_touched(&manifest, was, &after)) {
            continue;
        }
        let (was, is) =
            loader.pair(was.zip(head.as_ref()), (&mut after, &At::Index), &manifest, world)?;
        let told = judge(was.as_ref(), &is, &manifest, manner);
        outcome.notice += &told.notice;
        outcome.refused |= told.refused;
    }
    Ok(outcome)
}

/// Whether the commit changes anything below the folder of the manifest.
fn is_touched(manifest: &RepoPath, before: &Snapshot<'_>, after: &Snapshot<'_>) -> bool {
    let folder = manifest.folder();
    let mine = |path: &RepoPath| path.below(&folder).is_some();
    let before = before.entries().iter().filter(|(path, _)| mine(path));
    before.ne(after.entries().iter().filter(|(path, _)| mine(path)))
}

fn judge(was: Option<&State>, is: &State, manifest: &RepoPath, manner: &Manner) -> Outcome {
    match (was.map(|was| &was.linked.design), &is.linked.design) {
        (was, None) => unreadable(!matches!(was, Some(None)), is, manifest, manner),
        (Some(Some(was)), Some(design)) => compared(was, design, is, manner),
        // Nothing to compare with: the first commit, a new design, or an unreadable one mended.
        (_, Some(_)) => Outcome::default(),
    }
}

/// Records that cannot be read: refused where that is new.
fn unreadable(newly: bool, is: &State, manifest: &RepoPath, manner: &Manner) -> Outcome {
    let staged = Parses::default().of(&is.files, manifest, Role::Manifest);
    let refused = newly && guard(&staged.rules()).contains(&Event::NewlyUnreadable);
    if !refused {
        let notice =
            format!("tagworthy: the records cannot be read, and are not judged ({manifest})\n");
        return Outcome { notice, ..Outcome::default() };
    }
    let report = report::unreadable(is.diagnostics());
    Outcome { notice: text(&layout::refusal(&report), manner.width), refused, ..Outcome::default() }
}

/// What the manifest guards at a commit.
fn guard(manifest: &Manifest) -> Vec<Event> {
    match &manifest.guard.commit {
        Some(events) => events.iter().map(|event| event.value).collect(),
        None => REFUSED.to_vec(),
    }
}

/// Two readable states: refused where the change turns what the manifest guards.
fn compared(was: &Arc<Design>, design: &Arc<Design>, is: &State, manner: &Manner) -> Outcome {
    let judged = |of| is.judged(of, &design.next);
    let (before, after) = side_by_side(|| judged(was), || judged(design));
    let impact = compare::impact(Some(&before), &after);
    let guard = guard(&design.manifest);
    let turned = events::turned(&before, &after, &impact);
    let between = Between { before: Some(&before), after: &after };
    let broken: Vec<(Between<'_>, &VerdictChange)> = turned
        .iter()
        .filter(|turned| guard.contains(&turned.event))
        .map(|turned| (between.of_variant(turned.variant.as_ref()), &turned.change))
        .collect();
    let names: Vec<Id> = broken.iter().map(|(_, change)| change.requirement.clone()).collect();
    let mut notice = String::new();
    if !broken.is_empty() {
        let refusal = layout::refusal(&report::refusal(&broken, between));
        notice += &text(&refusal, manner.width);
    }
    let note = layout::note(&report::note(&impact, between, &names));
    if !is_empty(&note) && broken.is_empty() {
        notice += &text(&note, manner.width);
    }
    Outcome { notice, refused: !broken.is_empty(), ..Outcome::default() }
}

fn is_empty(page: &Page) -> bool {
    page.headline.is_empty() && page.sections.is_empty()
}
