//! All that is wrong, while it is being found.

use std::collections::BTreeSet;

use super::link::Input;
use super::references::DANGLING;
use crate::diagnostic::{At, Code, Diagnostic, Located, did_you_mean};
use crate::fileset::RepoPath;
use crate::record::Id;

/// How many names are compared letter by letter, at most, in the search for those that were meant:
/// thousands of slips in a design of thousands of parts would take minutes otherwise.
const MOST_COMPARISONS: usize = 500_000;

/// What is wrong, and what is known to be unreadable.
#[derive(Debug, Default)]
pub(super) struct Findings {
    found: Vec<Located>,
    lost: BTreeSet<Id>,
    incomplete: bool,
    compared: usize,
}

impl Findings {
    /// What the files say of themselves.
    pub(super) fn of(input: &Input<'_>) -> Self {
        let mut findings = Self::default();
        for (path, parsed) in input.all_files() {
            let found = parsed.diagnostics.iter().cloned();
            findings.found.extend(found.map(|diagnostic| diagnostic.located(path)));
            findings.lost.extend(parsed.lost.iter().cloned());
            findings.incomplete |= parsed.incomplete;
        }
        findings
    }

    pub(super) fn push(&mut self, path: &RepoPath, diagnostic: Diagnostic) {
        self.found.push(diagnostic.located(path));
    }

    /// Reports `id`, which should be a `kind` and is none of the `known`. A record that is there
    /// and cannot be read is reported where it stands, and so is a file: not every reference too.
    pub(super) fn dangling<'a>(
        &mut self,
        path: &RepoPath,
        id: &At<Id>,
        kind: &str,
        known: impl IntoIterator<Item = &'a str> + Clone,
    ) {
        if self.may_be_lost(&id.value) {
            return;
        }
        let message = format!("there is no {kind} `{}`", id.as_str());
        let hint = self.did_you_mean(id.as_str(), known);
        self.push(path, Diagnostic::error(DANGLING, id.span, message).with_hint_if(hint));
    }

    /// Whether `id` may stand in what could not be read.
    pub(super) fn may_be_lost(&self, id: &Id) -> bool {
        self.incomplete || self.lost.contains(id)
    }

    /// The remedy for a slip, as long as there are not too many of them.
    pub(super) fn did_you_mean<'a>(
        &mut self,
        written: &str,
        known: impl IntoIterator<Item = &'a str> + Clone,
    ) -> Option<String> {
        if self.compared > MOST_COMPARISONS {
            return None;
        }
        self.compared += known.clone().into_iter().count();
        did_you_mean(written, known)
    }

    /// Forgets what is of one of `codes`.
    pub(super) fn forget(&mut self, codes: &[Code]) {
        self.found.retain(|found| !codes.contains(&found.diagnostic.code));
    }

    /// Everything, by file and place.
    pub(super) fn into_sorted(self) -> Vec<Located> {
        let mut found = self.found;
        found.sort_by(|a, b| (&a.path, a.diagnostic.span).cmp(&(&b.path, b.diagnostic.span)));
        found.dedup();
        found
    }
}
