//! What release checks read of a revision besides its records.

use std::collections::BTreeMap;
use std::sync::Arc;

use bstr::ByteSlice;

use crate::design::Design;
use crate::fileset::{Entry, Mode, RepoPath};

/// The texts that release checks look into, and every path of the revision.
#[derive(Clone, Debug, Default)]
pub struct Documents {
    /// Bytes by path: of the files that [`super::demands`] asks for.
    pub texts: BTreeMap<RepoPath, Arc<[u8]>>,
    /// Every path, for links that lead somewhere.
    pub entries: Arc<BTreeMap<RepoPath, Entry>>,
}

/// The role of the licence among the manifest's documents.
pub(super) const LICENSE: &str = "license";

/// The documents of the manifest that are written for readers, by role; not the licence, whose text
/// is not the designer's.
pub(super) fn written(design: &Design) -> impl Iterator<Item = (&str, &RepoPath)> {
    let docs = design.docs.iter().filter(|(role, _)| role != LICENSE);
    docs.flat_map(|(role, file)| {
        let files = file.found.iter().filter(|(_, entry)| entry.mode == Mode::File);
        files.map(move |(path, _)| (role.as_str(), path))
    })
    .filter(|(_, path)| is_text(path))
}

fn is_text(path: &RepoPath) -> bool {
    let name = path.file_name().to_ascii_lowercase();
    [".md", ".markdown", ".txt"].iter().any(|ending| name.ends_with_str(ending))
}

impl Documents {
    /// The text of a document, where it was read; lossy where it isn't UTF-8.
    pub(super) fn text(&self, path: &RepoPath) -> Option<String> {
        self.texts.get(path).map(|bytes| bytes.to_str_lossy().into_owned())
    }

    /// Whether a file or a folder of the revision lies at `path`.
    pub(super) fn holds(&self, path: &RepoPath) -> bool {
        self.entries.contains_key(path) || self.entries.keys().any(|at| at.below(path).is_some())
    }
}
