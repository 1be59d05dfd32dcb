//! Where the manifests of a repository lie, and which of them is meant.

use std::collections::BTreeMap;

use super::Failure;
use crate::assess::MANIFEST;
use crate::fileset::{Entry, RepoPath};

/// The manifest in `folder` where one is named, else the nearest one above `prefix`.
///
/// # Errors
/// [`Failure`] where there is none.
pub fn find_manifest(
    entries: &BTreeMap<RepoPath, Entry>,
    prefix: &RepoPath,
    folder: Option<&str>,
) -> Result<RepoPath, Failure> {
    let within = |folder: &RepoPath| folder.join(MANIFEST.as_bytes());
    let there = |path: &RepoPath| entries.contains_key(path);
    if let Some(folder) = folder {
        let named = RepoPath::default().join(format!("{folder}/{MANIFEST}").as_bytes());
        return named
            .filter(there)
            .ok_or_else(|| Failure::new(format!("there is no {MANIFEST} in `{folder}`")));
    }
    let mut folder = prefix.clone();
    loop {
        if let Some(path) = within(&folder).filter(there) {
            return Ok(path);
        }
        if folder == RepoPath::default() {
            return Err(no_manifest(entries));
        }
        folder = folder.folder();
    }
}

fn no_manifest(entries: &BTreeMap<RepoPath, Entry>) -> Failure {
    let others = manifests(entries);
    let remedy = match others.as_slice() {
        [] => "`tagworthy init` writes one".to_owned(),
        [first, ..] => format!("there is {first}: go there, or name its folder with --design"),
    };
    Failure::new(format!("there is no {MANIFEST} here or in a folder above\n{remedy}"))
}

/// Every manifest of a revision.
#[must_use]
pub fn manifests(entries: &BTreeMap<RepoPath, Entry>) -> Vec<RepoPath> {
    // The ends of most paths tell already, and there are many of them.
    let may_be = |path: &&RepoPath| path.as_bstr().ends_with(MANIFEST.as_bytes());
    let manifests = entries.keys().filter(may_be).filter(|path| path.file_name() == MANIFEST);
    manifests.cloned().collect()
}
