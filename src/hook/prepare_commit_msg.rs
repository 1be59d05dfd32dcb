//! `prepare-commit-msg`: adds how the budgets move to the comments of the message that an editor will
//! show. Refuses nothing, and leaves alone a message without comments of git's own.

use std::path::Path;

use super::message::{Comments, with_comments};
use super::touched::Change;
use super::{change, gone};
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Outcome, World, write_whole};
use crate::render::layout;
use crate::render::text::text;

/// Columns of a comment, less than a terminal has: git's own have no more.
const WIDTH: usize = 70;

/// Adds the lines to the message in `file`.
///
/// # Errors
/// [`Failure`] where git's state could not be read, or the file not be written.
pub(super) fn run(file: &Path, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let Some(comments) = comments(&repository) else { return Ok(Outcome::default()) };
    let told = told(&repository, world)?;
    let file = world.folder.join(file);
    let message = std::fs::read(&file)
        .map_err(|error| Failure::new(format!("{} could not be read: {error}", file.display())))?;
    if let Some(message) = with_comments(&message, &told, &comments) {
        write_whole(&file, &message)?;
    }
    Ok(Outcome::default())
}

/// How comments are told from the message; `None` where git would leave them in it (git-commit(1),
/// `--cleanup`).
fn comments(repository: &Repository) -> Option<Comments> {
    let cleanup = repository.setting("commit.cleanup").unwrap_or_default();
    if matches!(cleanup.as_str(), "whitespace" | "verbatim") {
        return None;
    }
    let mark = repository.setting("core.commentString");
    let mark = mark.or_else(|| repository.setting("core.commentChar"));
    let mark = mark.unwrap_or_else(|| "#".to_owned());
    Some(Comments { mark: (mark != "auto").then_some(mark), below_scissors: cleanup == "scissors" })
}

/// What the commit does to the budgets, a line each.
fn told(repository: &Repository, world: &World) -> Result<Vec<String>, Failure> {
    let mut loader = Loader::new(repository).recalling();
    let head = repository.head()?.map(At::Revision);
    let mut staged = Change::between(repository, head, At::Index)?;
    let mut told = Vec::new();
    staged.each(&mut loader, world, |_, was, is, _| {
        let note = was.and_then(|was| change::note(was, is)).filter(|note| !note.is_empty());
        let page = note.map(|note| text(&layout::note(&note), WIDTH)).unwrap_or_default();
        told.extend(page.lines().map(str::to_owned));
        Ok(())
    })?;
    told.extend(staged.gone(&mut loader, world)?.iter().map(gone::line));
    Ok(told)
}
