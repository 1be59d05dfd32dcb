//! Pointers that stand for large files in a repository: how they are told from content.
//!
//! A path with the attribute `filter=lfs` is stored as a short text with the digest and the size of
//! the content, which itself lies elsewhere. The format is public (Git LFS specification v1): the
//! key `version` first, then the others in order of the alphabet, `\n` after each line; a pointer is
//! shorter than 1,024 bytes.

use std::fmt;

use serde::{Deserialize, Serialize};

/// A pointer is shorter than this.
pub const MAX_POINTER_BYTES: usize = 1024;

/// The line that every pointer begins with.
pub const VERSION_LINE: &[u8] = b"version https://git-lfs.github.com/spec/v1\n";

/// Length of a digest by SHA-256.
const DIGEST_BYTES: usize = 32;

/// What a pointer says of the content that it stands for.
#[derive(Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pointer {
    /// SHA-256 of the content.
    pub digest: [u8; DIGEST_BYTES],
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
        let digest = digest(value("oid sha256:")?.trim_end())?;
        Some(Self { digest, bytes: value("size ")?.trim_end().parse().ok()? })
    }

    /// Where the content lies, step by step from the folder of fetched contents: the same
    /// specification's `objects/OI/D0/OID0…`.
    #[must_use]
    pub fn place(&self) -> [String; 4] {
        let name = self.hexadecimal();
        ["objects".into(), name[..2].into(), name[2..4].into(), name]
    }

    fn hexadecimal(&self) -> String {
        self.digest.iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

/// As it is written, whole.
impl fmt::Display for Pointer {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&String::from_utf8_lossy(VERSION_LINE))?;
        writeln!(formatter, "oid sha256:{}\nsize {}", self.hexadecimal(), self.bytes)
    }
}

impl fmt::Debug for Pointer {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "Pointer({}, {} bytes)", self.hexadecimal(), self.bytes)
    }
}

/// The digest that 64 hexadecimal digits in lower case are.
fn digest(text: &str) -> Option<[u8; DIGEST_BYTES]> {
    let is_digit = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f');
    if text.len() != 2 * DIGEST_BYTES || !text.bytes().all(is_digit) {
        return None;
    }
    let mut digest = [0; DIGEST_BYTES];
    for (byte, digits) in digest.iter_mut().zip(text.as_bytes().chunks(2)) {
        *byte = u8::from_str_radix(std::str::from_utf8(digits).ok()?, 16).ok()?;
    }
    Some(digest)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The digest of "abc" is the first example of FIPS 180-4 for SHA-256 (NIST, "SHA256.pdf").
    const ABC: &str = "version https://git-lfs.github.com/spec/v1\n\
        oid sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad\n\
        size 3\n";

    #[test]
    fn a_pointer_says_what_its_content_is_and_where_it_lies() {
        use sha2::{Digest, Sha256};
        let pointer = Pointer::read(ABC.as_bytes()).expect("a pointer");
        assert_eq!(pointer.to_string(), ABC);
        assert_eq!((pointer.digest, pointer.bytes), (Sha256::digest(b"abc").into(), 3));
        assert_eq!(
            pointer.place().join("/"),
            "objects/ba/78/ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn what_has_no_whole_digest_is_content() {
        let digits = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let others = ["00".into(), digits.to_uppercase(), "é".repeat(32), "0".repeat(65)];
        for other in others {
            let text = ABC.replace(digits, &other);
            assert_eq!(Pointer::read(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn what_only_begins_like_a_pointer_is_content() {
        let long = [VERSION_LINE, b"oid sha256:00\nsize 3\n", &[b'\n'; 1024]].concat();
        for content in [VERSION_LINE, b"", b"solid gate", &long] {
            assert_eq!(Pointer::read(content), None);
        }
    }
}
