//! Objects that git keeps apart until the hooks of a push have let them in (git-receive-pack(1),
//! "Quarantine Environment").

use std::fs;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use super::environment::Environment;
use super::error::{Error, unreadable};

/// Where the repository's own objects lie, below its common directory.
const OBJECTS: &str = "objects";

/// Lets `repository` find the objects where a surrounding git says that they are, and beside them
/// its own; as long as the folder that is returned is kept. Nothing is done where git says nothing.
///
/// The git library reads neither variable; a store in a scratch folder that names all of them as its
/// alternates comes to the same.
pub(super) fn enter(
    repository: &mut gix::Repository,
    environment: &Environment,
) -> Result<Option<TempDir>, Error> {
    let own = repository.common_dir().join(OBJECTS);
    let elsewhere = environment.objects.iter().chain(&environment.alternates);
    let elsewhere: Vec<PathBuf> =
        elsewhere.filter(|folder| !is_same(folder, &own)).cloned().collect();
    if elsewhere.is_empty() {
        return Ok(None);
    }
    let failed = |error: std::io::Error| unreadable("the objects of the push", &error);
    let scratch = scratch(elsewhere.iter().chain([&own])).map_err(failed)?;
    let store = gix::odb::at(scratch.path(), repository.object_hash()).map_err(failed)?;
    repository.objects = gix::OdbHandle::from(store);
    Ok(Some(scratch))
}

fn is_same(one: &Path, other: &Path) -> bool {
    matches!((one.canonicalize(), other.canonicalize()), (Ok(one), Ok(other)) if one == other)
}

/// An object store without objects of its own (gitrepository-layout(5), `objects/info/alternates`).
fn scratch<'p>(alternates: impl Iterator<Item = &'p PathBuf>) -> std::io::Result<TempDir> {
    let scratch = tempfile::tempdir()?;
    fs::create_dir(scratch.path().join("pack"))?;
    fs::create_dir(scratch.path().join("info"))?;
    let mut lines = Vec::new();
    for folder in alternates {
        let folder = folder.canonicalize()?;
        lines.extend_from_slice(&gix::path::into_bstr(folder).map_err(std::io::Error::other)?);
        lines.push(b'\n');
    }
    fs::write(scratch.path().join("info/alternates"), lines)?;
    Ok(scratch)
}
