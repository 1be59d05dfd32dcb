//! A signed tag, made by git: the one thing for which another program is started.
//!
//! Keys, agents and the programs that sign are git's business, and where git is set to sign the tags
//! that it makes, a tag that it did not sign would be worth less than none.

use std::process::Command;

use super::{Failure, World};

/// Has git make the signed, annotated tag `name` of `commit`, with a message that is taken as it is.
///
/// # Errors
/// [`Failure`] with what git says.
pub fn sign_tag(
    world: &World,
    name: &str,
    commit: &str,
    seconds: i64,
    message: &str,
) -> Result<(), Failure> {
    let failed = |why: String| Failure::new(format!("git did not sign the tag {name}: {why}"));
    let text = || -> std::io::Result<tempfile::NamedTempFile> {
        let mut file = tempfile::NamedTempFile::new()?;
        std::io::Write::write_all(&mut file, message.as_bytes())?;
        Ok(file)
    };
    let text = text().map_err(|error| failed(error.to_string()))?;
    let made = Command::new("git")
        .current_dir(&world.folder)
        .args(["tag", "--sign", "--cleanup=verbatim", "--file"])
        .arg(text.path())
        .args(["--", name, commit])
        // The day that it was judged on.
        .env("GIT_COMMITTER_DATE", format!("@{seconds} +0000"))
        .output()
        .map_err(|error| failed(error.to_string()))?;
    match made.status.success() {
        true => Ok(()),
        false => Err(failed(String::from_utf8_lossy(&made.stderr).trim().to_owned())),
    }
}
