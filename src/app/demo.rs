//! `demo`: the example project as a git repository with its history, and its release checklist.

use std::collections::BTreeMap;
use std::path::Path;

use super::ready;
use crate::cli::{DemoArgs, ReadyArgs, StateArgs};
use crate::example::{self, Revision};
use crate::git::{self, Mark, NewBranch, NewCommit, NewFile, NewHistory, NewTag};
use crate::outside::{Failure, Manner, Outcome, World};

/// The branch that the example is checked out on.
const HEAD: &str = "main";

/// Lays out the example, and shows its checklist.
///
/// # Errors
/// [`Failure`] where the folder is not empty or cannot be written.
pub fn run(args: &DemoArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let folder = world.folder.join(&args.folder);
    lay_out(&folder)?;
    let there = World { folder, ..world.clone() };
    let at = StateArgs { at: Some("HEAD".to_owned()), staged: false };
    let checklist =
        ready::run(&ReadyArgs { version: None, state: at, variant: None }, manner, &there)?;
    let shown = args.folder.display();
    let notice = format!(
        "laid out in {shown}: {} revisions; cd {shown}, then tagworthy ready, check, impact v0.9.0..HEAD\n",
        example::history().map_or(0, |history| history.len()),
    );
    // The checklist says not ready; that refuses nothing here.
    Ok(Outcome { notice, refused: false, ..checklist })
}

/// Writes the example's history to a new repository at `folder`.
///
/// # Errors
/// [`Failure`] where the folder is not empty or cannot be written.
pub fn lay_out(folder: &Path) -> Result<(), Failure> {
    let revisions = example::history().map_err(|error| Failure::new(error.to_string()))?;
    git::create(folder, &new_history(&revisions))?;
    Ok(())
}

fn new_history(revisions: &[Revision]) -> NewHistory {
    let mut tips = BTreeMap::new();
    for (position, revision) in revisions.iter().enumerate() {
        tips.insert(revision.branch.clone(), position);
    }
    NewHistory {
        commits: revisions.iter().map(new_commit).collect(),
        branches: tips.into_iter().map(|(name, commit)| NewBranch { name, commit }).collect(),
        tags: revisions
            .iter()
            .enumerate()
            .filter_map(|(commit, revision)| {
                let tag = revision.tag.clone()?;
                let (name, message) = (tag.name, tag.message);
                Some(NewTag { name, commit, tagger: mark(revision), message })
            })
            .collect(),
        head: HEAD.to_owned(),
    }
}

fn new_commit(revision: &Revision) -> NewCommit {
    let file =
        |content: &std::sync::Arc<[u8]>| NewFile { content: content.clone(), executable: false };
    NewCommit {
        parents: revision.parents.clone(),
        files: revision.files.iter().map(|(path, content)| (path.clone(), file(content))).collect(),
        author: mark(revision),
        message: revision.message.clone(),
    }
}

fn mark(revision: &Revision) -> Mark {
    Mark {
        name: revision.author.name.clone(),
        email: revision.author.email.clone(),
        seconds: revision.seconds,
        offset_seconds: revision.offset_seconds,
    }
}
