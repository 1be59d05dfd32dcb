//! The key of exchange geometry by ISO 10303-21 (STEP): of everything but its header section, which
//! holds a time stamp and the names of file and program.

use sha2::{Digest, Sha256};

use super::geometry::GeometryKey;
use super::{Refusal, refuse};

const FIRST: &[u8] = b"ISO-10303-21;";

/// The key of the file; line endings are alike.
pub(super) fn geometry_key(bytes: &[u8]) -> Result<GeometryKey, Refusal> {
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut tokens = Tokens { text, at: 0 };
    if tokens.next() != Some(Token::Other) || !text[..tokens.at].trim_ascii().ends_with(FIRST) {
        return refuse("it does not begin as a STEP file: `ISO-10303-21;`");
    }
    let Some((start, end)) = header(&mut tokens) else {
        return refuse("its header section does not end");
    };
    let rest = &text[end..];
    if (Tokens { text: rest, at: 0 }).all(|token| token != Token::Data) {
        return refuse("it has no data section");
    }
    let mut digest = Sha256::new_with_prefix(b"iso 10303-21 without header, 1\n");
    update_with_lines(&mut digest, &text[..start]);
    update_with_lines(&mut digest, rest);
    Ok(GeometryKey::from_digest(digest))
}

/// From where to where the header section reaches.
fn header(tokens: &mut Tokens<'_>) -> Option<(usize, usize)> {
    let start = tokens.at;
    if tokens.next()? != Token::Header {
        return None;
    }
    tokens.find(|token| *token == Token::EndOfSection)?;
    Some((start, tokens.at))
}

/// Feeds `text` with `\n` for every `\r\n` and every `\r`.
fn update_with_lines(digest: &mut Sha256, text: &[u8]) {
    let mut lines = text.split(|&byte| byte == b'\r').enumerate();
    lines.by_ref().for_each(|(at, line)| {
        let begins_anew = at > 0;
        if begins_anew {
            digest.update(b"\n");
        }
        digest.update(line.strip_prefix(b"\n").filter(|_| begins_anew).unwrap_or(line));
    });
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Token {
    Header,
    Data,
    EndOfSection,
    Other,
}

/// The statements of a file, each up to its `;`. What stands in a comment or a string ends none.
struct Tokens<'a> {
    text: &'a [u8],
    at: usize,
}

impl Iterator for Tokens<'_> {
    type Item = Token;

    fn next(&mut self) -> Option<Token> {
        let mut word = Vec::new();
        loop {
            let rest = self.text.get(self.at..)?;
            self.at += match rest {
                [] => return None,
                [b'/', b'*', ..] => length_until(&rest[2..], b"*/")? + 2,
                [b'\'', ..] => length_until(&rest[1..], b"'")? + 1,
                [b';', ..] => {
                    self.at += 1;
                    return Some(Token::of(&word));
                }
                [byte, ..] => {
                    if word.len() < 8 && !byte.is_ascii_whitespace() {
                        word.push(*byte);
                    }
                    1
                }
            };
        }
    }
}

impl Token {
    /// The statement that begins with `word`, cut to eight letters.
    fn of(word: &[u8]) -> Self {
        match word {
            b"HEADER" => Self::Header,
            b"ENDSEC" => Self::EndOfSection,
            b"DATA" => Self::Data,
            _ if word.starts_with(b"DATA(") => Self::Data,
            _ => Self::Other,
        }
    }
}

/// The length of `text` up to and with the next `end`.
fn length_until(text: &[u8], end: &[u8]) -> Option<usize> {
    bstr::ByteSlice::find(text, end).map(|at| at + end.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEADER: &str =
        "HEADER;\nFILE_NAME('gate','2026-03-01T10:00:00',(''),(''),'','','');\nENDSEC;\n";
    const DATA: &str = "DATA;\n#1=CARTESIAN_POINT('',(0.,0.,0.));\nENDSEC;\nEND-ISO-10303-21;\n";

    fn key(header: &str, data: &str) -> Result<GeometryKey, Refusal> {
        geometry_key(format!("ISO-10303-21;\n{header}{data}").as_bytes())
    }

    #[test]
    fn only_the_header_makes_no_difference() {
        let first = key(HEADER, DATA).expect("it is readable");
        assert_eq!(key(&HEADER.replace("10:00", "11:30"), DATA), Ok(first));
        assert_eq!(key(&HEADER.replace('\n', "\r\n"), &DATA.replace('\n', "\r\n")), Ok(first));
        assert_eq!(key(HEADER, &DATA.replace('\n', "\r")), Ok(first));
        assert_ne!(key(HEADER, &DATA.replace("0.,0.,0.", "0.,0.,1.")), Ok(first));
        assert_ne!(key(HEADER, &DATA.replace(";\n#", ";\n\n#")), Ok(first));
    }

    #[test]
    fn strings_and_comments_end_no_section() {
        let first = key(HEADER, DATA);
        let odd =
            "HEADER; /* ENDSEC; DATA; it's */ FILE_NAME('ENDSEC; isn''t /* here',''); ENDSEC;\n";
        assert_eq!(key(odd, DATA), first);
    }

    #[test]
    fn what_is_no_whole_step_file_is_refused() {
        let why = |text: &str| geometry_key(text.as_bytes()).expect_err("it is refused").0;
        for text in ["", "solid gate", "ISO-10303-21", "'ISO-10303-21;"] {
            assert_eq!(why(text), "it does not begin as a STEP file: `ISO-10303-21;`");
        }
        for text in ["ISO-10303-21; DATA;", "ISO-10303-21; HEADER; FILE_NAME('ENDSEC;"] {
            assert_eq!(why(text), "its header section does not end");
        }
        assert_eq!(why("ISO-10303-21; HEADER; ENDSEC; /* DATA; */"), "it has no data section");
    }
}
