//! What is packed says the same when it is unpacked.

use std::sync::Arc;

use proptest::prelude::*;
use twox_hash::XxHash3_128;

use super::corpus::nearly_records;
use crate::fileset::ContentKey;
use crate::fixture::reference_example;
use crate::parse::kept::{FORM, Pack, piece};
use crate::parse::{Parsed, Role, file};

fn key(text: &[u8]) -> ContentKey {
    ContentKey::new(&XxHash3_128::oneshot(text).to_be_bytes())
}

fn packed(texts: &[&[u8]]) -> Vec<u8> {
    let files: Vec<_> = texts.iter().map(|text| (key(text), file(text, Role::Records))).collect();
    let pieces =
        files.chunks(2).map(|files| piece(files.iter().map(|(key, parsed)| (*key, parsed))));
    pieces.collect::<Vec<_>>().concat()
}

fn unpack(bytes: &[u8]) -> Option<Vec<(ContentKey, Arc<Parsed>)>> {
    let pack = Pack::of(bytes.to_vec())?;
    Some((0..).map_while(|number| pack.piece(number)).flatten().collect())
}

/// Every table and key of the reference; the text of a debugging view holds all there is.
#[test]
fn every_record_comes_back() {
    let text = reference_example().1;
    let texts = [text.as_bytes(), b"", b"[part.lens]\norigin = \"bought\"\n"];
    let back = unpack(&packed(&texts)).expect("what was packed");
    assert_eq!(back.len(), 3);
    for ((found, parsed), text) in back.iter().zip(texts) {
        assert_eq!(*found, key(text));
        assert_eq!(format!("{parsed:?}"), format!("{:?}", file(text, Role::Records)));
    }
}

/// Where this differs, files of before are read in another way: raise [`FORM`].
#[test]
fn the_form_has_a_name() {
    let digest = XxHash3_128::oneshot(&packed(&[reference_example().1.as_bytes()]));
    insta::assert_snapshot!(format!("{FORM}: {digest:032x}"));
}

/// Whether a file with the records is kept: nothing is said of it, and every figure can be read.
fn is_sound(parsed: &Parsed) -> bool {
    let figures = parsed.records.parts.iter().flat_map(|part| &part.quantities);
    parsed.diagnostics.is_empty() && figures.into_iter().all(|(_, stated)| stated.is_ok())
}

proptest! {
    #[test]
    fn what_is_wrong_is_not_kept(text in nearly_records()) {
        let parsed = file(&text, Role::Records);
        let back = unpack(&packed(&[&text])).expect("what was packed");
        let expected: Vec<_> = is_sound(&parsed).then(|| (key(&text), parsed)).into_iter().collect();
        prop_assert_eq!(format!("{back:?}"), format!("{expected:?}"));
    }

    #[test]
    fn damage_is_no_panic(
        at in any::<prop::sample::Index>(),
        byte in any::<u8>(),
        length in any::<prop::sample::Index>(),
    ) {
        let mut bytes = packed(&[reference_example().1.as_bytes(), b""]);
        let (at, length) = (at.index(bytes.len()), length.index(bytes.len()));
        bytes[at] = byte;
        let _ = unpack(&bytes);
        let _ = unpack(&bytes[..length]);
    }
}
