//! Comment lines in a message that is about to be edited.

use bstr::ByteSlice;

/// How comments are told from the message.
pub(super) struct Comments {
    /// What a comment begins with; found in the message where git chooses it by itself.
    pub mark: Option<String>,
    /// Whether only what stands below the scissors is a comment.
    pub below_scissors: bool,
}

/// What stands behind the mark on the line from which on nothing is kept (git-commit(1),
/// `--cleanup=scissors`).
const SCISSORS: &[u8] = b" ------------------------ >8 ------------------------";

/// What git says of comments that it leaves in the message (`git commit --cleanup=whitespace`), where it
/// speaks English; its settings do not tell of what was asked for on the command line.
const KEPT: &str = "will be kept; you may remove them yourself";

/// Characters that git chooses from by itself (git-config(1), `core.commentChar`), in its order.
const AUTOMATIC: &[u8] = b"#;@!$%^&|:";

/// `message` with `told` among its comments; `None` where there is nothing to tell, and where git put
/// no comments into it, since then they would be kept.
pub(super) fn with_comments(
    message: &[u8],
    told: &[String],
    comments: &Comments,
) -> Option<Vec<u8>> {
    if told.is_empty() {
        return None;
    }
    let lines: Vec<&[u8]> = message.lines_with_terminator().collect();
    if lines.iter().any(|line| line.contains_str(KEPT)) {
        return None;
    }
    let scissors = lines.iter().position(|line| ending(line).0.ends_with(SCISSORS));
    let mark = match &comments.mark {
        Some(mark) => mark.as_bytes(),
        None => chosen(&lines, scissors)?,
    };
    let at = place(&lines, scissors, mark, comments.below_scissors)?;
    let end = ending(lines.get(at).or(lines.last())?).1;
    let mut with = lines[..at].concat();
    let heading = "how the budgets move, by tagworthy:".to_owned();
    for line in [heading].iter().chain(told).map(String::as_str).chain([""]) {
        let blank = if line.is_empty() { "" } else { " " };
        with.extend_from_slice(&[mark, blank.as_bytes(), line.as_bytes(), end].concat());
    }
    with.extend_from_slice(&lines[at..].concat());
    Some(with)
}

/// The line before which comments go: on top of git's own, or below the scissors and what is said of
/// them.
fn place(
    lines: &[&[u8]],
    scissors: Option<usize>,
    mark: &[u8],
    below_scissors: bool,
) -> Option<usize> {
    let is_comment = |line: &&&[u8]| line.starts_with(mark);
    let message = &lines[..scissors.unwrap_or(lines.len())];
    let own = message.iter().rev().take_while(is_comment).count();
    if own > 0 && !below_scissors {
        return Some(message.len() - own);
    }
    let below = scissors? + 1;
    let is_said = |line: &&&[u8]| is_comment(line) && ending(line).0.len() > mark.len();
    Some(below + lines[below..].iter().take_while(is_said).count())
}

/// The mark that git chose for this message.
fn chosen<'m>(lines: &[&'m [u8]], scissors: Option<usize>) -> Option<&'m [u8]> {
    let line = scissors.map(|at| lines[at]).or_else(|| lines.last().copied())?;
    let first = line.get(..1)?;
    AUTOMATIC.contains(&first[0]).then_some(first)
}

/// A line without its end, and the end.
fn ending(line: &[u8]) -> (&[u8], &[u8]) {
    let bare = line.strip_suffix(b"\n").unwrap_or(line);
    let bare = bare.strip_suffix(b"\r").unwrap_or(bare);
    let end = &line[bare.len()..];
    (bare, if end.is_empty() { b"\n" } else { end })
}

#[cfg(test)]
mod tests {
    use super::*;

    const TOLD: &str = "# how the budgets move, by tagworthy:\n# lantern: mass +10 g\n#\n";
    const CUT: &str = "------------------------ >8 ------------------------";

    #[track_caller]
    fn check(message: &str, mark: Option<&str>, below_scissors: bool, expected: Option<&str>) {
        let comments = Comments { mark: mark.map(str::to_owned), below_scissors };
        let told = ["lantern: mass +10 g".to_owned()];
        let with = with_comments(message.as_bytes(), &told, &comments);
        let with = with.map(|bytes| String::from_utf8(bytes).expect("what was text"));
        assert_eq!(with.as_deref(), expected);
    }

    #[test]
    fn they_stand_on_top_of_gits_own() {
        let expected = format!("\n{TOLD}# Please\n# enter\n");
        let expected = expected.as_str();
        check("\n# Please\n# enter\n", Some("#"), false, Some(expected));
        check("\n# Please\n# enter\n", None, false, Some(expected));
        check(
            &"\n# Please\n# enter\n".replace('#', ";"),
            None,
            false,
            Some(&expected.replace('#', ";")),
        );
        let template = "Why:\n# say why\n\n";
        check(
            &format!("{template}# Please\n# enter\n"),
            Some("#"),
            false,
            Some(&format!("{template}{}", &expected[1..])),
        );
    }

    #[test]
    fn a_message_without_comments_of_git_is_left_alone() {
        check("Brighter lamp\n", Some("#"), false, None);
        check("", Some("#"), false, None);
        check("# a heading of Markdown\ntext\n", Some("#"), false, None);
        check("Brighter lamp\n", None, false, None);
    }

    #[test]
    fn what_stands_above_the_scissors_stays_as_it_is() {
        let message = format!("Lamp\n# kept\n\n# {CUT}\n# Do not modify.\n#\n# Changes\n");
        let expected = format!("Lamp\n# kept\n\n# {CUT}\n# Do not modify.\n{TOLD}#\n# Changes\n");
        check(&message, Some("#"), true, Some(&expected));
        check(&message, Some("#"), false, Some(&expected));
        check("Lamp\n\n# comment\n", Some("#"), true, None);
    }

    #[test]
    fn a_shown_difference_stays_below_the_scissors() {
        let message = format!("\n# Please\n# {CUT}\n# Do not modify.\ndiff --git a/a b/a\n");
        let expected = format!("\n{TOLD}# Please\n# {CUT}\n# Do not modify.\ndiff --git a/a b/a\n");
        check(&message, Some("#"), false, Some(&expected));
    }

    #[test]
    fn bytes_and_line_ends_stay() {
        let comments = Comments { mark: Some("//".into()), below_scissors: false };
        let told = ["moved".to_owned()];
        let with = with_comments(b"L\xe4mp\r\n// own\r\n", &told, &comments).expect("comments");
        assert!(with.starts_with(b"L\xe4mp\r\n// how"));
        assert!(with.ends_with(b"// moved\r\n//\r\n// own\r\n"));
    }
}
