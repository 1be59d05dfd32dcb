//! Files are written whole or not at all: first beside their place, then moved there.

use std::fs::Permissions;
use std::io::Write;
use std::path::Path;

use super::Failure;

/// Writes a file whole. One that is there keeps its mode.
///
/// # Errors
/// [`Failure`] that names the file; what was there is then still there.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let there = std::fs::symlink_metadata(path).ok().filter(std::fs::Metadata::is_file);
    write(path, bytes, 0o666, there.map(|there| there.permissions()))
}

/// Writes a file that can be run.
///
/// # Errors
/// As [`write_whole`].
pub fn write_program(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    write(path, bytes, 0o777, None)
}

/// With the permissions `kept`, or else what the user's mask leaves of `mode`.
fn write(path: &Path, bytes: &[u8], mode: u32, kept: Option<Permissions>) -> Result<(), Failure> {
    let attempt = || -> std::io::Result<()> {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
        let mut beside = with_mode(mode).tempfile_in(folder.unwrap_or(Path::new(".")))?;
        beside.write_all(bytes)?;
        if let Some(kept) = &kept {
            beside.as_file().set_permissions(kept.clone())?;
        }
        beside.as_file().sync_all()?;
        beside.persist(path)?;
        Ok(())
    };
    attempt()
        .map_err(|error| Failure::new(format!("{} could not be written: {error}", path.display())))
}

/// The mode is what the user's mask leaves of `mode`, as with any new file.
#[cfg(unix)]
fn with_mode(mode: u32) -> tempfile::Builder<'static, 'static> {
    use std::os::unix::fs::PermissionsExt;
    let mut builder = tempfile::Builder::new();
    builder.permissions(std::fs::Permissions::from_mode(mode));
    builder
}

/// Git runs hooks through its own shell where files carry no such mode.
#[cfg(not(unix))]
fn with_mode(_: u32) -> tempfile::Builder<'static, 'static> {
    tempfile::Builder::new()
}
