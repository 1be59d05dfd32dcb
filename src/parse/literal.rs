//! Where in the file a piece of a string stands: escapes, line ends and long quotes make the text
//! of a string differ from what is written.

use std::ops::Range;

/// The range of `source` (a TOML string with its quotes) in which the piece `inner` of its `value`
/// stands; `None` where the source does not spell the value.
pub(super) fn locate(source: &str, value: &str, inner: &Range<usize>) -> Option<Range<usize>> {
    let (quotes, escapes) = opening(source)?;
    let body = source.get(quotes..source.len().checked_sub(quotes)?)?;
    let skipped = if quotes == 3 { leading_newline(body) } else { 0 };
    let mut walk = Walk { body, at: skipped, escapes, value, decoded: 0 };
    walk.advance_to(inner.start)?;
    walk.skip_line_end();
    let start = walk.at;
    let end = if inner.is_empty() { start } else { walk.advance_to(inner.end)? };
    Some(quotes + start..quotes + end)
}

/// How many quotes open the string, and whether a backslash escapes in it.
fn opening(source: &str) -> Option<(usize, bool)> {
    let quote = source.chars().next().filter(|quote| matches!(quote, '"' | '\''))?;
    let long = source.len() >= 6 && source.chars().take(3).all(|c| c == quote);
    Some((if long { 3 } else { 1 }, quote == '"'))
}

/// A newline right behind the long quotes is not of the string.
fn leading_newline(body: &str) -> usize {
    match body.as_bytes() {
        [b'\n', ..] => 1,
        [b'\r', b'\n', ..] => 2,
        _ => 0,
    }
}

/// Both texts, read side by side.
struct Walk<'a> {
    body: &'a str,
    at: usize,
    escapes: bool,
    value: &'a str,
    decoded: usize,
}

impl Walk<'_> {
    /// Where the character stands that begins at `wanted` of the value, or the end of the one
    /// before it.
    fn advance_to(&mut self, wanted: usize) -> Option<usize> {
        while self.decoded < wanted {
            self.skip_line_end();
            let (found, written) = self.next_character()?;
            // A line end may be written with a carriage return that the value leaves out.
            if !self.value.get(self.decoded..)?.starts_with(found) {
                let is_line_end = found == '\r' && self.body[self.at..].starts_with("\r\n");
                self.at += is_line_end.then_some(1)?;
                continue;
            }
            self.at += written;
            self.decoded += found.len_utf8();
        }
        Some(self.at)
    }

    /// Steps over a backslash at the end of a line, and the blanks and line ends that follow it.
    fn skip_line_end(&mut self) {
        while self.escapes {
            let rest = &self.body[self.at..];
            let Some(behind) = rest.strip_prefix('\\') else { return };
            let blanks = behind.len() - behind.trim_start().len();
            if !behind[..blanks].contains('\n') {
                return;
            }
            self.at += 1 + blanks;
        }
    }

    /// The next character of the value, and how many bytes it is written in.
    fn next_character(&self) -> Option<(char, usize)> {
        let rest = &self.body[self.at..];
        let first = rest.chars().next()?;
        if first != '\\' || !self.escapes {
            return Some((first, first.len_utf8()));
        }
        let letter = rest[1..].chars().next()?;
        let plain = |c| Some((c, 2));
        match letter {
            'b' => plain('\u{8}'),
            't' => plain('\t'),
            'n' => plain('\n'),
            'f' => plain('\u{c}'),
            'r' => plain('\r'),
            'e' => plain('\u{1b}'),
            '"' | '\\' => plain(letter),
            'x' => by_number(rest, 2),
            'u' => by_number(rest, 4),
            'U' => by_number(rest, 8),
            _ => None,
        }
    }
}

/// The character of `\u00b1`, which has so many digits.
fn by_number(escape: &str, digits: usize) -> Option<(char, usize)> {
    let number = u32::from_str_radix(escape.get(2..2 + digits)?, 16).ok()?;
    Some((char::from_u32(number)?, 2 + digits))
}

#[cfg(test)]
mod tests {
    use super::locate;

    #[test]
    fn a_piece_is_found_behind_escapes_line_ends_and_long_quotes() {
        for (source, value) in [
            (r#""31 kgg""#, "31 kgg"),
            (r"'31 kgg'", "31 kgg"),
            (r#""31\tkgg""#, "31\tkgg"),
            (r#""31 \u00b1 \U0000006Dkgg""#, "31 ± mkgg"),
            ("\"\"\"\n31 kgg\"\"\"", "31 kgg"),
            ("'''\r\n31 kgg'''", "31 kgg"),
            ("\"\"\"31 \\\n   kgg\"\"\"", "31 kgg"),
            ("\"\"\"31 \r\n kgg\"\"\"", "31 \n kgg"),
            ("\"\"\"31 \r\n kgg\"\"\"", "31 \r\n kgg"),
        ] {
            let start = value.find("kgg").expect("it is there");
            let found = locate(source, value, &(start..start + 3));
            assert_eq!(found.map(|range| &source[range]), Some("kgg"), "{source}");
        }
        assert_eq!(locate("\"31 g\"", "something else", &(3..5)), None);
    }
}
