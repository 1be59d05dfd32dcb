//! Lines that fit a width.

use unicode_width::UnicodeWidthStr;

use super::page::{Line, Span};

/// Blanks in front of what belongs to a section.
pub(super) const INDENT: usize = 2;
/// Blanks in front of what belongs to a line above.
pub(super) const DEEPER: usize = 6;

/// Columns that the spans take on a screen.
pub(super) fn width(line: &[Span]) -> usize {
    line.iter().map(|span| span.text.width()).sum()
}

/// `line` broken between words so that nothing is wider than `columns`, unless a single word is:
/// that one stays whole, to be copied. The first line is indented by `first` blanks, the others by
/// `further`.
pub(super) fn lines(line: &[Span], columns: usize, first: usize, further: usize) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut current = indented(first);
    let mut has_words = false;
    for word in words(line) {
        if has_words && width(&current) + width(&trimmed(word.clone())) > columns {
            lines.push(trimmed(current));
            current = indented(further);
        }
        has_words = true;
        word.into_iter().for_each(|span| push(&mut current, span));
    }
    lines.push(trimmed(current));
    lines
}

/// The line without blanks at its end.
pub(super) fn trimmed(mut line: Line) -> Line {
    while let Some(last) = line.last_mut() {
        last.text.truncate(last.text.trim_end().len());
        if !last.text.is_empty() {
            break;
        }
        line.pop();
    }
    line
}

/// Blanks, where there are to be any.
fn indented(blanks: usize) -> Line {
    if blanks == 0 { Line::new() } else { vec![" ".repeat(blanks).into()] }
}

/// The words with the blanks behind them; spans without a blank between them are one word, and a
/// number stays with what it counts and with its ±.
fn words(line: &[Span]) -> Vec<Line> {
    let mut words: Vec<Line> = Vec::new();
    let pieces = line
        .iter()
        .flat_map(|span| span.text.split_inclusive(' ').map(|piece| Span::new(piece, span.tone)));
    for piece in pieces {
        match words.last_mut() {
            Some(word) if stays_with(word, &piece.text) => word.push(piece),
            _ => words.push(vec![piece]),
        }
    }
    words
}

/// Whether a line must not end between `word` and `next`.
fn stays_with(word: &[Span], next: &str) -> bool {
    let last = word.last().map_or("", |span| span.text.as_str());
    if !last.ends_with(' ') {
        return true;
    }
    let (last, next) = (last.trim_end(), next.trim_end());
    let is_number =
        last.trim_start_matches(['(', '+', '-']).starts_with(|c: char| c.is_ascii_digit())
            && last.ends_with(|c: char| c.is_ascii_digit());
    let is_counted = !next.is_empty() && !next.starts_with(|c: char| c.is_ascii_digit());
    ["±", "→"].contains(&next) || ["±", "→"].contains(&last) || (is_number && is_counted)
}

/// Adds a word, to the last span where it means the same.
fn push(line: &mut Line, word: Span) {
    match line.last_mut() {
        Some(last) if last.tone == word.tone => last.text.push_str(&word.text),
        _ => line.push(word),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wrapped(text: &str, columns: usize) -> Vec<String> {
        let lines = lines(&[text.into()], columns, 2, 4);
        lines.iter().map(|line| line.iter().map(|span| span.text.as_str()).collect()).collect()
    }

    #[test]
    fn words_go_to_the_next_line_and_long_ones_stay_whole() {
        assert_eq!(wrapped("close item led-glare", 16), ["  close item", "    led-glare"]);
        assert_eq!(
            wrapped("a-word-that-is-too-long it is", 10),
            ["  a-word-that-is-too-long", "    it is"]
        );
        assert_eq!(wrapped("", 10), [""]);
    }

    #[test]
    fn a_number_stays_with_its_unit() {
        assert_eq!(wrapped("mass 1184 g ± 9 g and", 12), ["  mass", "    1184 g ± 9 g", "    and"]);
    }
}
