//! What files say, packed: to unpack it takes a fraction of what reading the files and parsing them does.

use std::ops::Range;
use std::sync::Arc;

use crate::fileset::ContentKey;
use crate::record::Records;

use super::Parsed;

/// Which records stand in which text, and what they are packed as: this rises with either.
pub const FORM: &str = "records/5";

/// Files of a piece: a few pieces for each of whoever unpacks.
pub const FILES_OF_A_PIECE: usize = 64;

/// About as much as a packed file takes.
const USUAL_BYTES: usize = 512;

/// The length of a piece stands before it.
const LENGTH_BYTES: usize = size_of::<u64>();

/// Packed files in pieces, each of which can be unpacked without the others.
#[derive(Debug)]
pub struct Pack {
    bytes: Vec<u8>,
    pieces: Vec<Range<usize>>,
}

/// What stands in some files, by content, behind its length in bytes. A [`Pack`] is made of such pieces, one
/// behind the other. Left out are files with which anything is wrong: that is told of their text.
#[must_use]
pub fn piece<'a>(files: impl IntoIterator<Item = (ContentKey, &'a Parsed)>) -> Vec<u8> {
    let mut bytes = vec![0; LENGTH_BYTES];
    bytes.reserve(FILES_OF_A_PIECE * USUAL_BYTES);
    for (key, parsed) in files.into_iter().filter(|(_, parsed)| can_be_packed(parsed)) {
        // A figure that cannot be read cannot be packed: its file is left out.
        let packed = postcard::to_allocvec(&(key, &parsed.records)).unwrap_or_default();
        bytes.extend_from_slice(&packed);
    }
    let length = (bytes.len() - LENGTH_BYTES) as u64;
    bytes[..LENGTH_BYTES].copy_from_slice(&length.to_le_bytes());
    bytes
}

/// Whether what stands in a file can be packed.
#[must_use]
pub fn can_be_packed(parsed: &Parsed) -> bool {
    parsed.manifest.is_none()
        && parsed.diagnostics.is_empty()
        && parsed.lost.is_empty()
        && !parsed.incomplete
}

impl Pack {
    /// What [`piece`] made, one or more; `None` where it is none of that.
    #[must_use]
    pub fn of(bytes: Vec<u8>) -> Option<Self> {
        let (mut pieces, mut at) = (Vec::new(), 0);
        while at < bytes.len() {
            let (length, rest) = bytes[at..].split_first_chunk()?;
            let length = usize::try_from(u64::from_le_bytes(*length)).ok()?;
            let start = bytes.len() - rest.len();
            at = start + rest.get(..length)?.len();
            pieces.push(start..at);
        }
        Some(Self { bytes, pieces })
    }

    /// What stands in the files of a piece; `None` behind the last one, and empty where it is damaged.
    #[must_use]
    pub fn piece(&self, number: usize) -> Option<Vec<(ContentKey, Arc<Parsed>)>> {
        let piece = &self.bytes[self.pieces.get(number)?.clone()];
        Some(unpacked(piece).unwrap_or_default())
    }
}

fn unpacked(mut bytes: &[u8]) -> Option<Vec<(ContentKey, Arc<Parsed>)>> {
    let mut files = Vec::with_capacity(FILES_OF_A_PIECE);
    while !bytes.is_empty() {
        let (key, records): (ContentKey, Records);
        ((key, records), bytes) = postcard::take_from_bytes(bytes).ok()?;
        files.push((key, Arc::new(Parsed { records, ..Parsed::default() })));
    }
    Some(files)
}
