//! What is wrong with a file as TOML: one diagnostic for all that follows from one slip.

use std::collections::BTreeSet;

use toml::de::Error;

use super::{DUPLICATE, MISSING_KEY, NOT_TOML};
use crate::diagnostic::{Diagnostic, Span};

/// What the TOML reader says of frequent slips, and what a designer is told.
const SAID: [(&str, &str); 8] = [
    ("recurs", "tables and lists are nested too deeply to be read"),
    ("invalid basic string", "the quote at the end of a text is missing"),
    ("invalid literal string", "the quote at the end of a text is missing"),
    ("string values must be quoted", "a text must stand in quotes"),
    ("key with no value", "`=` and a value are missing behind this"),
    ("unclosed table", "`]` is missing behind the name of this table"),
    ("unclosed array", "`]` is missing at the end of a list"),
    ("unclosed inline table", "`}` is missing at the end of a table"),
];

/// What the TOML reader complained about.
pub(super) struct Complaints<'t> {
    text: &'t str,
    line_starts: Vec<usize>,
    slips: Vec<(Span, String)>,
    duplicates: Vec<Span>,
    /// Whether nothing of the file could be read.
    is_unread: bool,
}

impl<'t> Complaints<'t> {
    pub(super) fn of(text: &'t str, errors: Vec<Error>) -> Self {
        let mut complaints = Self {
            text,
            // Most files are right, and nobody asks for their lines.
            line_starts: if errors.is_empty() { Vec::new() } else { line_starts(text) },
            slips: Vec::new(),
            duplicates: Vec::new(),
            is_unread: false,
        };
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

    /// The same of a file of which nothing was read.
    pub(super) fn of_unread_file(self) -> Self {
        Self { is_unread: true, ..self }
    }

    /// Whether records may be missing: the file is no TOML from some place on.
    pub(super) fn is_incomplete(&self) -> bool {
        self.is_unread || !self.slips.is_empty()
    }

    /// Takes `found` into one list with the complaints. The reader goes on behind a slip, and what
    /// it makes of the same line is no news: only the first slip of a file is reported.
    pub(super) fn with(&self, mut found: Vec<Diagnostic>) -> Vec<Diagnostic> {
        found.extend(self.duplicates());
        if self.is_incomplete() {
            let lines: BTreeSet<usize> =
                self.slips.iter().map(|(span, _)| self.line_start(span.start as usize)).collect();
            found.retain(|diagnostic| {
                // What is missing may stand in what could not be read.
                if diagnostic.code == MISSING_KEY {
                    return false;
                }
                let range = diagnostic.span.range();
                let first = self.line_start(range.start);
                lines.range(first..=range.end.max(first)).next().is_none()
            });
        }
        found.extend(self.slips.first().map(|slip| self.not_toml(slip)));
        found.sort_by_key(|diagnostic| diagnostic.span);
        found
    }

    fn line_start(&self, at: usize) -> usize {
        let line = self.line_starts.partition_point(|start| *start <= at);
        self.line_starts[line.saturating_sub(1)]
    }

    fn not_toml(&self, (span, message): &(Span, String)) -> Diagnostic {
        let line = self.line_start(span.start as usize);
        let rest = self.text.get(line..).unwrap_or_default();
        if ["<<<<<<<", "=======", ">>>>>>>"].iter().any(|marker| rest.starts_with(marker)) {
            let message = "a marker of an unfinished merge stands here";
            let hint = "settle the merge in this file and delete its markers";
            return Diagnostic::error(NOT_TOML, *span, message).with_hint(hint);
        }
        // Where something is missing, the line before that place is shown.
        let blanks = rest.len() - rest.trim_start_matches([' ', '\t']).len();
        let start = if span.start == span.end { line + blanks } else { span.start as usize };
        let span = Span::new(start.min(span.start as usize), span.end as usize);
        let known = SAID.iter().find(|(theirs, _)| message.contains(theirs));
        let message = known
            .map_or_else(|| format!("this is not TOML: {message}"), |(_, said)| (*said).to_owned());
        Diagnostic::error(NOT_TOML, span, message)
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

/// Where the lines of the text begin; there is at least one.
fn line_starts(text: &str) -> Vec<usize> {
    let behind_newlines = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
    std::iter::once(0).chain(behind_newlines.map(|(at, _)| at + 1)).collect()
}
