//! A design at a state of the repository, and how it stands.

use std::sync::Arc;

use semver::Version;

use super::Failure;
use crate::assess;
use crate::cli::StateArgs;
use crate::design::{Design, Linked};
use crate::diagnostic::Span;
use crate::evidence::RevisionSeals;
use crate::fileset::{FileSet, RepoPath};
use crate::git::At;
use crate::record::Date;
use crate::report::{self, DiagnosticRow, Place};
use crate::verdict::{Assessed, Documents, Occasion, Past};

/// A design at one state of the repository.
pub struct State {
    /// Every path, and the bytes of manifest and record files.
    pub files: FileSet,
    /// The design, or what is wrong with it.
    pub linked: Linked,
    /// Designs of the revisions that its evidence was won on.
    pub revisions: RevisionSeals,
    /// Documents whose text release checks look into.
    pub documents: Documents,
    /// The day that ages count from: the commit's, or today.
    pub day: Date,
    /// Which state it is.
    pub place: Place,
    /// What was before it, once somebody looked back.
    pub past: Arc<Past>,
    /// A state that was judged in an earlier run, where this one is linked from it.
    pub follows: Option<Box<Assessed>>,
}

impl State {
    /// The design judged for `release`, or for the one that its manifest prepares; `None` where its
    /// records cannot be read.
    #[must_use]
    pub fn assessed(&self, release: Option<&Version>) -> Option<Assessed> {
        let design = self.linked.design.as_ref()?;
        Some(self.judged(design, release.unwrap_or(&design.next)))
    }

    /// Why nothing is told of a state whose records cannot be read.
    #[must_use]
    pub fn unreadable(&self) -> Failure {
        let (place, of) = (self.place.phrase(), self.place.option());
        Failure::new(format!("the records {place} cannot be read; `tagworthy check{of}` says why"))
    }

    /// A design judged for `release` on this state's day, with its documents.
    #[must_use]
    pub fn judged(&self, design: &Arc<Design>, release: &Version) -> Assessed {
        let past = Arc::clone(&self.past);
        let occasion = Occasion { past, ..Occasion::new(release.clone(), self.day) };
        assess::judge(design, &self.revisions, &self.documents, occasion)
    }

    /// How the requirements of a design stand on this state's day, without release checks; `before` is
    /// another state of it, where that is judged already.
    #[must_use]
    pub fn requirements_judged(
        &self,
        before: Option<&Assessed>,
        design: &Arc<Design>,
        release: &Version,
    ) -> Assessed {
        let occasion = Occasion::new(release.clone(), self.day);
        assess::judge_requirements(before, design, &self.revisions, &occasion)
    }

    /// The line of a file, from 1, on which a span begins.
    #[must_use]
    pub fn line(&self, path: &RepoPath, span: Span) -> usize {
        let bytes = self.files.bytes(path).map_or(&[][..], |bytes| bytes);
        let before = &bytes[..span.range().start.min(bytes.len())];
        before.iter().filter(|byte| **byte == b'\n').count() + 1
    }

    /// What is wrong with the records, with the lines that it is about.
    #[must_use]
    pub fn diagnostics(&self) -> Vec<DiagnosticRow> {
        report::diagnostics(&self.linked.diagnostics, &|path| self.files.bytes(path).cloned())
    }
}

/// The state that the arguments mean.
#[must_use]
pub fn at(args: &StateArgs) -> At {
    match &args.at {
        Some(revision) => At::Revision(revision.clone()),
        None if args.staged => At::Index,
        None => At::WorkTree,
    }
}
