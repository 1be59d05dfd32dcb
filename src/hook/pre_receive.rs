//! `pre-receive`: judges what arrives at a shared repository, before it is let in.
//!
//! A push cannot relax the rules that it is judged by: they are those of the branch as it was, and for
//! a new branch and for tags those of the default branch.

use super::change::{self, Rule};
use super::tag::{self, Court, Rules};
use super::touched::Change;
use super::updates::{self, Update};
use super::{gone, guard};
use crate::fileset::RepoPath;
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Manner, Outcome, World, manifests};
use crate::record::Manifest;
use crate::render::untrusted::one_line;
use crate::report::{Moment, Received};

/// Commits of one push to one branch that are judged each by itself, where the manifest asks for it.
const MOST_COMMITS: usize = 1_000;

/// Judges every branch and release tag that comes or moves.
///
/// # Errors
/// [`Failure`] where git could not read what arrives, or standard input could not be.
pub(super) fn run(manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let updates = updates::received(&updates::input()?);
    let repository = Repository::open(&world.folder)?;
    let default = repository.head()?;
    let shared = rules_at(&repository, default.as_deref())?;
    let court = Court { repository: &repository, shared: Some(&shared), manner, world };
    let mut outcome = Outcome::default();
    for update in &updates {
        if let Some((name, object)) = update.tag() {
            let moment = Moment::Receive(Received::Tag);
            change::add(&mut outcome, tag::judge((name, object), &moment, &court)?);
        } else if let Some(branch) = update.name.strip_prefix("refs/heads/") {
            change::add(&mut outcome, judge_branch(branch, update, default.as_deref(), &court)?);
        }
    }
    Ok(outcome)
}

/// What the manifests of a revision say.
fn rules_at(repository: &Repository, revision: Option<&str>) -> Result<Rules, Failure> {
    let Some(revision) = revision else { return Ok(Rules::new()) };
    let mut snapshot = repository.snapshot(&At::Revision(revision.to_owned()))?;
    let mut loader = Loader::new(repository);
    let paths = manifests(snapshot.entries());
    paths.into_iter().map(|path| Ok((path.clone(), loader.rules(&mut snapshot, &path)?))).collect()
}

fn judge_branch(
    branch: &str,
    update: &Update,
    default: Option<&str>,
    court: &Court<'_>,
) -> Result<Outcome, Failure> {
    let Some(new) = update.new.as_deref() else { return Ok(Outcome::default()) };
    let repository = court.repository;
    let old = update.old.clone();
    let rules = rules_at(repository, old.as_deref().or(default))?;
    let base = match (old, default) {
        (Some(old), _) => Some(old),
        (None, Some(default)) => repository.merge_base(default, new)?,
        (None, None) => None,
    };
    if !rules.values().any(|rules| is_each(rules)) {
        let moment = Moment::Receive(Received::Branch(branch.to_owned()));
        return judge_step((base, new), &moment, &rules, court);
    }
    let mut outcome = Outcome::default();
    let mut commits = repository.commits_since(base.as_deref(), new, MOST_COMMITS + 1)?;
    if commits.len() > MOST_COMMITS {
        commits.truncate(MOST_COMMITS);
        outcome.notice = format!(
            "this push to {} has more than {MOST_COMMITS} commits: the last {MOST_COMMITS} are judged \
             one by one, those before them as one step\n",
            one_line(branch)
        );
        let oldest = commits.last().map(|commit| repository.parent(commit)).transpose()?.flatten();
        if let Some(before) = oldest {
            let moment = Moment::Receive(Received::Branch(branch.to_owned()));
            change::add(&mut outcome, judge_step((base, &before), &moment, &rules, court)?);
        }
    }
    for commit in commits.iter().rev() {
        let short = repository.describe(commit)?.short_id;
        let moment = Moment::Receive(Received::Commit(short, branch.to_owned()));
        change::add(
            &mut outcome,
            judge_step((repository.parent(commit)?, commit), &moment, &rules, court)?,
        );
        if outcome.refused {
            break;
        }
    }
    Ok(outcome)
}

fn is_each(rules: &Manifest) -> bool {
    rules.guard.every_commit.as_ref().is_some_and(|each| each.value)
}

/// Judges the designs that are touched from one revision to another.
fn judge_step(
    (before, after): (Option<String>, &str),
    moment: &Moment,
    rules: &Rules,
    court: &Court<'_>,
) -> Result<Outcome, Failure> {
    let repository = court.repository;
    let (before, after) = (before.map(At::Revision), At::Revision(after.to_owned()));
    let mut step = Change::between(repository, before, after)?;
    let mut outcome = Outcome::default();
    let usual = Manifest::default();
    let guard = |path: Option<&RepoPath>| {
        let known = path.and_then(|path| rules.get(path));
        guard::receive(known.map_or(&usual, AsRef::as_ref))
    };
    let mut loader = Loader::new(repository);
    step.each(&mut loader, court.world, |_, was, is, paths| {
        let guard = guard(paths.before.as_ref());
        let rule = Rule { guard: &guard, moment, manner: court.manner };
        change::add(&mut outcome, change::judge((was, is), &paths.after, &rule).0);
        Ok(())
    })?;
    for gone in step.gone(&mut loader, court.world)? {
        let guard = guard(Some(&gone.manifest));
        let rule = Rule { guard: &guard, moment, manner: court.manner };
        change::add(&mut outcome, gone::judge(&gone, gone.was.place.name(), &rule));
    }
    Ok(outcome)
}
