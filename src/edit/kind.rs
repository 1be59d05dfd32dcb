//! The kinds of records that commands write.

use crate::fileset::RepoPath;
use crate::record::Records;

/// A kind of record that commands write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RecordKind {
    /// `[evidence.ID]`
    Evidence,
    /// `[item.ID]`
    Item,
    /// `[decision.ID]`
    Decision,
    /// `[waiver.ID]`
    Waiver,
}

impl RecordKind {
    /// Every kind.
    pub const ALL: [Self; 4] = [Self::Evidence, Self::Item, Self::Decision, Self::Waiver];

    /// Its table in a record file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Evidence => "evidence",
            Self::Item => "item",
            Self::Decision => "decision",
            Self::Waiver => "waiver",
        }
    }

    /// How many of this kind there are.
    #[must_use]
    pub fn count(self, records: &Records) -> usize {
        match self {
            Self::Evidence => records.evidence.len(),
            Self::Item => records.items.len(),
            Self::Decision => records.decisions.len(),
            Self::Waiver => records.waivers.len(),
        }
    }

    /// Whether a file at `path` is named after this kind.
    #[must_use]
    pub fn is_name_of_file(self, path: &RepoPath) -> bool {
        let names: &[&str] = match self {
            Self::Evidence => &["evidence.toml", "tests.toml"],
            Self::Item => &["open.toml", "items.toml", "item.toml"],
            Self::Decision => &["decisions.toml", "decision.toml"],
            Self::Waiver => &["waivers.toml", "waiver.toml"],
        };
        names.iter().any(|name| path.file_name() == *name)
    }
}
