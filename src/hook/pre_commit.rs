//! `pre-commit`: judges what is about to be committed, against what is checked out.
//!
//! The index is the one that git names in `GIT_INDEX_FILE`: with `commit -a`, a partial commit or an
//! amendment it is another than the repository's own. The working tree is not looked at.

use std::sync::Arc;

use super::events::{self, Turned};
use crate::app::state::{Loader, State, manifests};
use crate::app::{Failure, Manner, Outcome, World};
use crate::assess;
use crate::compare::{Impact, impact};
use crate::design::Design;
use crate::fileset::{FileSet, RepoPath};
use crate::git::{At, Repository, Snapshot};
use crate::record::{Event, Manifest};
use crate::render;
use crate::report;
use crate::verdict::{Assessed, Occasion};

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
        let was = match (was, &head) {
            (Some(was), Some(head)) => Some(loader.design(was, &manifest, head, world)?),
            _ => None,
        };
        let is = loader.design(&mut after, &manifest, &At::Index, world)?;
        let told = judge(was.as_ref(), &is, &manifest, manner);
        outcome.notice += &told.notice;
        outcome.refused |= told.refused;
    }
    Ok(outcome)
}

/// Whether the commit changes anything below the folder of the manifest.
fn is_touched(manifest: &RepoPath, before: &Snapshot<'_>, after: &Snapshot<'_>) -> bool {
    let folder = manifest.folder();
    let below = |snapshot: &Snapshot<'_>| -> Vec<_> {
        let mine = |(path, entry): (&RepoPath, _)| {
            path.below(&folder).is_some().then(|| (path.clone(), *entry))
        };
        snapshot.entries().iter().filter_map(mine).collect()
    };
    below(before) != below(after)
}

fn judge(was: Option<&State>, is: &State, manifest: &RepoPath, manner: &Manner) -> Outcome {
    match (was.map(|was| &was.linked.design), &is.linked.design) {
        (_, None) => unreadable(was, is, manifest, manner),
        (Some(Some(was)), Some(design)) => compared(was, design, is, manner),
        // Nothing to compare with: the first commit, a new design, or an unreadable one mended.
        (_, Some(_)) => Outcome::default(),
    }
}

/// Records that cannot be read: refused where they could be read before.
fn unreadable(was: Option<&State>, is: &State, manifest: &RepoPath, manner: &Manner) -> Outcome {
    let newly = was.is_none_or(|was| was.linked.design.is_some());
    let refused = newly && guarded(&is.files, manifest).contains(&Event::NewlyUnreadable);
    let source = |path: &RepoPath| is.files.bytes(path).map(Arc::clone);
    let shown = render::diagnostic::text(&is.linked.diagnostics, &source, manner.width);
    Outcome { notice: shown + &report::refusal::unreadable(refused, newly), refused, ..Outcome::default() }
}

/// What the staged manifest guards, whether the other records can be read or not.
fn guarded(files: &FileSet, manifest: &RepoPath) -> Vec<Event> {
    let parsed = assess::Parses::default().of(files, manifest, crate::parse::Role::Manifest);
    guard_of(&parsed.manifest)
}

fn guard_of(manifest: &Manifest) -> Vec<Event> {
    match &manifest.guard.commit {
        Some(events) => events.iter().map(|event| event.value).collect(),
        None => REFUSED.to_vec(),
    }
}

/// Two readable states: refused where the change turns what the manifest guards.
fn compared(was: &Arc<Design>, design: &Arc<Design>, is: &State, manner: &Manner) -> Outcome {
    let occasion = Occasion { release: design.next.clone(), today: is.day };
    let before = assess::judge(Arc::clone(was), &is.documents, occasion.clone());
    let after = assess::judge(Arc::clone(design), &is.documents, occasion);
    let impact = impact(Some(&before), &after);
    let guard = guard_of(&design.manifest);
    let turned = events::turned(&before, &after, &impact);
    let (refused, told): (Vec<&Turned>, Vec<&Turned>) =
        turned.iter().partition(|turned| guard.contains(&turned.event));
    let notice = say(&after, &impact, &refused, &told, manner);
    Outcome { notice, refused: !refused.is_empty(), ..Outcome::default() }
}
