//! The shim: one file for every hook, which goes by the name that it is called by.

use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

/// The shim, as it lies in `hooks/` for those who install by hand.
const SHIM: &str = include_str!("../../../hooks/shim");

/// The line of the shim that names the program.
const PROGRAM: &str = "program='tagworthy'";

/// How the line begins that names the program, and how it ends.
const QUOTES: (&str, &str) = ("program='", "'");

/// The second line of every version of the shim: how it is told from a hook of someone else's.
const MARK: &str = "# tagworthy hook:";

/// How the last line of an installed shim begins, with a digest of all lines before it behind.
const SEAL: &str = "# as installed: ";

/// The shim for the program at `program`.
pub(super) fn text(program: &Path) -> String {
    let quoted = program.to_string_lossy().replace('\'', r"'\''");
    sealed(&SHIM.replacen(PROGRAM, &format!("program='{quoted}'"), 1))
}

/// What a hook is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Found {
    /// No file.
    Nothing,
    /// A shim as it was installed, for the program that it names.
    Ours {
        /// All of it.
        text: String,
    },
    /// A shim that was changed, or put there by hand.
    ByHand,
    /// A hook of someone else's, or a link to something.
    Other,
}

impl Found {
    /// What lies at `hook`.
    pub fn at(hook: &Path) -> Self {
        let Ok(metadata) = std::fs::symlink_metadata(hook) else { return Self::Nothing };
        let bytes = std::fs::read(hook).unwrap_or_default();
        if !is_shim(&bytes) {
            return Self::Other;
        }
        match String::from_utf8(bytes) {
            Ok(text) if metadata.is_file() && is_as_installed(&text) => Self::Ours { text },
            _ => Self::ByHand,
        }
    }
}

/// The program that the shim at `hook` names.
pub(super) fn program_of(hook: &Path) -> Option<PathBuf> {
    let text = std::fs::read_to_string(hook).ok()?;
    let named = text.lines().find_map(|line| {
        line.strip_prefix(QUOTES.0).and_then(|rest| rest.strip_suffix(QUOTES.1))
    })?;
    Some(PathBuf::from(named.replace(r"'\''", "'")))
}

fn is_shim(hook: &[u8]) -> bool {
    let second = hook.split(|byte| *byte == b'\n').nth(1);
    second.is_some_and(|line| line.starts_with(MARK.as_bytes()))
}

fn sealed(text: &str) -> String {
    format!("{text}{SEAL}{}\n", digest(text))
}

fn is_as_installed(text: &str) -> bool {
    let lines = text.trim_end_matches('\n').rfind('\n').map(|end| text.split_at(end + 1));
    lines.is_some_and(|(lines, _)| sealed(lines) == text)
}

/// Enough digits that nobody changes a shim and keeps them by chance.
fn digest(text: &str) -> String {
    let digest = Sha256::digest(text.as_bytes());
    digest.iter().take(8).map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shim_names_its_program_whatever_its_path_holds() {
        let folder = tempfile::tempdir().expect("a folder");
        let hook = folder.path().join("pre-commit");
        let program = Path::new("/opt/Ada's tools/tag worthy");
        std::fs::write(&hook, text(program)).expect("a file");
        assert_eq!(program_of(&hook).as_deref(), Some(program));
        assert!(matches!(Found::at(&hook), Found::Ours { .. }));
    }

    #[test]
    fn a_changed_shim_is_told_from_an_installed_one() {
        let folder = tempfile::tempdir().expect("a folder");
        let hook = folder.path().join("pre-commit");
        let found = |text: &str| {
            std::fs::write(&hook, text).expect("a file");
            Found::at(&hook)
        };
        let text = text(Path::new("tagworthy"));
        assert_eq!(found(&text.replace("seconds=30", "seconds=300")), Found::ByHand);
        assert_eq!(found(&format!("{text}exit 0\n")), Found::ByHand);
        assert_eq!(found(SHIM), Found::ByHand);
        assert_eq!(found("#!/bin/sh\nexit 0\n"), Found::Other);
        assert_eq!(found(""), Found::Other);
    }

    #[test]
    fn the_shim_has_the_line_that_is_replaced_and_ends_its_lines_as_a_shell_wants() {
        assert_eq!(SHIM.matches(PROGRAM).count(), 1);
        assert!(SHIM.lines().nth(1).is_some_and(|line| line.starts_with(MARK)));
        assert!(!SHIM.contains('\r') && SHIM.ends_with('\n'));
    }
}
