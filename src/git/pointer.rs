//! The pointer that git would store for a large file, whose format [`crate::pointer`] tells.

use std::io::{self, Read};

use sha2::{Digest, Sha256};

use crate::pointer::{MAX_POINTER_BYTES, Pointer};

/// Whether `content` is a pointer already, as in a working tree whose large files weren't fetched.
/// An empty file is its own pointer.
pub(super) fn is_pointer(content: &[u8]) -> bool {
    content.is_empty() || Pointer::read(content).is_some()
}

/// What is stored for the content: a pointer to it, or the content where it is a pointer itself.
///
/// # Errors
/// Those of reading `content`, which is read to its end and never held in memory as a whole.
pub(super) fn stored(mut content: impl Read) -> io::Result<Vec<u8>> {
    let mut start = Vec::with_capacity(MAX_POINTER_BYTES);
    content.by_ref().take(MAX_POINTER_BYTES as u64).read_to_end(&mut start)?;
    if is_pointer(&start) {
        return Ok(start);
    }
    let mut digest = Sha256::new();
    digest.update(&start);
    let rest = io::copy(&mut content, &mut Feed(&mut digest))?;
    let pointer = Pointer { digest: digest.finalize().into(), bytes: start.len() as u64 + rest };
    Ok(pointer.to_string().into_bytes())
}

struct Feed<'a>(&'a mut Sha256);

impl io::Write for Feed<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.update(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that can't go on has failed")]
mod tests {
    use super::*;
    use crate::pointer::VERSION_LINE;

    /// The digest of "abc" is the first example of FIPS 180-4 for SHA-256 (NIST, "SHA256.pdf").
    const ABC: &str = "version https://git-lfs.github.com/spec/v1\n\
        oid sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad\n\
        size 3\n";

    #[test]
    fn content_is_stored_as_its_pointer() {
        assert_eq!(String::from_utf8(stored(&b"abc"[..]).unwrap()).unwrap(), ABC);
    }

    #[test]
    fn a_pointer_and_an_empty_file_are_stored_as_they_are() {
        assert_eq!(stored(ABC.as_bytes()).unwrap(), ABC.as_bytes());
        assert_eq!(stored(&b""[..]).unwrap(), b"");
    }

    #[test]
    fn what_only_begins_like_a_pointer_is_content() {
        let long = [ABC.as_bytes(), &[b'x'; 1024]].concat();
        let pointer = String::from_utf8(stored(&long[..]).unwrap()).unwrap();
        assert!(pointer.ends_with(&format!("\nsize {}\n", long.len())), "{pointer}");
        assert!(!is_pointer(VERSION_LINE));
    }
}
