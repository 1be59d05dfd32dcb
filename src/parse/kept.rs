//! What files say, packed: to unpack it takes a fraction of what reading the files and parsing them does.

use std::ops::Range;
use std::sync::Arc;

use crate::fileset::ContentKey;
use crate::record::Records;

use super::Parsed;

/// Which records stand in which text, and what they are packed as: this rises with either.
pub const FORM: &str = "records/2";

/// Files of a piece: a few pieces for each of whoever unpacks.
const FILES_OF_A_PIECE: usize = 64;

/// Packed files in pieces, each of which can be unpacked without the others.
#[derive(Debug)]
pub struct Pack {
    bytes: Vec<u8>,
    pieces: Vec<Range<usize>>,
}

/// What stands in the files, by content, each piece behind its length in bytes. Left out are those with
/// which anything is wrong: that is told of their text.
#[must_use]
pub fn pack<'a>(files: impl IntoIterator<Item = (ContentKey, &'a Parsed)>) -> Vec<u8> {
    let sound: Vec<_> = files.into_iter().filter(|(_, parsed)| can_be_packed(parsed)).collect();
    let mut bytes = Vec::new();
    for files in sound.chunks(FILES_OF_A_PIECE) {
        let packed =
            files.iter().map(|(key, parsed)| postcard::to_allocvec(&(key, &parsed.records)));
        let piece = packed.map(Result::unwrap_or_default).collect::<Vec<_>>().concat();
        bytes.extend_from_slice(&(piece.len() as u64).to_le_bytes());
        bytes.extend_from_slice(&piece);
    }
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
    /// What [`pack`] made; `None` where it is none of that.
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
