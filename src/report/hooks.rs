//! Which git hooks are in place, and what was done about them.

use serde::Serialize;

/// The hooks of a repository.
#[derive(Clone, Debug, Serialize)]
pub struct HooksReport {
    /// All of it in one line.
    pub headline: String,
    /// Where git looks for hooks.
    pub folder: String,
    /// A row a hook, in the order in which git calls them.
    pub hooks: Vec<HookRow>,
    /// What should be known besides.
    pub remarks: Vec<String>,
    /// What to do next.
    pub next: Vec<String>,
}

/// One hook.
#[derive(Clone, Debug, Serialize)]
pub struct HookRow {
    /// Its name, as git calls it.
    pub hook: &'static str,
    /// How it stands.
    pub standing: Standing,
    /// What should be known of it.
    pub remarks: Vec<String>,
}

/// How a hook stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum Standing {
    InPlace,
    PutInPlace,
    BroughtUpToDate,
    OfAnotherVersion,
    ChangedByHand,
    SomeoneElses,
    TakenOut,
    Absent,
}

impl Standing {
    /// The words that are shown.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::InPlace => "in place",
            Self::PutInPlace => "put in place",
            Self::BroughtUpToDate => "brought up to date",
            Self::OfAnotherVersion => "of another version",
            Self::ChangedByHand => "changed by hand",
            Self::SomeoneElses => "someone else's",
            Self::TakenOut => "taken out",
            Self::Absent => "not in place",
        }
    }

    /// Whether tagworthy is called by it.
    #[must_use]
    pub fn is_ours(self) -> bool {
        !matches!(self, Self::SomeoneElses | Self::TakenOut | Self::Absent)
    }
}
