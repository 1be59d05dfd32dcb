//! What is wrong with a file as TOML: one diagnostic for all that follows from one slip.

use std::collections::BTreeSet;

use toml::de::Error;

use super::{DUPLICATE, NOT_TOML};
use crate::diagnostic::{Diagnostic, Span};

/// What the TOML reader complained about.
pub(super) struct Complaints<'t> {
    text: &'t str,
    slips: Vec<(Span, String)>,
    duplicates: Vec<Span>,
}

impl<'t> Complaints<'t> {
    pub(super) fn of(text: &'t str, errors: Vec<Error>) -> Self {
        let mut complaints = Self { text, slips: Vec::new(), duplicates: Vec::new() };
        for error in errors {
            let span = error.span().map_or(Span::default(), |span| Span::new(span.start, span.end));
            if error.message() == "duplicate key" {
                complaints.duplicates.push(span);
            } else {
                complaints.slips.push((span, error.message().trim_end_matches('.').to_owned()));
            }
        }
        complaints.slips.sort_by_key(|(span, _)| *span);
        complaints.duplicates.sort();
        complaints
    }

    /// Whether records may be missing: the file is no TOML from some place on.
    pub(super) fn is_incomplete(&self) -> bool {
        !self.slips.is_empty()
    }

    /// Takes `found` into one list with the complaints. The reader goes on behind a slip, and what
    /// it makes of the same line is no news: only the first slip of a file is reported.
    pub(super) fn with(&self, mut found: Vec<Diagnostic>) -> Vec<Diagnostic> {
        if self.is_incomplete() {
            let lines: BTreeSet<usize> =
                self.slips.iter().map(|(span, _)| self.line_start(span.start as usize)).collect();
            found.retain(|diagnostic| {
                let range = diagnostic.span.range();
                let first = self.line_start(range.start);
                lines.range(first..=range.end.max(first)).next().is_none()
            });
        }
        found.extend(self.slips.first().map(|slip| self.not_toml(slip)));
        found.extend(self.duplicates());
        found.sort_by_key(|diagnostic| diagnostic.span);
        found
    }

    fn line_start(&self, at: usize) -> usize {
        let before = &self.text.as_bytes()[..at.min(self.text.len())];
        before.iter().rposition(|byte| *byte == b'\n').map_or(0, |newline| newline + 1)
    }

    fn not_toml(&self, (span, message): &(Span, String)) -> Diagnostic {
        let line = self.text.get(self.line_start(span.start as usize)..).unwrap_or_default();
        let marker = ["<<<<<<<", "=======", ">>>>>>>"].iter().any(|mark| line.starts_with(mark));
        if marker {
            let message = "a marker of an unfinished merge stands here";
            let hint = "settle the merge in this file and delete its markers";
            return Diagnostic::error(NOT_TOML, *span, message).with_hint(hint);
        }
        if message.contains("recurs") {
            let message = "tables and lists are nested too deeply to be read";
            return Diagnostic::error(NOT_TOML, *span, message);
        }
        Diagnostic::error(NOT_TOML, *span, format!("this is not TOML: {message}"))
    }

    /// One diagnostic for each key that stands twice. Of a table that stands twice only its header
    /// is reported, not every key in it.
    fn duplicates(&self) -> Vec<Diagnostic> {
        let mut reported_to = 0;
        let mut found = Vec::new();
        for span in &self.duplicates {
            let range = span.range();
            if range.start < reported_to {
                continue;
            }
            let line = self.text.get(self.line_start(range.start)..).unwrap_or_default();
            if line.trim_start().starts_with('[') {
                let rest = self.text.get(range.end..).unwrap_or_default();
                reported_to = rest.find("\n[").map_or(self.text.len(), |next| range.end + next);
            }
            let key = self.text.get(range).unwrap_or_default();
            let message = format!("`{key}` stands here a second time");
            let hint = "give it another name, or take one of the two out";
            found.push(Diagnostic::error(DUPLICATE, *span, message).with_hint(hint));
        }
        found
    }
}
