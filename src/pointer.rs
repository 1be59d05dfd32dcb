//! Pointers that stand for large files in a repository: how they are told from content.
//!
//! A path with the attribute `filter=lfs` is stored as a short text with the digest and the size of
//! the content, which itself lies elsewhere. The format is public (Git LFS specification v1): the
//! key `version` first, then the others in order of the alphabet, `\n` after each line; a pointer is
//! shorter than 1,024 bytes.

/// A pointer is shorter than this.
pub const MAX_POINTER_BYTES: usize = 1024;

/// The line that every pointer begins with.
pub const VERSION_LINE: &[u8] = b"version https://git-lfs.github.com/spec/v1\n";

/// What a pointer says of the content that it stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pointer {
    /// Size of the content in bytes.
    pub bytes: u64,
}

impl Pointer {
    /// The pointer that `content` is, if it is one.
    #[must_use]
    pub fn read(content: &[u8]) -> Option<Self> {
        let rest = content.strip_prefix(VERSION_LINE)?;
        if content.len() >= MAX_POINTER_BYTES {
            return None;
        }
        let value = |key: &str| {
            std::str::from_utf8(rest).ok()?.lines().find_map(|line| line.strip_prefix(key))
        };
        value("oid sha256:")?;
        Some(Self { bytes: value("size ")?.trim_end().parse().ok()? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pointer_says_how_large_its_content_is() {
        let text = "version https://git-lfs.github.com/spec/v1\n\
            oid sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad\n\
            size 209715284\n";
        assert_eq!(Pointer::read(text.as_bytes()), Some(Pointer { bytes: 209_715_284 }));
    }

    #[test]
    fn what_only_begins_like_a_pointer_is_content() {
        let long = [VERSION_LINE, b"oid sha256:00\nsize 3\n", &[b'\n'; 1024]].concat();
        for content in [VERSION_LINE, b"", b"solid gate", &long] {
            assert_eq!(Pointer::read(content), None);
        }
    }
}
