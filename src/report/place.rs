//! Which state of the repository is meant.

use serde::Serialize;

/// The state of the repository that was judged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind", content = "name")]
pub enum Place {
    /// A revision, by the name that it is shown with: a short object id, a tag, a branch.
    Revision(String),
    /// What is about to be committed.
    Index,
    /// The files as they lie on disk.
    WorkingTree,
}

impl Place {
    /// The words behind a design's name: `at 3f2c9ab`, `in the index`.
    #[must_use]
    pub fn phrase(&self) -> String {
        match self {
            Self::Revision(name) => format!("at {name}"),
            Self::Index => "in the index".into(),
            Self::WorkingTree => "in the working tree".into(),
        }
    }

    /// The name alone: `3f2c9ab`, `the index`.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Revision(name) => name,
            Self::Index => "the index",
            Self::WorkingTree => "the working tree",
        }
    }
}
