//! As much of Markdown as it takes to find links, and words that are marked as code.

/// A link that leads to somewhere in the repository.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Link {
    /// The line that it stands in, from 1 on.
    pub(super) line: usize,
    /// Where it leads, decoded, without what follows a `#` or a `?`.
    pub(super) target: String,
}

/// The links to files in `text`: of links and images, and of their definitions at the beginnings of
/// lines (CommonMark 0.31, 4.7, 6.3, 6.4). Links to other places and within the text are left out.
pub(super) fn links(text: &str) -> Vec<Link> {
    let mut found = Vec::new();
    for (line, prose) in prose_lines(text) {
        let mut targets: Vec<&str> = prose
            .match_indices("](")
            .filter_map(|(at, _)| destination(&prose[at + 2..], ')'))
            .collect();
        if let Some((label, rest)) = prose.trim_start().split_once("]:")
            && label.starts_with('[')
        {
            targets.extend(destination(rest.trim_start(), '\n'));
        }
        let local = targets.into_iter().filter_map(local);
        found.extend(local.map(|target| Link { line, target }));
    }
    found
}

/// The lines of `text` with their numbers, code left out of them.
fn prose_lines(text: &str) -> impl Iterator<Item = (usize, String)> + '_ {
    let mut fence = None;
    text.lines().enumerate().filter_map(move |(index, line)| {
        let start = line.trim_start();
        let mark = ["```", "~~~"].into_iter().find(|mark| start.starts_with(mark));
        match (fence, mark) {
            (None, Some(mark)) => fence = Some(mark),
            (Some(open), Some(mark)) if open == mark => fence = None,
            (None, None) => return Some((index + 1, without_code(line))),
            _ => {}
        }
        None
    })
}

fn without_code(line: &str) -> String {
    // An odd number of backticks leaves the last one a backtick.
    let pieces: Vec<&str> = line.split('`').collect();
    let outside = pieces.iter().step_by(2).copied();
    outside.collect::<Vec<_>>().join("` `")
}

/// The destination that `text` begins with, up to a blank or `end`.
fn destination(text: &str, end: char) -> Option<&str> {
    if let Some(rest) = text.strip_prefix('<') {
        return rest.split_once('>').map(|(target, _)| target);
    }
    let mut depth = 0_usize;
    let stop = text.find(|c: char| {
        match c {
            '(' => depth += 1,
            ')' if depth > 0 => {
                depth -= 1;
                return false;
            }
            _ => {}
        }
        c.is_whitespace() || c == end
    });
    let target = &text[..stop.unwrap_or(text.len())];
    (!target.is_empty()).then_some(target)
}

/// The path that a destination means, where it is one.
fn local(target: &str) -> Option<String> {
    let has_scheme = target.split_once(':').is_some_and(|(scheme, _)| {
        scheme.starts_with(|c: char| c.is_ascii_alphabetic())
            && scheme.chars().all(|c| c.is_ascii_alphanumeric() || "+.-".contains(c))
    });
    let path = target.split(['#', '?']).next().unwrap_or_default();
    let is_local = !has_scheme && !target.starts_with("//") && !path.is_empty();
    is_local.then(|| decoded(path))
}

/// `text` with what is written as `%20` as it is meant (RFC 3986, 2.1).
fn decoded(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut plain = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while at < bytes.len() {
        let digits = bytes.get(at + 1..at + 3).and_then(|pair| std::str::from_utf8(pair).ok());
        let coded = digits.filter(|pair| pair.bytes().all(|byte| byte.is_ascii_hexdigit()));
        match coded.and_then(|pair| u8::from_str_radix(pair, 16).ok()) {
            Some(byte) if bytes[at] == b'%' => {
                plain.push(byte);
                at += 3;
            }
            _ => {
                plain.push(bytes[at]);
                at += 1;
            }
        }
    }
    String::from_utf8_lossy(&plain).into_owned()
}

/// The first line of `text` that names the part `id`. A name of several words is one wherever it
/// stands; a single word has to be marked as code, since it may mean anything.
pub(super) fn line_that_names(text: &str, id: &str) -> Option<usize> {
    let is_part_of_a_name = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_');
    let names = |text: &str| text.split(|c| !is_part_of_a_name(c)).any(|word| word == id);
    let marked = |line: &str| line.split('`').skip(1).step_by(2).any(names);
    let found = |line: &str| if id.contains('-') { names(line) } else { marked(line) };
    text.lines().position(found).map(|index| index + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &[(usize, &str)]) {
        let found = links(text).into_iter().map(|link| (link.line, link.target));
        let expected = expected.iter().map(|(line, target)| (*line, (*target).to_owned()));
        assert_eq!(found.collect::<Vec<_>>(), expected.collect::<Vec<_>>());
    }

    /// The forms of destinations are those of CommonMark 0.31, 6.3.
    #[test]
    fn links_and_images_lead_somewhere() {
        check("[a](b.md) and ![c](d/e.png \"title\")", &[(1, "b.md"), (1, "d/e.png")]);
        check("\n[a](<b c.md>) [d](e%20f.md#g)", &[(2, "b c.md"), (2, "e f.md")]);
        check("[a](b_(c).md)", &[(1, "b_(c).md")]);
        check("[a]: b.md\n[b]: <c.md> 'x'", &[(1, "b.md"), (2, "c.md")]);
    }

    #[test]
    fn what_leads_elsewhere_is_left_alone() {
        check("[a](https://lantern.example/b) [c](mailto:x@lantern.example) [d](#e) [f](//g)", &[]);
        check("`[a](b.md)`\n```\n[a](b.md)\n```\n[c](d.md)", &[(5, "d.md")]);
        check("[a]( [b](", &[]);
    }

    #[test]
    fn a_single_word_names_a_part_only_as_code() {
        assert_eq!(line_that_names("The slot.\nThe slotted-gate, here", "slotted-gate"), Some(2));
        assert_eq!(line_that_names("a slotted-gate-2", "slotted-gate"), None);
        assert_eq!(line_that_names("the lamp\nthe `lamp`", "lamp"), Some(2));
        assert_eq!(line_that_names("a lamp", "lamp"), None);
    }
}
