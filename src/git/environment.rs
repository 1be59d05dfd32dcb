//! What a git that started this program says about the repository, by its environment.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use gix::bstr::{BString, ByteSlice, ByteVec};

/// The variables of the environment that choose a repository (git(1), "The Git Repository").
/// `GIT_WORK_TREE` and `GIT_INDEX_FILE` are read again by the git library when it opens one.
#[derive(Debug, Default)]
pub(super) struct Environment {
    /// `GIT_DIR`: the git directory, instead of searching for one.
    pub git_dir: Option<PathBuf>,
    /// `GIT_COMMON_DIR`: where what all working trees share lies.
    pub common_dir: Option<PathBuf>,
    /// Whether `GIT_WORK_TREE` names the working tree.
    pub names_work_tree: bool,
    /// `GIT_OBJECT_DIRECTORY`: where objects lie, those of a push that is not let in yet.
    pub objects: Option<PathBuf>,
    /// `GIT_ALTERNATE_OBJECT_DIRECTORIES`: where else objects lie.
    pub alternates: Vec<PathBuf>,
    /// `GIT_CONFIG_PARAMETERS`: the settings of `git -c`, as `key=value`, or `key` where it is set
    /// without a value. Those of `GIT_CONFIG_COUNT` are read by the git library itself.
    pub settings: Vec<BString>,
}

impl Environment {
    /// The variables as they are set now, with paths relative to `cwd` made absolute.
    pub fn read(cwd: &Path) -> Self {
        let path = |name| set(name).map(|value| cwd.join(value));
        Self {
            git_dir: path("GIT_DIR"),
            common_dir: path("GIT_COMMON_DIR"),
            names_work_tree: set("GIT_WORK_TREE").is_some(),
            objects: path("GIT_OBJECT_DIRECTORY"),
            alternates: set("GIT_ALTERNATE_OBJECT_DIRECTORIES")
                .map(|folders| std::env::split_paths(&folders).map(|path| cwd.join(path)).collect())
                .unwrap_or_default(),
            settings: set("GIT_CONFIG_PARAMETERS")
                .and_then(|list| Vec::from_os_string(list).ok())
                .map(|list| settings(&list))
                .unwrap_or_default(),
        }
    }
}

fn set(name: &str) -> Option<OsString> {
    std::env::var_os(name).filter(|value| !value.is_empty())
}

/// The settings in a list as git hands it on: each `'key'='value'`, `'key'=` without a value, or
/// `'key=value'` as it was before git 2.31; between them blanks. What cannot be a setting is left out,
/// and so is all that follows where the list is none: git would have said so itself.
fn settings(list: &[u8]) -> Vec<BString> {
    let mut settings = Vec::new();
    let mut rest = list.trim_start();
    while let Some((mut setting, mut after)) = unquoted(rest) {
        let has_value = after.starts_with(b"=");
        if has_value && setting.contains(&b'=') {
            // Behind a key that holds the sign itself a value could not be told from it.
            setting.clear();
        }
        if let Some((value, behind)) = after.strip_prefix(b"=").and_then(unquoted) {
            setting.push_byte(b'=');
            setting.extend_from_slice(&value);
            after = behind;
        } else if has_value {
            after = &after[1..];
        }
        if is_setting(&setting) {
            settings.push(setting);
        }
        rest = after.trim_start();
    }
    settings
}

/// The first word of what is quoted for a shell, and the rest. Within quotes all stands for itself; a
/// quote and an exclamation mark are written outside of them, behind a backslash.
fn unquoted(text: &[u8]) -> Option<(BString, &[u8])> {
    let mut word = BString::default();
    let mut rest = text.strip_prefix(b"'")?;
    loop {
        let end = rest.find_byte(b'\'')?;
        word.extend_from_slice(&rest[..end]);
        rest = &rest[end + 1..];
        match rest {
            [b'\\', mark @ (b'\'' | b'!'), b'\'', behind @ ..] => {
                word.push_byte(*mark);
                rest = behind;
            }
            _ => return Some((word, rest)),
        }
    }
}

/// Whether git would take the key (git-config(1), "Syntax"): one that it would not fails to open.
fn is_setting(setting: &[u8]) -> bool {
    let key = setting.split_once_str("=").map_or(setting, |(key, _)| key);
    let Some((section, name)) = key.rsplit_once_str(".") else { return false };
    let section = section.split_once_str(".").map_or(section, |(section, _)| section);
    let is_word = |byte: &u8| byte.is_ascii_alphanumeric() || *byte == b'-';
    let begins = name.first().is_some_and(u8::is_ascii_alphabetic);
    begins
        && name.iter().all(is_word)
        && !section.is_empty()
        && section.iter().all(is_word)
        && !key.contains(&b'\n')
        && !setting.contains(&0)
        && !is_of_repository(key)
}

/// Whether git reads the key where the repository says what it is, and nowhere else.
fn is_of_repository(key: &[u8]) -> bool {
    const KEYS: [&[u8]; 3] = [b"core.bare", b"core.worktree", b"core.repositoryformatversion"];
    let key = key.to_ascii_lowercase();
    key.starts_with(b"extensions.") || KEYS.contains(&key.as_slice())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What git itself hands on (`git -c … -c alias.z='!echo "$GIT_CONFIG_PARAMETERS"' z` of 2.39).
    #[test]
    fn settings_are_read_as_git_writes_them() {
        let list =
            r"'user.name'='a'\''b c'\!'d' 'core.fileMode'= 'a.b'='c=d' 'branch.a'='b.remote=x'";
        assert_eq!(
            settings(list.as_bytes()),
            ["user.name=a'b c!d", "core.fileMode", "a.b=c=d", "branch.a=b.remote=x"]
        );
        assert_eq!(settings(b"'x.y'='one\ntwo'  "), ["x.y=one\ntwo"]);
        assert_eq!(settings(b"'x.y'=''"), ["x.y="]);
    }

    /// As they were before git 2.31 (its release notes).
    #[test]
    fn settings_of_an_older_git_are_read_too() {
        assert_eq!(
            settings(b"'user.name=Ada' 'core.fileMode'"),
            ["user.name=Ada", "core.fileMode"]
        );
    }

    #[test]
    fn what_a_repository_says_of_itself_is_left_out() {
        let list = b"'core.bare'= 'core.WorkTree'='/' 'extensions.refStorage'='reftable' 'a.b'=''";
        assert_eq!(settings(list), ["a.b="]);
    }

    #[test]
    fn what_is_no_setting_is_left_out() {
        let list =
            b"'nonsense'='1' '.x'='1' 'a.'='1' 'a.1'='1' 'a b.c'='1' 'b.a=c.d'='1' 'a.b'='1'";
        assert_eq!(settings(list), ["a.b=1"]);
        for broken in ["", "'", "a.b=1", "'a.b", "'a.b'='1", "'a.b'='1'x 'c.d'='1'"] {
            assert!(settings(broken.as_bytes()).len() <= 1, "{broken}");
        }
    }
}
