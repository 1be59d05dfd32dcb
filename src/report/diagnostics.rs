//! What is wrong in the record files, with the lines that it is about.

use std::ops::Range;
use std::sync::Arc;

use serde::Serialize;

use crate::diagnostic::{Code, Located, Severity};
use crate::fileset::RepoPath;

/// Something wrong at a place in a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DiagnosticRow {
    /// The kind of diagnostic.
    pub code: Code,
    /// Error or warning.
    pub severity: Severity,
    /// The file, relative to the repository's root; lossy where it is not UTF-8.
    pub path: String,
    /// The line, from 1.
    pub line: usize,
    /// The column in characters, from 1.
    pub column: usize,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub hint: Option<String>,
    /// The line itself, where its file is at hand.
    #[serde(skip)]
    pub excerpt: Option<Excerpt>,
}

/// A line of a file and the part of it that a diagnostic is about.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Excerpt {
    /// The line without its ending; lossy where it is not UTF-8, cut out of a very long one.
    pub text: String,
    /// The offending bytes of `text`.
    pub marked: Range<usize>,
}

/// Characters of a very long line that are kept on each side of the offending text, and of that text.
const KEPT_CHARACTERS: usize = 1000;

/// The diagnostics with line, column and source line; `source` gives the bytes of a file.
#[must_use]
pub fn diagnostics(
    found: &[Located],
    source: &dyn Fn(&RepoPath) -> Option<Arc<[u8]>>,
) -> Vec<DiagnosticRow> {
    found.iter().map(|located| row(located, source(&located.path).as_deref())).collect()
}

fn row(located: &Located, source: Option<&[u8]>) -> DiagnosticRow {
    let diagnostic = &located.diagnostic;
    let place = source.map(|bytes| place(bytes, diagnostic.span.range()));
    let (line, column, excerpt) = match place {
        Some((line, column, excerpt)) => (line, column, Some(excerpt)),
        None => (1, 1, None),
    };
    DiagnosticRow {
        code: diagnostic.code,
        severity: diagnostic.severity,
        path: located.path.to_string(),
        line,
        column,
        message: diagnostic.message.clone(),
        hint: diagnostic.hint.clone(),
        excerpt,
    }
}

/// Line and column from 1, and the line with its marked bytes; a span over several lines is cut at
/// the end of the first.
fn place(bytes: &[u8], span: Range<usize>) -> (usize, usize, Excerpt) {
    let start = span.start.min(bytes.len());
    let line_start = bytes[..start].iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    let line_end = bytes[start..].iter().position(|byte| *byte == b'\n');
    let line_end = line_end.map_or(bytes.len(), |at| start + at);
    let end = span.end.clamp(start, line_end);
    let line = bytes[..line_start].iter().filter(|byte| **byte == b'\n').count() + 1;

    let before = String::from_utf8_lossy(&bytes[line_start..start]);
    let marked = String::from_utf8_lossy(&bytes[start..end]);
    let after = String::from_utf8_lossy(&bytes[end..line_end]);
    let column = before.chars().count() + 1;
    (line, column, excerpt(&before, &marked, after.trim_end_matches('\r')))
}

/// The line out of its three pieces, each cut to what fits a screen.
fn excerpt(before: &str, marked: &str, after: &str) -> Excerpt {
    let skipped = before.chars().count().saturating_sub(KEPT_CHARACTERS);
    let mut text = String::from(if skipped > 0 { "…" } else { "" });
    text.extend(before.chars().skip(skipped));
    let start = text.len();
    push_cut(&mut text, marked);
    let end = text.len();
    push_cut(&mut text, after);
    Excerpt { text, marked: start..end }
}

fn push_cut(text: &mut String, piece: &str) {
    let mut characters = piece.chars();
    text.extend(characters.by_ref().take(KEPT_CHARACTERS));
    if characters.next().is_some() {
        text.push('…');
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Diagnostic, Span};

    fn one(bytes: &[u8], span: Range<usize>) -> DiagnosticRow {
        let diagnostic =
            Diagnostic::error(Code("some-code"), Span::new(span.start, span.end), "no");
        let located = diagnostic.located(&RepoPath::from("a.toml"));
        let bytes: Arc<[u8]> = Arc::from(bytes);
        diagnostics(&[located], &|_| Some(Arc::clone(&bytes))).remove(0)
    }

    fn marked(row: &DiagnosticRow) -> (&str, &str) {
        let excerpt = row.excerpt.as_ref().expect("a source");
        (&excerpt.text, &excerpt.text[excerpt.marked.clone()])
    }

    #[test]
    fn lines_and_columns_count_from_one_and_in_characters() {
        let row = one("a = 1\r\nmaß = \"x\"\r\n".as_bytes(), 14..17);
        assert_eq!((row.line, row.column), (2, 7));
        assert_eq!(marked(&row), ("maß = \"x\"", "\"x\""));
    }

    #[test]
    fn any_span_in_any_bytes_has_a_place() {
        for (bytes, span, text) in [
            (&b""[..], 0..0, ""),
            (b"", 7..9, ""),
            (b"a\nb", 2..2, "b"),
            (b"a = \xff\xfe", 4..6, "a = \u{fffd}\u{fffd}"),
            (b"a = '''\n'''", 4..11, "a = '''"),
        ] {
            assert_eq!(marked(&one(bytes, span)).0, text);
        }
    }

    #[test]
    fn a_long_line_is_cut_around_the_offending_text() {
        let line = format!("{}!!!{}", "a".repeat(5000), "b".repeat(5000));
        let row = one(line.as_bytes(), 5000..5003);
        let (text, marked) = marked(&row);
        assert_eq!((row.column, marked), (5001, "!!!"));
        assert_eq!(text, format!("…{}!!!{}…", "a".repeat(1000), "b".repeat(1000)));
    }
}
