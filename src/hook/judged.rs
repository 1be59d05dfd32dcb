//! What the hook before a commit judged, kept for the one after it: so that this one does not say the
//! same again, and notices where something else was committed.
//!
//! Git's own number tells which commit is meant. A line a commit, in the git directory of the working
//! tree; nothing is lost with it but silence.

use std::fs;
use std::path::PathBuf;

use twox_hash::XxHash3_128;

use crate::cli::hooks::By;
use crate::git::{Repository, Snapshot};

/// Lines that are kept: commits that were given up leave theirs.
const MOST_LINES: usize = 16;

/// Whether a state is the one that was judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Judged {
    /// It is.
    Same,
    /// Something else was judged.
    Other,
    /// Nothing was.
    Nothing,
}

/// Keeps what was judged for the process `by`. Where it cannot be written, it is not known later.
pub(super) fn remember(repository: &Repository, by: By, judged: &Snapshot<'_>) {
    let Some(process) = by.by else { return };
    let mut lines = lines(repository);
    lines.retain(|(known, _)| *known != process);
    lines.push((process, digest(judged)));
    keep(repository, &lines);
}

/// Whether `now` is what was judged for the process `by`, which is then forgotten.
pub(super) fn recall(repository: &Repository, by: By, now: &Snapshot<'_>) -> Judged {
    let mut lines = lines(repository);
    let known = lines.iter().position(|(known, _)| Some(*known) == by.by);
    let Some(known) = known.map(|at| lines.remove(at)) else { return Judged::Nothing };
    keep(repository, &lines);
    if known.1 == digest(now) { Judged::Same } else { Judged::Other }
}

fn place(repository: &Repository) -> PathBuf {
    repository.git_dir().join("tagworthy").join("judged")
}

fn lines(repository: &Repository) -> Vec<(u32, u128)> {
    let text = fs::read_to_string(place(repository)).unwrap_or_default();
    let line = |line: &str| {
        let (process, digest) = line.split_once(' ')?;
        Some((process.parse().ok()?, u128::from_str_radix(digest, 16).ok()?))
    };
    text.lines().filter_map(line).collect()
}

fn keep(repository: &Repository, lines: &[(u32, u128)]) {
    let place = place(repository);
    let newest = &lines[lines.len().saturating_sub(MOST_LINES)..];
    let line = |(process, digest): &(u32, u128)| format!("{process} {digest:032x}\n");
    let text: String = newest.iter().map(line).collect();
    let folder = place.parent().map_or(Ok(()), fs::create_dir_all);
    // Only a word is at stake, and a folder that cannot be written holds nobody up.
    let _ = folder.and_then(|()| fs::write(&place, text));
}

/// A digest of all paths and what lies there.
fn digest(snapshot: &Snapshot<'_>) -> u128 {
    let mut bytes = Vec::new();
    for (path, entry) in snapshot.entries() {
        bytes.extend_from_slice(path.as_bstr());
        bytes.push(0);
        bytes.push(entry.mode as u8);
        bytes.extend_from_slice(entry.key.as_bytes());
    }
    XxHash3_128::oneshot(&bytes)
}
