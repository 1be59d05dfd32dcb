//! Which file a new record goes to.

use super::RecordKind;
use crate::fileset::RepoPath;
use crate::parse::Role;
use crate::record::Records;

/// A file that the design reads records from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Candidate {
    /// Where it lies.
    pub path: RepoPath,
    /// Whether it is the manifest.
    pub role: Role,
    /// How many records of the kind that is written it holds.
    pub of_kind: usize,
    /// How many records it holds.
    pub records: usize,
}

impl Candidate {
    /// The file at `path` with `records`, for a record of `kind`.
    #[must_use]
    pub fn of(path: &RepoPath, role: Role, records: &Records, kind: RecordKind) -> Self {
        let of_kind = kind.count(records);
        Self { path: path.clone(), role, of_kind, records: records.len() }
    }
}

/// Where a designer would put a record of `kind`: with most of its kind; else in the file that is
/// named after it; else in the manifest of a design that keeps its records there; else in the first
/// record file. A manifest alone is better than nothing. Between equals, the first.
#[must_use]
pub fn choose_file(files: &[Candidate], kind: RecordKind) -> Option<&Candidate> {
    // `max_by_key` answers with the last of equals.
    let fullest = files.iter().rev().max_by_key(|file| file.of_kind);
    let named = |file: &&Candidate| kind.is_name_of_file(&file.path);
    let is_manifest = |file: &&Candidate| file.role == Role::Manifest;
    fullest
        .filter(|file| file.of_kind > 0)
        .or_else(|| files.iter().find(named))
        .or_else(|| files.iter().find(|file| is_manifest(file) && file.records > 0))
        .or_else(|| files.iter().find(|file| !is_manifest(file)))
        .or_else(|| files.first())
}
