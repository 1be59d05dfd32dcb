//! Where a file's diagnostics are gathered while it is read.

use std::cell::RefCell;
use std::collections::BTreeSet;

use super::vocabulary::Vocabulary;
use crate::diagnostic::Diagnostic;
use crate::record::Id;

/// Where diagnostics go while a file is read.
pub(super) struct Sink<'p> {
    text: &'p str,
    diagnostics: RefCell<Vec<Diagnostic>>,
    lost: RefCell<BTreeSet<Id>>,
    /// Set while the vocabulary is listed instead of a file being read.
    listing: Option<RefCell<Vocabulary>>,
}

impl<'p> Sink<'p> {
    pub(super) fn new(text: &'p str) -> Self {
        Self { text, diagnostics: RefCell::default(), lost: RefCell::default(), listing: None }
    }

    pub(super) fn listing() -> Self {
        Self { listing: Some(RefCell::default()), ..Self::new("") }
    }

    /// Whether the vocabulary is being listed.
    pub(super) fn lists(&self) -> bool {
        self.listing.is_some()
    }

    /// Lists a key, where that is what is being done.
    pub(super) fn list(&self, table: &str, key: &'static str, what: impl FnOnce() -> String) {
        if let Some(vocabulary) = &self.listing {
            vocabulary.borrow_mut().add(table, key, what());
        }
    }

    pub(super) fn push(&self, diagnostic: Diagnostic) {
        if !self.lists() {
            self.diagnostics.borrow_mut().push(diagnostic);
        }
    }

    /// The text of the file.
    pub(super) fn text(&self) -> &'p str {
        self.text
    }

    /// Notes that there is a record `id` which cannot be read.
    pub(super) fn lose(&self, id: &str) {
        self.lost.borrow_mut().insert(Id::new(id));
    }

    /// What is wrong, in the order in which it was found, and the records that were lost.
    pub(super) fn into_parts(self) -> (Vec<Diagnostic>, BTreeSet<Id>) {
        (self.diagnostics.into_inner(), self.lost.into_inner())
    }

    pub(super) fn into_vocabulary(self) -> Vocabulary {
        self.listing.map(RefCell::into_inner).unwrap_or_default()
    }
}
