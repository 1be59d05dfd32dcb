//! The example: Lantern, a film scanner, with nine months of its history, embedded in the program.
//!
//! `example-project/` holds the design as it is now, and under `history/` how it came about: every
//! revision as what it changed in the one before. [`history`] makes those changes again and gives
//! every revision with all its files, so that whoever writes them down as git objects gets the same
//! object ids every time. The format of the history files is explained at the head of the first.

mod embedded;
mod replay;
mod script;

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use crate::fileset::RepoPath;

/// The files of one revision by their path.
pub type Files = BTreeMap<RepoPath, Arc<[u8]>>;

/// One revision of the example, with all its files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Revision {
    /// Its name in the history files: a kebab-case word, unique among them.
    pub name: String,
    /// Positions in the history of the revisions before it, the branch's own first; none for the
    /// first revision, two for a merge. Always smaller than its own position.
    pub parents: Vec<usize>,
    /// Every file that there is at this revision.
    pub files: Files,
    /// Who made it.
    pub author: Author,
    /// When it was made, in seconds since 1970-01-01 00:00 UTC.
    pub seconds: i64,
    /// How far the author's clock was ahead of UTC, in seconds.
    pub offset_seconds: i32,
    /// Subject, blank line, body; ends with a newline.
    pub message: String,
    /// The release tag that points at it.
    pub tag: Option<Tag>,
    /// The branch that it was made on.
    pub branch: String,
}

/// Who made a revision.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Author {
    /// The name in full.
    pub name: String,
    /// The address for mail.
    pub email: String,
}

/// An annotated tag. Its tagger and time are its revision's.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tag {
    /// Its name, as in `v0.3.0`.
    pub name: String,
    /// What it says; ends with a newline.
    pub message: String,
}

/// What is wrong in the history files, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HistoryError {
    /// The history file or the revision, as in ``revision `a-lid` ``.
    pub place: String,
    /// What is wrong there, in one sentence without a full stop.
    pub message: String,
}

impl fmt::Display for HistoryError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}: {}", self.place, self.message)
    }
}

impl std::error::Error for HistoryError {}

/// Every revision of the example, parents before children.
///
/// # Errors
/// When a history file is not well formed or one of its changes does not fit what is there. The
/// embedded files have neither; whoever edits them learns from it what to mend.
pub fn history() -> Result<Vec<Revision>, HistoryError> {
    replay::replay(&script::read(embedded::SCRIPTS)?, embedded::MESHES)
}
