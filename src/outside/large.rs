//! The content of large files, for which the repository holds a pointer alone: used where it was
//! fetched, and only if it is what the pointer says.
//!
//! Neither a link nor a pipe is opened, and nothing is read that has not the size of the pointer.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use bstr::ByteSlice;
use sha2::{Digest, Sha256};

use crate::fileset::RepoPath;
use crate::git::Repository;
use crate::pointer::Pointer;

/// The folder of fetched contents in git's common folder (Git LFS specification v1).
const USUAL: &str = "lfs";

/// The content that `pointer` stands for at `path`: from where fetched contents are kept, else from
/// the working tree, where it may lie before it is staged; `None` where it was not fetched.
///
/// # Errors
/// Why what was fetched cannot be used, as a clause.
pub(super) fn content(
    repository: &Repository,
    path: &RepoPath,
    pointer: &Pointer,
) -> Result<Option<Vec<u8>>, String> {
    let told = |flaw: Flaw| format!("what was fetched for it {flaw}");
    let kept = fetched(repository, pointer).map_err(told)?;
    Ok(kept.or_else(|| in_working_tree(repository.work_dir()?, path, pointer)))
}

/// Whether a file of the pointer's size lies where its content would.
pub(super) fn is_here(repository: &Repository, path: &RepoPath, pointer: &Pointer) -> bool {
    let has_size = |file: File| file.metadata().is_ok_and(|found| found.len() == pointer.bytes);
    let kept = || kept(repository, pointer).ok().flatten().is_some_and(has_size);
    let in_working_tree = || {
        let steps = path.as_bstr().to_path().ok()?;
        opened(repository.work_dir()?, steps).ok()?
    };
    kept() || in_working_tree().is_some_and(has_size)
}

/// Why a file is not the content of a pointer.
#[derive(Debug)]
enum Flaw {
    Link,
    NotRegular,
    Size { bytes: u64, wanted: u64 },
    Digest,
    Unreadable(io::Error),
}

impl std::fmt::Display for Flaw {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Link => formatter.write_str("is a symbolic link, which is not followed"),
            Self::NotRegular => formatter.write_str("is no regular file"),
            Self::Size { bytes, wanted } => {
                write!(formatter, "has {bytes} bytes, where its pointer says {wanted}")
            }
            Self::Digest => formatter.write_str("has another digest than its pointer says"),
            Self::Unreadable(error) => write!(formatter, "cannot be read: {error}"),
        }
    }
}

/// From the folder that was set for fetched contents, which may lie behind a link, else from the usual
/// one.
fn fetched(repository: &Repository, pointer: &Pointer) -> Result<Option<Vec<u8>>, Flaw> {
    kept(repository, pointer)?.map(|file| verified(file, pointer)).transpose()
}

fn kept(repository: &Repository, pointer: &Pointer) -> Result<Option<File>, Flaw> {
    let place = pointer.place();
    match repository.large_files_folder() {
        Some(set) => opened(&set, place),
        None => opened(repository.common_dir(), [USUAL.to_owned()].into_iter().chain(place)),
    }
}

/// A file of the working tree is its own matter: where it is not the content, there is none.
fn in_working_tree(root: &Path, path: &RepoPath, pointer: &Pointer) -> Option<Vec<u8>> {
    let steps = path.as_bstr().to_path().ok()?;
    let file = opened(root, steps).ok()??;
    verified(file, pointer).ok()
}

/// The regular file that lies `steps` below `root`; `None` where nothing does.
fn opened(
    root: &Path,
    steps: impl IntoIterator<Item = impl AsRef<Path>>,
) -> Result<Option<File>, Flaw> {
    let mut place = PathBuf::from(root);
    let mut is_regular = false;
    for step in steps {
        place.push(step);
        // Asked before opening: opening a named pipe would wait for a writer.
        let found = match fs::symlink_metadata(&place) {
            Ok(found) => found,
            Err(error) if is_absent(&error) => return Ok(None),
            Err(error) => return Err(Flaw::Unreadable(error)),
        };
        if found.is_symlink() {
            return Err(Flaw::Link);
        }
        is_regular = found.is_file();
    }
    match is_regular {
        true => File::open(&place).map(Some).map_err(Flaw::Unreadable),
        false => Err(Flaw::NotRegular),
    }
}

fn is_absent(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory)
}

/// What is in the file, if it is what the pointer says.
fn verified(file: File, pointer: &Pointer) -> Result<Vec<u8>, Flaw> {
    let wanted = pointer.bytes;
    let bytes = file.metadata().map_err(Flaw::Unreadable)?.len();
    if bytes != wanted {
        return Err(Flaw::Size { bytes, wanted });
    }
    let mut content = Vec::with_capacity(usize::try_from(bytes).unwrap_or_default());
    file.take(wanted).read_to_end(&mut content).map_err(Flaw::Unreadable)?;
    match pointer.digest == *Sha256::digest(&content) {
        true => Ok(content),
        false => Err(Flaw::Digest),
    }
}
