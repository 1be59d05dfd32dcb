//! `release`: checks, notes, and the tag with its record.

use semver::Version;

use super::look_back::History;
use super::{check, look_back};
use crate::cli::{CheckArgs, ReleaseArgs, StateArgs};
use crate::diagnostic::Span;
use crate::fileset::RepoPath;
use crate::git::{At, Mark, Repository};
use crate::history::{Brought, brought};
use crate::outside::{Failure, Loader, Manner, Outcome, State, World, day_of, shown, sign_tag};
use crate::release;
use crate::render::{layout, message};
use crate::report::{self, ReleaseReport, Since};
use crate::verdict::Assessed;

/// What is released: a tag is one of a commit.
const HEAD: &str = "HEAD";

/// Releases what HEAD holds, or says why not; where its records cannot be read, says what `check` says.
/// Without a version, says which one is due.
///
/// # Errors
/// [`Failure`] where something could not be read, or the tag could not be written.
pub fn run(args: &ReleaseArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let mut loader = Loader::new(&repository);
    let at = At::Revision(HEAD.to_owned());
    let mut state = loader.state(&at, manner, world)?;
    // A release is judged on the day of its tag, as whoever verifies it will.
    let tagger = repository.tagger();
    state.day = tagger.as_ref().map_or(world.today, |mark| day_of(mark.seconds, world.today));
    let next = state.linked.design.as_ref().map(|design| design.next.clone());
    if let Some(asked) = args.version.as_ref().or(next.as_ref()) {
        loader.look_back(&mut state, &at, asked)?;
    }
    let Some(assessed) = state.assessed(args.version.as_ref()) else {
        let state = StateArgs { at: Some(HEAD.to_owned()), staged: false };
        return check::run(&CheckArgs { state, variant: None }, manner, world);
    };
    if args.version.is_none() {
        return due(&repository, &assessed, manner);
    }
    let history = history(&repository, &assessed, world)?;
    let brought = history.as_ref().map(|(history, place)| brought(&history.ledger, *place));
    let brought = brought.unwrap_or_default();
    let mut report = judged(&mut loader, &state, &assessed, &brought, (manner, world))?;
    let is_made = report.refused.is_empty() && !args.dry_run;
    if is_made {
        write(&repository, &report, &tagger?, world)?;
        report = report.and_tagged();
    }
    if args.dry_run {
        report = report.in_full();
    }
    let refused = !report.refused.is_empty();
    let output = shown("release", &report, &layout::release(&report), manner);
    Ok(Outcome { output, refused, ..Outcome::default() })
}

/// The version that is due, and why.
fn due(repository: &Repository, assessed: &Assessed, manner: &Manner) -> Result<Outcome, Failure> {
    let design = &assessed.design;
    let Some(last) = &assessed.occasion.past.last else {
        let table = &design.manifest.design;
        let head = repository.head()?;
        let here = repository.tags()?.into_iter().filter(|tag| Some(&tag.commit) == head.as_ref());
        if let Some(version) = here.filter_map(|tag| table.release_of(&tag.name)).max() {
            return Err(Failure::new(format!(
                "HEAD is the release {version} itself ({}), and there is none before it\n\
                 set `next` in the manifest to the version that you go on to",
                table.tag_of(&version)
            )));
        }
        let shape = table.tag_of(&Version::new(0, 1, 0));
        return Err(Failure::new(format!(
            "there is no release before HEAD to compare with: no tag such as {shape}\n\
             name the first one, as in `tagworthy release {}`",
            assessed.occasion.release
        )));
    };
    let due = release::propose(&last.version, &last.design, design);
    let report = report::proposal(&design.name, &due, Some(&assessed.occasion.release));
    Ok(Outcome::of(shown("proposal", &report, &layout::proposal(&report), manner)))
}

/// The release as it can be made, or not.
fn judged(
    loader: &mut Loader<'_>,
    state: &State,
    assessed: &Assessed,
    brought: &Brought<'_>,
    (manner, world): (&Manner, &World),
) -> Result<ReleaseReport, Failure> {
    let lines = |path: &RepoPath, span: Span| state.line(path, span);
    let checklist = report::checklist_of_release(assessed, state.place.clone(), &lines);
    let release = &assessed.occasion.release;
    let tag = assessed.design.manifest.design.tag_of(release);
    let known = loader.is_tag(&tag)?.then(|| format!("there is a tag {tag} already"));
    let next = &assessed.design.next;
    let unprepared = (!release::is_prepared(release, next)).then(|| {
        format!("the manifest prepares {next}: set next = \"{release}\" in it, and commit that")
    });
    let refused: Vec<String> = known.into_iter().chain(unprepared).collect();
    let Some(last) = &assessed.occasion.past.last else {
        return Ok(report::release(assessed, checklist, None, brought, refused));
    };
    let mut was = loader.state(&At::Revision(format!("refs/tags/{}", last.tag)), manner, world)?;
    was.day = state.day;
    let before = was
        .assessed(Some(release))
        .ok_or_else(|| Failure::new(format!("the records at {} cannot be read", last.tag)))?;
    let proposal = release::propose(&last.version, &before.design, &assessed.design);
    let since = Since { before: &before, proposal: &proposal };
    Ok(report::release(assessed, checklist, Some(since), brought, refused))
}

/// The history that leads to the release, and how far on its way the last one was made; nothing where
/// the last one is not on it, or where it cannot be read: the notes then compare the two alone.
fn history(
    repository: &Repository,
    assessed: &Assessed,
    world: &World,
) -> Result<Option<(History, Option<usize>)>, Failure> {
    let state = StateArgs { at: Some(HEAD.to_owned()), staged: false };
    let found = look_back::history(repository, &assessed.design, &state, None, world);
    let Ok(Some(history)) = found else { return Ok(None) };
    let Some(last) = &assessed.occasion.past.last else { return Ok(Some((history, None))) };
    let tagged = look_back::tagged(repository, &history.way, &last.tag)?;
    Ok(tagged.map(|tagged| (history, Some(tagged.place))))
}

/// Writes the tag; git itself does where it is set to sign tags.
fn write(
    repository: &Repository,
    report: &ReleaseReport,
    tagger: &Mark,
    world: &World,
) -> Result<(), Failure> {
    let message = message::tag_message(report);
    let commit = repository.describe(HEAD)?.id;
    match repository.signs_tags() {
        true => sign_tag(world, &report.tag, &commit, tagger.seconds, &message),
        false => Ok(repository.write_tag(&report.tag, &commit, tagger, &message)?),
    }
}
