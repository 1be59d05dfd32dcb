//! Lines that fit a width.

use unicode_width::UnicodeWidthStr;

use super::page::{Line, Span};

/// Columns that the spans take on a screen.
pub(super) fn width(line: &[Span]) -> usize {
    line.iter().map(|span| span.text.width()).sum()
}

/// `line` broken between words so that nothing is wider than `width`, unless a single word is: that
/// one stays whole, to be copied. The first line is indented by `first` blanks, the others by
/// `further`.
pub(super) fn lines(line: &[Span], width: usize, first: usize, further: usize) -> Vec<Line> {
    let mut lines = Vec::new();
    let (mut current, mut used) = (indented(first), first);
    let mut has_words = false;
    for word in words(line) {
        let length = word.text.trim_end().width();
        if has_words && used + length > width {
            lines.push(trimmed(current));
            (current, used) = (indented(further), further);
        }
        has_words = true;
        used += word.text.width();
        push(&mut current, word);
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

/// The words with the blanks behind them. A number stays with its unit and its ±.
fn words(line: &[Span]) -> impl Iterator<Item = Span> {
    line.iter().flat_map(|span| {
        let mut words: Vec<String> = Vec::new();
        for piece in span.text.split_inclusive(' ') {
            match words.last_mut() {
                Some(last) if stays_with(last, piece) => last.push_str(piece),
                _ => words.push(piece.to_owned()),
            }
        }
        words.into_iter().map(|word| Span::new(word, span.tone))
    })
}

/// Whether `next` must not begin a line when `before` ends one: units behind numbers, and ±.
fn stays_with(before: &str, next: &str) -> bool {
    let number = |text: &str| text.starts_with(|c: char| c.is_ascii_digit());
    let last = before.trim_end().rsplit(' ').next().unwrap_or_default();
    let is_unit =
        !next.trim_end().is_empty() && next.trim_end().chars().count() <= 3 && !number(next);
    next.starts_with('±')
        || last == "±"
        || (number(last) && is_unit && !last.ends_with([',', ';', ':']))
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
