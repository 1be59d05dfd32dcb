//! What a command wrote, where, and what follows.

use serde::Serialize;

use crate::fileset::RepoPath;
use crate::record::Id;

/// A record that was written or changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Written {
    /// All of it in one line.
    pub headline: String,
    /// The record.
    pub id: Id,
    /// The file that holds it, seen from the repository's root; lossy where it is not UTF-8.
    pub file: String,
    /// What follows.
    pub follows: String,
}

impl Written {
    /// The record `id` in the file at `path`; `follows` completes the sentence.
    #[must_use]
    pub fn new(id: &Id, path: &RepoPath, follows: String) -> Self {
        let file = path.to_string();
        Self { headline: format!("{id} in {file}, {follows}"), id: id.clone(), file, follows }
    }
}
