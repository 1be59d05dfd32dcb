//! Putting text into a text: every byte around it stays as it is.

use std::ops::Range;

/// Bytes that are replaced; an empty range where text is only added.
#[derive(Clone, Debug)]
pub(super) struct Splice {
    pub(super) at: Range<usize>,
    pub(super) text: String,
}

/// `text` with `splices`, which do not overlap.
pub(super) fn apply(text: &str, mut splices: Vec<Splice>) -> String {
    splices.sort_by_key(|splice| splice.at.start);
    let mut result = String::with_capacity(text.len() + 256);
    let mut done = 0;
    for splice in splices {
        result += &text[done..splice.at.start];
        result += &splice.text;
        done = splice.at.end;
    }
    result + &text[done..]
}

/// Adds `lines`, each ending in `\n`, at `at`, where a line begins or the text ends. Line ends
/// become those of the text, and a text without a last line end stays one.
pub(super) fn lines_at(text: &str, at: usize, lines: &str) -> Splice {
    whole_lines(text, at, lines.to_owned())
}

/// The same, with blank lines around where there are none yet.
pub(super) fn block_at(text: &str, at: usize, lines: &str) -> Splice {
    let (before, after) = (text[..at].trim_start_matches(BOM), &text[at..]);
    let last = before.strip_suffix('\n').unwrap_or(before).rsplit('\n').next();
    let next = after.split('\n').next();
    let is_blank = |line: Option<&str>| line.is_none_or(|line| line.trim().is_empty());
    let above = if is_blank(last) { "" } else { "\n" };
    let below = if is_blank(next) { "" } else { "\n" };
    whole_lines(text, at, format!("{above}{lines}{below}"))
}

/// The mark that some editors put in front of a text.
const BOM: char = '\u{feff}';

fn whole_lines(text: &str, at: usize, mut lines: String) -> Splice {
    let is_open = !text[..at].trim_start_matches(BOM).is_empty() && !text[..at].ends_with('\n');
    if is_open {
        lines.insert(0, '\n');
        lines.pop();
    }
    if has_crlf(text) {
        lines = lines.replace('\n', "\r\n");
    }
    Splice { at: at..at, text: lines }
}

/// Whether the first line of `text` ends as on Windows.
fn has_crlf(text: &str) -> bool {
    text.find('\n').is_some_and(|newline| text[..newline].ends_with('\r'))
}
