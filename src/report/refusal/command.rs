//! What a command line needs that is to be copied from a refusal.

use crate::fileset::RepoPath;

/// The argument by which a command means the design whose manifest lies at `manifest`, from any folder;
/// nothing where that is the repository's root, whose design is found from below.
pub(super) fn of_design(manifest: &RepoPath) -> String {
    let folder = manifest.folder();
    match word(&folder.to_string()) {
        Some(folder) if !folder.is_empty() => format!(" --design {folder}"),
        _ => String::new(),
    }
}

/// `text` as one word of a shell's line; `None` where it holds what no line should.
pub(super) fn word(text: &str) -> Option<String> {
    let is_plain = |byte: u8| byte.is_ascii_alphanumeric() || b":/._-".contains(&byte);
    if text.bytes().all(is_plain) {
        return Some(text.to_owned());
    }
    let is_shown = !text.chars().any(|one| one.is_control() || one == char::REPLACEMENT_CHARACTER);
    is_shown.then(|| format!("'{}'", text.replace('\'', r"'\''")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_one_word_whatever_it_holds() {
        let word_of = |text: &str| word(text).unwrap_or_default();
        assert_eq!(word_of(":/lantern/tagworthy.toml"), ":/lantern/tagworthy.toml");
        assert_eq!(word_of(":/it's $HOME/tagworthy.toml"), r"':/it'\''s $HOME/tagworthy.toml'");
        assert_eq!(word(":/a\nb"), None);
        assert_eq!(word(":/a\u{fffd}b"), None);
    }

    #[test]
    fn a_design_in_a_folder_is_named() {
        assert_eq!(of_design(&RepoPath::from("tagworthy.toml")), "");
        assert_eq!(of_design(&RepoPath::from("a/b/tagworthy.toml")), " --design a/b");
        assert_eq!(of_design(&RepoPath::from("a b/tagworthy.toml")), " --design 'a b'");
    }
}
