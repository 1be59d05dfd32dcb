//! Paths that records name, and the files of the revision that they mean.

use std::collections::BTreeMap;
use std::ops::Bound;

use bstr::{BStr, ByteSlice};

use super::findings::Findings;
use crate::diagnostic::{At, Code, Diagnostic, Span};
use crate::fileset::{Entry, Mode, RepoPath, glob_matches};
use crate::record::{Manifest, Part};

/// A path that leaves the repository.
pub const OUTSIDE: Code = Code("path-outside");

/// A path as a record names it, and what it means at this revision.
#[derive(Clone, Debug)]
pub struct NamedFile {
    /// The path or glob as written, and where.
    pub written: At<String>,
    /// The file that names it.
    pub by: RepoPath,
    /// The files that it means, in the order of paths; none where it means nothing.
    pub found: Vec<Found>,
}

/// A file of the revision.
pub type Found = (RepoPath, Entry);

/// The files that a part names.
#[derive(Clone, Debug, Default)]
pub struct PartFiles {
    /// Editable sources.
    pub sources: Vec<NamedFile>,
    /// What is made from them.
    pub exports: Vec<NamedFile>,
    /// The mesh.
    pub mesh: Option<NamedFile>,
}

impl PartFiles {
    /// Every named file, sources first.
    pub fn all(&self) -> impl Iterator<Item = &NamedFile> {
        self.sources.iter().chain(&self.exports).chain(&self.mesh)
    }
}

/// The record files that a manifest selects.
#[derive(Clone, Debug, Default)]
pub struct Selection {
    /// Record files, in the order of paths.
    pub records: Vec<RepoPath>,
    /// Globs that select nothing: where they stand in the manifest.
    pub empty: Vec<Span>,
}

/// The record files among `entries` that the globs of the manifest at `manifest_path` select. A
/// folder below that has a manifest of its own belongs to that one.
#[must_use]
pub fn select(
    manifest: &Manifest,
    manifest_path: &RepoPath,
    entries: &BTreeMap<RepoPath, Entry>,
) -> Selection {
    let root = manifest_path.folder();
    let foreign = foreign_roots(manifest_path, entries);
    let mut selection = Selection::default();
    for glob in &manifest.design.records {
        let pattern = glob.trim_start_matches('/').as_bytes();
        let before = selection.records.len();
        let found = matching(&root, pattern, entries)
            .filter(|(path, entry)| entry.mode == Mode::File && *path != manifest_path)
            .filter(|(path, _)| !foreign.iter().any(|root| path.below(root).is_some()))
            .map(|(path, _)| path.clone());
        selection.records.extend(found);
        if selection.records.len() == before {
            selection.empty.push(glob.span);
        }
    }
    selection.records.sort();
    selection.records.dedup();
    selection
}

fn foreign_roots(manifest_path: &RepoPath, entries: &BTreeMap<RepoPath, Entry>) -> Vec<RepoPath> {
    let root = manifest_path.folder();
    let name = manifest_path.file_name();
    let is_manifest = |path: &&RepoPath| path.file_name() == name && *path != manifest_path;
    let below = entries.keys().filter(|path| path.below(&root).is_some());
    below.filter(is_manifest).map(RepoPath::folder).collect()
}

/// The entries below `root` that `pattern` matches. Only the range that begins with the pattern's
/// literal part is looked at.
fn matching<'a>(
    root: &RepoPath,
    pattern: &'a [u8],
    entries: &'a BTreeMap<RepoPath, Entry>,
) -> impl Iterator<Item = (&'a RepoPath, &'a Entry)> {
    let literal = pattern.find_byteset(b"*?[\\").unwrap_or(pattern.len());
    let mut prefix = root.as_bstr().to_vec();
    if !prefix.is_empty() {
        prefix.push(b'/');
    }
    let skip = prefix.len();
    prefix.extend_from_slice(&pattern[..literal]);
    let start = RepoPath::new(prefix.clone());
    entries
        .range((Bound::Included(start), Bound::Unbounded))
        .take_while(move |(path, _)| path.as_bstr().starts_with(&prefix))
        .filter(move |(path, _)| {
            glob_matches(pattern.as_bstr(), BStr::new(&path.as_bstr()[skip..]))
        })
}

/// Resolves a path that the file `by` names; a leading `/` is the manifest's folder.
pub(super) fn resolve(
    written: &At<String>,
    by: &RepoPath,
    root: &RepoPath,
    entries: &BTreeMap<RepoPath, Entry>,
    findings: &mut Findings,
) -> NamedFile {
    let text = written.value.as_bytes();
    let (base, relative) = match text.strip_prefix(b"/") {
        Some(rest) => (root.clone(), rest),
        None => (by.folder(), text),
    };
    let found = match base.join(relative) {
        None => {
            let message = format!("`{}` leads out of the repository", written.value);
            findings.push(by, Diagnostic::error(OUTSIDE, written.span, message));
            Vec::new()
        }
        Some(path) => match entries.get_key_value(&path) {
            Some((path, entry)) => vec![(path.clone(), *entry)],
            None => matching(&RepoPath::default(), path.as_bstr(), entries)
                .map(|(path, entry)| (path.clone(), *entry))
                .collect(),
        },
    };
    NamedFile { written: written.clone(), by: by.clone(), found }
}

/// The files of `part`, which the file `by` holds.
pub(super) fn of_part(
    part: &Part,
    by: &RepoPath,
    root: &RepoPath,
    entries: &BTreeMap<RepoPath, Entry>,
    findings: &mut Findings,
) -> PartFiles {
    let mut all = |paths: &[At<String>]| -> Vec<NamedFile> {
        paths.iter().map(|path| resolve(path, by, root, entries, findings)).collect()
    };
    let (sources, exports) = (all(&part.sources), all(&part.exports));
    let mesh = part.mesh.as_ref().map(|mesh| resolve(&mesh.file, by, root, entries, findings));
    PartFiles { sources, exports, mesh }
}
