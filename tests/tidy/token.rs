//! Words and marks of Rust source, with their lines: no comments, no text of literals.

/// A word or a mark; a literal in quotes is one mark, whatever it says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token {
    /// The line it stands on, from 1.
    pub line: usize,
    /// What it says.
    pub text: String,
}

impl Token {
    /// Whether it is a name or a keyword.
    pub fn is_word(&self) -> bool {
        self.text.starts_with(|first: char| first.is_alphabetic() || first == '_')
    }
}

/// What stands in for a literal in quotes.
const LITERAL: &str = "\"\"";

/// The words and marks of `source`, in order.
pub fn tokens(source: &str) -> Vec<Token> {
    let mut tokens = Vec::new();
    let (mut rest, mut line) = (source, 1);
    while let Some(first) = rest.chars().next() {
        let (length, text) = next(rest, first);
        if let Some(text) = text {
            tokens.push(Token { line, text: text.to_owned() });
        }
        line += rest[..length].matches('\n').count();
        rest = &rest[length..];
    }
    tokens
}

/// The length of what `rest` begins with, and how it reads; `None` for blanks and comments.
fn next(rest: &str, first: char) -> (usize, Option<&str>) {
    if rest.starts_with("//") {
        return (rest.find('\n').unwrap_or(rest.len()), None);
    }
    if rest.starts_with("/*") {
        return (block_comment(rest), None);
    }
    if let Some(length) = literal(rest) {
        return (length, Some(LITERAL));
    }
    let in_word = |letter: char| letter.is_alphanumeric() || letter == '_';
    let word = rest.find(|letter| !in_word(letter)).unwrap_or(rest.len());
    match first {
        _ if word > 0 => (word, Some(&rest[..word])),
        _ if first.is_whitespace() => (first.len_utf8(), None),
        _ if rest.starts_with("::") => (2, Some("::")),
        _ => (first.len_utf8(), Some(&rest[..first.len_utf8()])),
    }
}

/// The length of the comment, which may hold others.
fn block_comment(rest: &str) -> usize {
    let (mut depth, mut at) = (0, 0);
    while at < rest.len() {
        let step = match &rest.as_bytes()[at..] {
            [b'/', b'*', ..] => (1, 2),
            [b'*', b'/', ..] => (-1, 2),
            _ => (0, 1),
        };
        depth += step.0;
        at += step.1;
        if depth == 0 {
            break;
        }
    }
    at
}

/// The length of the literal in quotes that `rest` begins with, its prefix included.
fn literal(rest: &str) -> Option<usize> {
    let prefix = ["br", "cr", "b", "c", "r"].into_iter().find(|prefix| rest.starts_with(prefix));
    let prefix = prefix.unwrap_or_default();
    let body = &rest[prefix.len()..];
    let length = if prefix.ends_with('r') {
        raw_string(body)?
    } else if body.starts_with('"') {
        quoted(body, '"')?
    } else {
        character(body)?
    };
    Some(prefix.len() + length)
}

fn raw_string(body: &str) -> Option<usize> {
    let fences = body.find(|mark| mark != '#')?;
    let inside = body[fences..].strip_prefix('"')?;
    let end = format!("\"{}", &body[..fences]);
    let length = inside.find(&end).map_or(inside.len(), |at| at + end.len());
    Some(fences + 1 + length)
}

/// A character in quotes; a lifetime is none.
fn character(body: &str) -> Option<usize> {
    let mut inside = body.strip_prefix('\'')?.chars();
    let first = inside.next()?;
    if first == '\\' || inside.next() == Some('\'') { quoted(body, '\'') } else { None }
}

/// The length of what stands between two `quote`s, both included.
fn quoted(body: &str, quote: char) -> Option<usize> {
    let mut escaped = false;
    for (at, letter) in body.char_indices().skip(1) {
        if letter == quote && !escaped {
            return Some(at + 1);
        }
        escaped = letter == '\\' && !escaped;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(source: &str, expected: &[&str]) {
        let read: Vec<String> = tokens(source).into_iter().map(|token| token.text).collect();
        assert_eq!(read, expected);
    }

    #[test]
    fn comments_and_blanks_are_nothing() {
        check("a // b\n/* c /* d */ e */ f /// g", &["a", "f"]);
        check("\u{a0}é_1", &["é_1"]);
    }

    #[test]
    fn a_literal_is_one_mark_whatever_it_says() {
        check(
            r#"f("a // \" b", 'c', '\'', '"')"#,
            &["f", "(", LITERAL, ",", LITERAL, ",", LITERAL, ",", LITERAL, ")"],
        );
        check(r###"r#"a "b" c"# b"d" br"\" c"e""###, &[LITERAL; 4]);
        check("\"a\\\\\" b", &[LITERAL, "b"]);
    }

    #[test]
    fn a_lifetime_is_no_literal() {
        check("<'a, 'b>", &["<", "'", "a", ",", "'", "b", ">"]);
    }

    #[test]
    fn a_name_may_begin_like_a_prefix() {
        check("r#type broom crate::b", &["r", "#", "type", "broom", "crate", "::", "b"]);
    }

    #[test]
    fn lines_are_counted_through_literals_and_comments() {
        let lines: Vec<usize> =
            tokens("a \"\n\n\" b /*\n*/ c").iter().map(|token| token.line).collect();
        assert_eq!(lines, [1, 1, 3, 4]);
    }

    #[test]
    fn what_is_never_closed_ends_the_scan_without_a_panic() {
        for open in ["/* a", "\"a", "r#\"a", "'", "'\\", "b'"] {
            tokens(open);
        }
    }
}
