//! What files say, packed: to unpack it takes a fraction of what reading the files and parsing them does.

use std::sync::Arc;

use crate::fileset::ContentKey;
use crate::record::Records;
use crate::threads;

use super::Parsed;

/// Which records stand in which text, and what they are packed as: this rises with either.
pub const FORM: &str = "records/1";

/// What stands in the files, by content. Left out are those with which anything is wrong: that is told of
/// their text.
#[must_use]
pub fn pack<'a>(files: impl Iterator<Item = (ContentKey, &'a Parsed)>) -> Vec<u8> {
    let sound: Vec<_> = files.filter(|(_, parsed)| can_be_packed(parsed)).collect();
    let (one, other) = sound.split_at(sound.len() / 2);
    let mut halves = threads::each(&[one, other], |half| packed(half)).into_iter();
    let one = halves.next().unwrap_or_default();
    // How long the first half is stands in front.
    let length = u64::try_from(one.len()).unwrap_or_default().to_le_bytes();
    [&length[..], &one, &halves.next().unwrap_or_default()].concat()
}

/// Whether what stands in a file can be packed.
#[must_use]
pub fn can_be_packed(parsed: &Parsed) -> bool {
    parsed.manifest.is_none()
        && parsed.diagnostics.is_empty()
        && parsed.lost.is_empty()
        && !parsed.incomplete
}

/// What was packed; `None` where it is none of that.
#[must_use]
pub fn unpack(bytes: &[u8]) -> Option<Vec<(ContentKey, Arc<Parsed>)>> {
    let (length, halves) = bytes.split_first_chunk()?;
    let length = usize::try_from(u64::from_le_bytes(*length)).ok()?;
    let (one, other) = halves.split_at_checked(length)?;
    let halves = threads::each(&[one, other], |half| unpacked(half));
    let halves: Option<Vec<_>> = halves.into_iter().collect();
    Some(halves?.into_iter().flatten().collect())
}

fn packed(files: &[(ContentKey, &Parsed)]) -> Vec<u8> {
    let mut bytes = Vec::new();
    for (key, parsed) in files {
        let file = postcard::to_allocvec(&(key, &parsed.records));
        bytes.extend(file.unwrap_or_default());
    }
    bytes
}

fn unpacked(mut bytes: &[u8]) -> Option<Vec<(ContentKey, Arc<Parsed>)>> {
    let mut files = Vec::new();
    while !bytes.is_empty() {
        let (key, records): (ContentKey, Records);
        ((key, records), bytes) = postcard::take_from_bytes(bytes).ok()?;
        files.push((key, Arc::new(Parsed { records, ..Parsed::default() })));
    }
    Some(files)
}
