//! What stands on a screen or in a review, before it has a format.

use crate::report::DiagnosticRow;
use crate::verdict::Verdict;

/// A report, laid out.
#[derive(Clone, Debug, Default)]
pub struct Page {
    /// What the reader came for, in one line.
    pub headline: Line,
    /// All else, in reading order.
    pub sections: Vec<Section>,
}

/// A titled block.
#[derive(Clone, Debug)]
pub struct Section {
    /// Its title; none where the headline is title enough.
    pub title: &'static str,
    /// What is in it.
    pub body: Body,
}

/// What a section holds.
#[derive(Clone, Debug)]
pub enum Body {
    /// Rows with the same columns.
    Table(Table),
    /// One thing a line.
    List(Vec<Line>),
    /// Lines to copy as they are.
    Snippet(Vec<String>),
    /// Places in record files, and how many there are besides.
    Diagnostics {
        /// Those that are shown.
        rows: Vec<DiagnosticRow>,
        /// How many are not.
        more: usize,
    },
}

/// Rows with the same columns.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// Names of the columns; a screen shows them only where `named` says so.
    pub columns: Vec<&'static str>,
    /// Whether the columns need their names to be understood.
    pub named: bool,
    /// The rows.
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Clone, Debug, Default)]
pub struct Row {
    /// One a column, the most important first: where a screen is narrow the last ones move below.
    pub cells: Vec<Span>,
    /// What is said besides, most important first.
    pub remarks: Vec<String>,
}

/// Spans that follow each other, blanks included.
pub type Line = Vec<Span>;

/// A piece of text with what it means.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Span {
    /// Untrusted, as everything that a repository may have written.
    pub text: String,
    /// What it means.
    pub tone: Tone,
}

/// What a span means; a colour where there are colours, never more than its words say.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tone {
    /// Nothing special.
    #[default]
    Plain,
    /// Stands out.
    Strong,
    /// All is well.
    Good,
    /// Worth a look.
    Doubtful,
    /// In the way.
    Bad,
    /// Of less weight.
    Faint,
}

impl Page {
    /// Adds a table, unless it has no rows.
    pub(super) fn table(&mut self, title: &'static str, table: Table) {
        if !table.rows.is_empty() {
            self.sections.push(Section { title, body: Body::Table(table) });
        }
    }

    /// Adds the first `most` diagnostics, unless there are none.
    pub(super) fn diagnostics(&mut self, rows: &[DiagnosticRow], most: usize) {
        if !rows.is_empty() {
            let more = rows.len().saturating_sub(most);
            let body = Body::Diagnostics { rows: rows.iter().take(most).cloned().collect(), more };
            self.sections.push(Section { title: "", body });
        }
    }

    /// Adds a list, unless it is empty.
    pub(super) fn list(&mut self, title: &'static str, lines: Vec<Line>) {
        if !lines.is_empty() {
            self.sections.push(Section { title, body: Body::List(lines) });
        }
    }
}

impl Span {
    /// Text of the given meaning.
    pub(super) fn new(text: impl Into<String>, tone: Tone) -> Self {
        Self { text: text.into(), tone }
    }
}

impl From<String> for Span {
    fn from(text: String) -> Self {
        Self::new(text, Tone::Plain)
    }
}

impl From<&str> for Span {
    fn from(text: &str) -> Self {
        Self::new(text, Tone::Plain)
    }
}

impl From<Verdict> for Span {
    fn from(verdict: Verdict) -> Self {
        let tone = match verdict {
            Verdict::Pass => Tone::Good,
            Verdict::Thin | Verdict::Edge | Verdict::Waived => Tone::Doubtful,
            Verdict::Fail | Verdict::Unproven | Verdict::Stale => Tone::Bad,
            Verdict::Later => Tone::Faint,
        };
        Self::new(verdict.word(), tone)
    }
}
