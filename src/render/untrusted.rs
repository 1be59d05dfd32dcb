//! Text from a repository: titles, paths, names, messages. Whoever wrote it may mean harm.

use super::page::{Line, Span};

/// Characters of one text that are shown; what is longer is cut.
const MOST_CHARACTERS: usize = 400;

/// `text` on one line, with nothing in it that acts on a terminal, turns the reading direction,
/// hides, or is taken for a command by the log of a build server.
///
/// Such characters are shown as `\u{1b}`; line ends and tabs become a blank.
#[must_use]
pub fn one_line(text: &str) -> String {
    match text.char_indices().nth(MOST_CHARACTERS) {
        Some((end, _)) => visible(&text[..end]) + "…",
        None => visible(text),
    }
}

/// The same for a text of any length.
#[must_use]
pub fn visible(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    text.chars().for_each(|character| push_visible(&mut shown, character));
    // Build servers take these for commands wherever they stand in a line (from memory).
    shown.replace("##[", "## [").replace("##vso[", "## vso[")
}

/// The same for a line that is whole: leading `::`, a command to some build servers, is broken.
#[must_use]
pub fn whole_line(line: &str) -> String {
    let lead = line.len() - line.trim_start().len();
    match line[lead..].strip_prefix("::") {
        Some(rest) => format!("{}: :{rest}", &line[..lead]),
        None => line.to_owned(),
    }
}

/// The spans with nothing in them that acts on a terminal.
pub(super) fn clean(line: &[Span]) -> Line {
    line.iter().map(|span| Span::new(one_line(&span.text), span.tone)).collect()
}

/// Whether a character acts instead of being seen: controls, and those that set the direction of
/// writing, join, or have no width of their own (Unicode's Cc, Cf and fillers).
#[must_use]
pub fn is_hidden(character: char) -> bool {
    character.is_control()
        || matches!(character,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
            | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{feff}' | '\u{ffa0}'
            | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e0fff}')
}

fn push_visible(shown: &mut String, character: char) {
    match character {
        '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => shown.push(' '),
        character if is_hidden(character) => shown.extend(character.escape_unicode()),
        character => shown.push(character),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_acts_on_a_terminal_is_seen_instead() {
        assert_eq!(one_line("\u{1b}[31mred\u{1b}[0m"), r"\u{1b}[31mred\u{1b}[0m");
        assert_eq!(one_line("a\u{9b}2Jb\u{7}"), r"a\u{9b}2Jb\u{7}");
        assert_eq!(one_line("gpj.\u{202e}exe"), r"gpj.\u{202e}exe");
        assert_eq!(one_line("ad\u{200b}min"), r"ad\u{200b}min");
        assert_eq!(one_line("Gate\r\nReady\tnow"), "Gate  Ready now");
        assert_eq!(one_line("Größe 5 µm ± 1 % 光"), "Größe 5 µm ± 1 % 光");
    }

    #[test]
    fn commands_to_build_servers_are_broken() {
        assert_eq!(whole_line("  ::error::no"), "  : :error::no");
        assert_eq!(whole_line("std::fmt"), "std::fmt");
        assert_eq!(one_line("x ##[error]no ##vso[task]"), "x ## [error]no ## vso[task]");
    }

    #[test]
    fn a_long_text_is_cut() {
        assert_eq!(one_line(&"a".repeat(1000)).chars().count(), MOST_CHARACTERS + 1);
    }

    proptest! {
        #[test]
        fn no_text_keeps_a_hidden_character(text in "\\PC*|(.|\\n)*") {
            prop_assert!(!one_line(&text).chars().any(is_hidden));
        }
    }
}
