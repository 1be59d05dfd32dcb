//! One evaluation of a design of 1,000 parts within the process, from bytes to the figures of every
//! budget, beside git's plumbing reading the same files.
//!
//! `cargo bench --bench evaluate`

#![allow(clippy::print_stdout, reason = "a benchmark says what it measured")]
#![allow(clippy::unwrap_used, reason = "a measurement that can't go on has failed")]

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
use tagworthy::evaluate::{self, Figures, StandIns};
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
    assert_eq!(evaluated(&files).1, [] as [String; 0], "nothing is wrong with the design");
    paired::compare(
        bencher,
        [&format!("1,000 parts read, linked and evaluated, {layout:?}"), "git"],
        || drop(black_box(evaluated(&files))),
        || plumbing::read_index(&scratch),
    );
}

/// The figures of the design, and what is wrong with it.
fn evaluated(files: &FileSet) -> (Option<Figures>, Vec<String>) {
    let linked = assess::read(files, &RepoPath::from(MANIFEST), &Parses::default());
    let wrong = linked.diagnostics.iter().map(|found| found.diagnostic.message.clone()).collect();
    (
        linked
            .design
            .as_deref()
            .map(|design| evaluate::figures(None, design, &StandIns::default())),
        wrong,
    )
}

/// The files as git would hand them over; equal contents do not occur among them.
fn file_set(files: &Files) -> FileSet {
    let keyed = || (0_usize..).map(|number| ContentKey::new(&number.to_be_bytes())).zip(files);
    let entry = |(key, (path, _)): (ContentKey, &(String, String))| {
        (RepoPath::from(path.as_str()), Entry { key, mode: Mode::File })
    };
    FileSet {
        entries: Arc::new(keyed().map(entry).collect()),
        contents: keyed().map(|(key, (_, text))| (key, Arc::from(text.as_bytes()))).collect(),
    }
}
