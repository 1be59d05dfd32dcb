//! Paths that records name, and the files of the revision that they mean.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Bound;

use bstr::{BStr, BString, ByteSlice};
use serde::{Deserialize, Serialize};

use super::Design;
use super::findings::Findings;
use crate::diagnostic::{At, Code, Diagnostic, Span};
use crate::fileset::{Entry, Mode, RepoPath, glob_matches};
use crate::record::{Manifest, Part};

/// A path that leaves the repository.
pub const OUTSIDE: Code = Code("path-outside");

/// A path as a record names it, and what it means at this revision.
#[derive(Clone, Debug, Serialize, Deserialize)]
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
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct PartFiles {
    /// Editable sources.
    pub sources: Vec<NamedFile>,
    /// What is made from them.
    pub exports: Vec<NamedFile>,
    /// The mesh.
    pub mesh: Option<NamedFile>,
}

impl PartFiles {
    /// Whether it is the same paths that name the same contents.
    #[must_use]
    pub fn mean_the_same(&self, other: &Self) -> bool {
        let same = |one: &NamedFile, other: &NamedFile| {
            (&one.written.value, &one.by, &one.found)
                == (&other.written.value, &other.by, &other.found)
        };
        self.sources.len() == other.sources.len()
            && self.exports.len() == other.exports.len()
            && self.all().count() == other.all().count()
            && self.all().zip(other.all()).all(|(one, other)| same(one, other))
    }

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
    let literal = pattern.find_byteset(GLOB).unwrap_or(pattern.len());
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

/// The paths that a design is made of: whether a change of one may make it another.
#[derive(Clone, Debug, Default)]
pub struct Concern {
    manifest: RepoPath,
    root: RepoPath,
    /// Globs of record files, seen from the root.
    globs: Vec<BString>,
    /// Files that parts name.
    named: BTreeSet<RepoPath>,
    /// Globs among those.
    patterns: Vec<RepoPath>,
}

impl Concern {
    /// That of the manifest at `manifest_path`, with what the parts of its `design` name, where it can
    /// be read. Documents and the logs of tests are no part of it: no figure comes from them.
    #[must_use]
    pub fn of(manifest: &Manifest, manifest_path: &RepoPath, design: Option<&Design>) -> Self {
        let root = manifest_path.folder();
        let globs = manifest.design.records.iter();
        let globs = globs.map(|glob| glob.trim_start_matches('/').into()).collect();
        let files = design
            .into_iter()
            .flat_map(|design| design.with_files.iter().map(|part| &design.files[part.index()]));
        let named = files.flat_map(|files| files.all());
        let named = named.filter_map(|file| meant(&file.written, &file.by, &root));
        let (patterns, plain): (Vec<_>, Vec<_>) =
            named.partition(|path| path.as_bstr().find_byteset(GLOB).is_some());
        let named = plain.into_iter().collect();
        Self { manifest: manifest_path.clone(), root, globs, named, patterns }
    }

    /// Whether the path is one of record files, this manifest or one below it.
    #[must_use]
    pub fn is_record(&self, path: &RepoPath) -> bool {
        let Some(below) = path.below(&self.root) else { return false };
        path.file_name() == self.manifest.file_name()
            || self.globs.iter().any(|glob| glob_matches(glob.as_bstr(), below))
    }

    /// Whether the design may be another where the path is.
    #[must_use]
    pub fn holds(&self, path: &RepoPath) -> bool {
        self.is_record(path)
            || self.named.contains(path)
            || self.patterns.iter().any(|glob| glob_matches(glob.as_bstr(), path.as_bstr()))
    }
}

/// Bytes that make a path a glob.
const GLOB: &[u8] = b"*?[\\";

/// Resolves a path that the file `by` names; a leading `/` is the manifest's folder.
pub(super) fn resolve(
    written: &At<String>,
    by: &RepoPath,
    root: &RepoPath,
    entries: &BTreeMap<RepoPath, Entry>,
    findings: &mut Findings,
) -> NamedFile {
    let found = match meant(written, by, root) {
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

/// The path, or glob, that the file `by` means by what it has written.
fn meant(written: &At<String>, by: &RepoPath, root: &RepoPath) -> Option<RepoPath> {
    let text = written.value.as_bytes();
    match text.strip_prefix(b"/") {
        Some(rest) => root.join(rest),
        None => by.folder().join(text),
    }
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
