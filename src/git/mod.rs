//! The door to git: what a repository holds at a revision, in the index and in the working tree.
//!
//! Nothing here starts a process: not git, not a hook, not a filter program of the user. Everything
//! is read but [`create()`], which lays out a new repository, and [`Repository::write_tag`].
//!
//! Content keys are git's own object ids. Where git knows the id of a content (a tree, the index, a
//! file whose stat data equal the index's) the content isn't read; where it doesn't, the content is
//! hashed in the form in which git would store it. So a path has the same key in a commit, in the
//! index and in the working tree exactly when git would see no difference between them.

mod commits;
mod create;
mod cursor;
mod environment;
mod error;
mod history;
mod hooks;
mod index;
mod lineage;
mod normalise;
mod pointer;
mod quarantine;
mod repository;
mod revision;
mod snapshot;
mod tag;
mod tree;
mod worktree;

pub use commits::{Passed, Range, Way};
pub use create::{Mark, NewBranch, NewCommit, NewFile, NewHistory, NewTag, create};
pub use cursor::{Change, Cursor};
pub use error::Error;
pub use hooks::{HooksFolder, Reach};
pub use lineage::LastChanges;
pub use repository::Repository;
pub use revision::{Commit, Tag, Teller};
pub use snapshot::{Content, Snapshot};
pub use tag::AnnotatedTag;

/// Which state of a repository is meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum At {
    /// What a revision holds, in any spelling that git understands (`HEAD~2`, `v1.2.0`, an id).
    Revision(String),
    /// What the next commit would hold: the index, the one of `GIT_INDEX_FILE` where git set it.
    Index,
    /// What lies on disk: tracked files that are there, and untracked ones that aren't ignored.
    WorkTree,
}
