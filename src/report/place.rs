//! Which state of the repository is meant, and where something stands in its files.

use serde::Serialize;

use crate::diagnostic::Span;
use crate::fileset::RepoPath;

/// Says on which line of a file, counted from 1, a span of it begins.
pub type Lines<'a> = &'a dyn Fn(&RepoPath, Span) -> usize;

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
    /// A state with changes that nobody made: `led-panel.mass=500 g`.
    WhatIf(String),
}

impl Place {
    /// The words behind a design's name: `at 3f2c9ab`, `in the index`.
    #[must_use]
    pub fn phrase(&self) -> String {
        match self {
            Self::Revision(name) => format!("at {name}"),
            Self::Index => "in the index".into(),
            Self::WorkingTree => "in the working tree".into(),
            Self::WhatIf(changes) => format!("with {changes}"),
        }
    }

    /// The option of a command that means this state, with a blank before it: ` --at 3f2c9ab`.
    #[must_use]
    pub fn option(&self) -> String {
        match self {
            Self::Revision(name) => format!(" --at {name}"),
            Self::Index => " --staged".to_owned(),
            Self::WorkingTree | Self::WhatIf(_) => String::new(),
        }
    }

    /// The name alone: `3f2c9ab`, `the index`.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Revision(name) | Self::WhatIf(name) => name,
            Self::Index => "the index",
            Self::WorkingTree => "the working tree",
        }
    }
}
