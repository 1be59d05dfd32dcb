//! One reading of a design of 1,000 parts within the process, from bytes to the linked design,
//! beside git's plumbing reading the same files.
//!
//! `cargo bench --bench evaluate`

#![allow(clippy::print_stdout, reason = "a benchmark says what it measured")]
#![allow(clippy::unwrap_used, reason = "a measurement that can't go on has failed")]

#[allow(dead_code, reason = "shared with tests that need more of it")]
#[path = "../common/mod.rs"]
mod common;
mod paired;
mod plumbing;
mod synthetic;

use std::hint::black_box;
use std::sync::Arc;

use divan::Bencher;
use synthetic::{Files, Layout};
use tagworthy::assess::{self, MANIFEST, Parses};
use tagworthy::fileset::{ContentKey, Entry, FileSet, Mode, RepoPath};

/// Files that hold records: 1,000 of them hold one part each.
const RECORD_FILES: usize = 1_002;

fn main() {
    divan::main();
    paired::tell();
}

#[divan::bench(args = [Layout::Flat, Layout::Nested], sample_count = 60, sample_size = 1)]
fn design(bencher: Bencher<'_, '_>, layout: Layout) {
    let files = synthetic::files(RECORD_FILES, layout);
    let scratch = synthetic::repository(&files);
    let files = file_set(&files);
    let manifest = RepoPath::from(MANIFEST);
    let evaluate = || assess::read(&files, &manifest, &mut Parses::default());
    let linked = evaluate();
    assert!(linked.diagnostics.is_empty(), "{:?}", linked.diagnostics);
    paired::compare(
        bencher,
        &format!("1,000 parts read and linked, {layout:?}"),
        || drop(black_box(evaluate())),
        || plumbing::read_index(&scratch),
    );
}

/// The files as git would hand them over; equal contents do not occur among them.
fn file_set(files: &Files) -> FileSet {
    let mut set = FileSet::default();
    for (number, (path, text)) in files.iter().enumerate() {
        let key = ContentKey::new(&number.to_be_bytes());
        set.entries.insert(RepoPath::from(path.as_str()), Entry { key, mode: Mode::File });
        set.contents.insert(key, Arc::from(text.as_bytes()));
    }
    set
}
