//! Files that are nearly right: the example with some of its bytes or lines changed.

use proptest::prelude::*;
use proptest::sample::Index;

use crate::fixture::reference_example;

/// One change of a text.
#[derive(Clone, Debug)]
enum Change {
    Set(Index, u8),
    Remove(Index, usize),
    Insert(Index, String),
    CutOff(Index),
    SwapLines(Index, Index),
    SwapValues(Index, Index),
}

fn change() -> impl Strategy<Value = Change> {
    // Marks that TOML gives a meaning to, and words that the records do.
    let piece = prop::sample::select(vec![
        "\"",
        "'",
        "\"\"\"",
        "[",
        "]",
        "[[",
        "{",
        "}",
        "=",
        ".",
        ",",
        "\n",
        "#",
        "\\",
        "\u{1b}",
        "±",
        "°C",
        "\r",
        "-",
        "1e30",
        "part",
        "origin",
        "\0",
        "= { a.b = 1 }",
    ]);
    let at = any::<Index>;
    prop_oneof![
        (at(), any::<u8>()).prop_map(|(at, byte)| Change::Set(at, byte)),
        (at(), 1..40_usize).prop_map(|(at, count)| Change::Remove(at, count)),
        (at(), piece).prop_map(|(at, piece)| Change::Insert(at, piece.to_owned())),
        at().prop_map(Change::CutOff),
        (at(), at()).prop_map(|(a, b)| Change::SwapLines(a, b)),
        (at(), at()).prop_map(|(a, b)| Change::SwapValues(a, b)),
    ]
}

fn apply(bytes: &mut Vec<u8>, change: &Change) {
    let length = bytes.len();
    if length == 0 {
        return;
    }
    match change {
        Change::Set(at, byte) => bytes[at.index(length)] = *byte,
        Change::Remove(at, count) => {
            let start = at.index(length);
            bytes.drain(start..length.min(start + count));
        }
        Change::Insert(at, piece) => {
            let start = at.index(length);
            bytes.splice(start..start, piece.bytes());
        }
        Change::CutOff(at) => bytes.truncate(at.index(length)),
        Change::SwapLines(a, b) => {
            let mut lines: Vec<&[u8]> = bytes.split(|byte| *byte == b'\n').collect();
            let (a, b) = (a.index(lines.len()), b.index(lines.len()));
            lines.swap(a, b);
            *bytes = lines.join(&b'\n');
        }
        Change::SwapValues(a, b) => *bytes = swap_values(bytes, a, b),
    }
}

/// The text with what stands behind `=` in two lines swapped.
fn swap_values(bytes: &[u8], a: &Index, b: &Index) -> Vec<u8> {
    let lines = bytes.split(|byte| *byte == b'\n');
    let mut halves: Vec<(&[u8], &[u8])> = lines
        .map(|line| {
            let equals = line.iter().position(|byte| *byte == b'=').map_or(line.len(), |at| at + 1);
            line.split_at(equals)
        })
        .collect();
    let (a, b) = (a.index(halves.len()), b.index(halves.len()));
    let values = (halves[a].1, halves[b].1);
    (halves[b].1, halves[a].1) = values;
    halves.iter().map(|(key, value)| [*key, *value].concat()).collect::<Vec<_>>().join(&b'\n')
}

/// The record file of the example, some of it changed.
pub fn nearly_records() -> impl Strategy<Value = Vec<u8>> {
    nearly(reference_example().1)
}

/// The manifest of the example, some of it changed.
pub fn nearly_manifest() -> impl Strategy<Value = Vec<u8>> {
    nearly(reference_example().0)
}

fn nearly(text: String) -> impl Strategy<Value = Vec<u8>> {
    prop::collection::vec(change(), 1..6).prop_map(move |changes| {
        let mut bytes = text.clone().into_bytes();
        changes.iter().for_each(|change| apply(&mut bytes, change));
        bytes
    })
}
