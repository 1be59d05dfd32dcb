//! What files say, packed: to unpack it takes a fraction of what reading the files and parsing them does.

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
    let sound: Vec<_> = files.filter(|(_, parsed)| parsed.is_sound()).collect();
    let (one, other) = sound.split_at(sound.len() / 2);
    postcard::to_allocvec(&(packed(one), packed(other))).unwrap_or_default()
}

/// What was packed; `None` where it is none of that.
#[must_use]
pub fn unpack(bytes: &[u8]) -> Option<Vec<(ContentKey, Parsed)>> {
    let (one, other): (&[u8], &[u8]) = postcard::from_bytes(bytes).ok()?;
    let halves = threads::each(&[one, other], |half| unpacked(half));
    let halves: Option<Vec<_>> = halves.into_iter().collect();
    Some(halves?.concat())
}

fn packed(files: &[(ContentKey, &Parsed)]) -> Vec<u8> {
    let file = |(key, parsed): &(ContentKey, &Parsed)| {
        postcard::to_allocvec(&(key, &parsed.records)).unwrap_or_default()
    };
    files.iter().flat_map(file).collect()
}

fn unpacked(mut bytes: &[u8]) -> Option<Vec<(ContentKey, Parsed)>> {
    let mut files = Vec::new();
    while !bytes.is_empty() {
        let (key, records): (ContentKey, Records);
        ((key, records), bytes) = postcard::take_from_bytes(bytes).ok()?;
        files.push((key, Parsed { records, ..Parsed::default() }));
    }
    Some(files)
}

impl Parsed {
    /// Whether it is a file of records with which nothing is wrong.
    fn is_sound(&self) -> bool {
        self.manifest.is_none()
            && self.diagnostics.is_empty()
            && self.lost.is_empty()
            && !self.incomplete
    }
}
