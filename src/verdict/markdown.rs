//! What documents say in Markdown: links, and words that are marked as code.

use percent_encoding::percent_decode_str;
use pulldown_cmark::{Event, LinkType, Parser, Tag};

/// A link that leads to somewhere in the repository.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Link {
    /// The line that it stands in, from 1 on.
    pub(super) line: usize,
    /// Where it leads, decoded, without what follows a `#` or a `?`.
    pub(super) target: String,
}

/// The links to files in `text`: of links and images, and of their definitions, in the order of the
/// text. Links to other places and within the text are left out.
pub(super) fn links(text: &str) -> Vec<Link> {
    let parser = Parser::new(text);
    let defined = parser.reference_definitions().iter();
    let mut found: Vec<(usize, String)> = defined
        .map(|(_, definition)| (definition.span.start, definition.dest.to_string()))
        .collect();
    found.extend(parser.into_offset_iter().filter_map(|(event, span)| match event {
        Event::Start(
            Tag::Link { link_type: LinkType::Inline, dest_url, .. }
            | Tag::Image { link_type: LinkType::Inline, dest_url, .. },
        ) => Some((span.start, dest_url.to_string())),
        _ => None,
    }));
    found.sort();
    let (mut line, mut counted) = (1, 0);
    let local = |(at, target): (usize, String)| {
        // Each stretch of the text is looked at once, however many links there are.
        line += text[counted..at].matches('\n').count();
        counted = at;
        Some(Link { line, target: local(&target)? })
    };
    found.into_iter().filter_map(local).collect()
}

/// The path that a destination means, where it is one.
fn local(target: &str) -> Option<String> {
    let has_scheme = target.split_once(':').is_some_and(|(scheme, _)| {
        scheme.starts_with(|c: char| c.is_ascii_alphabetic())
            && scheme.chars().all(|c| c.is_ascii_alphanumeric() || "+.-".contains(c))
    });
    let path = target.split(['#', '?']).next().unwrap_or_default();
    let is_local = !has_scheme && !target.starts_with("//") && !path.is_empty();
    is_local.then(|| percent_decode_str(path).decode_utf8_lossy().into_owned())
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
