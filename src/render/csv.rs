//! A table for a spreadsheet (RFC 4180): one line a row, the names of the columns first.
//!
//! A text that a spreadsheet would take for a formula gets an apostrophe in front, which spreadsheets
//! do not show.

use std::borrow::Cow;

use super::untrusted::visible;

/// A cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    /// Untrusted words.
    Text(String),
    /// Digits that the program wrote itself, a minus sign in front where it is negative.
    Number(String),
}

impl Cell {
    /// The words, or nothing.
    pub(super) fn text(text: Option<&str>) -> Self {
        Self::Text(text.unwrap_or_default().to_owned())
    }
}

/// What ends a line.
pub(super) const LINE_END: &str = "\r\n";

/// The rows below the names of their columns, which may be untrusted words.
#[must_use]
pub fn csv(columns: &[&str], rows: &[Vec<Cell>]) -> String {
    let names: Vec<Cell> = columns.iter().map(|name| Cell::text(Some(name))).collect();
    let lines = std::iter::once(&names).chain(rows);
    lines.map(|cells| line(cells) + LINE_END).collect()
}

/// The cells of one line, without its end.
pub(super) fn line(cells: &[Cell]) -> String {
    let mut line = String::new();
    for (place, cell) in cells.iter().enumerate() {
        if place > 0 {
            line.push(',');
        }
        match cell {
            Cell::Number(digits) => line += digits,
            Cell::Text(text) => line += &harmless(text),
        }
    }
    line
}

/// The text as a cell that hides nothing and is no formula.
fn harmless(text: &str) -> Cow<'_, str> {
    if is_plain(text) {
        return Cow::Borrowed(text);
    }
    let text = visible(text);
    let may_act = text.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']);
    Cow::Owned(quoted(&if may_act { format!("'{text}") } else { text }))
}

/// Whether a text is a cell as it is, which most are: what begins with a letter or a digit and goes on
/// with such.
fn is_plain(text: &str) -> bool {
    let is_word = |byte: u8| byte.is_ascii_alphanumeric();
    let is_inner = |byte: u8| is_word(byte) || matches!(byte, b' ' | b'-' | b'.' | b'_');
    let (bytes, last) = (text.as_bytes(), text.bytes().next_back());
    bytes.first().is_none_or(|first| is_word(*first))
        && last.is_none_or(is_word)
        && bytes.iter().all(|byte| is_inner(*byte))
}

/// The text in quotation marks, where it holds anything that ends a cell.
fn quoted(text: &str) -> String {
    if text.contains([',', '"', ';']) || text != text.trim() {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn text(text: &str) -> String {
        line(&[Cell::Text(text.to_owned())])
    }

    /// RFC 4180, 2: fields with commas or quotes are quoted, quotes doubled, lines end in CRLF.
    #[test]
    fn cells_are_quoted_where_they_must_be() {
        let rows = vec![vec![Cell::text(Some("a \"b\", c")), Cell::Number("-1.5".to_owned())]];
        assert_eq!(
            csv(&["what", "how much"], &rows),
            "what,how much\r\n\"a \"\"b\"\", c\",-1.5\r\n"
        );
        assert_eq!(text("two\nlines"), "two lines");
    }

    #[test]
    fn no_text_is_a_formula() {
        for formula in ["=1+1", "+1", "-1", "@sum(a1)", "  =1", "\t=1", "\r=1"] {
            let shown = text(formula);
            assert!(shown.trim_start_matches('"').starts_with('\''), "{shown}");
        }
        assert_eq!(text("M3x8 = 14"), "M3x8 = 14");
    }

    proptest! {
        #[test]
        fn every_text_is_one_cell_of_one_line(held in "\\PC{0,30}|(.|\\n){0,30}") {
            let shown = text(&held);
            let inner = shown.strip_prefix('"').and_then(|rest| rest.strip_suffix('"'));
            match inner {
                Some(inner) => prop_assert!(!inner.replace("\"\"", "").contains('"')),
                None => prop_assert!(!shown.contains([',', '"', '\n', '\r'])),
            }
        }

        #[test]
        fn what_is_plain_is_what_would_be_written(held in "[a-z0-9 ,.;#=+@:\"-]{0,9}") {
            if is_plain(&held) {
                prop_assert_eq!(quoted(&visible(&held)), held);
            }
        }
    }
}
