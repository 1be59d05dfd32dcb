//! A page for a terminal, styled; whoever prints it takes the styles out where they are not wanted.

use std::fmt::Write;

use owo_colors::{OwoColorize, Style};

use super::page::{Body, Line, Page, Section, Span, Tone};
use super::untrusted::{clean, one_line, whole_line};
use super::wrap::{DEEPER, INDENT};
use super::{diagnostic, grid, wrap};

/// The narrowest screen that is laid out for.
const LEAST_WIDTH: usize = 40;

/// The page on a screen of `width` columns. Colours are in it as escape sequences; without them it
/// says the same.
#[must_use]
pub fn text(page: &Page, width: usize) -> String {
    let width = width.max(LEAST_WIDTH);
    let mut shown = String::new();
    push_lines(&mut shown, &wrap::lines(&clean(&page.headline), width, 0, INDENT));
    for section in &page.sections {
        // An untitled list goes on where the headline ends.
        if !section.title.is_empty() || !matches!(section.body, Body::List(_)) {
            shown.push('\n');
        }
        if !section.title.is_empty() {
            push_lines(&mut shown, &[vec![Span::new(section.title, Tone::Strong)]]);
        }
        push_body(&mut shown, section, width);
    }
    shown
}

fn push_body(shown: &mut String, section: &Section, width: usize) {
    match &section.body {
        Body::Table(table) => push_lines(shown, &grid::lines(table, width)),
        Body::List(lines) => {
            for line in lines {
                push_lines(shown, &wrap::lines(&clean(line), width, INDENT, DEEPER));
            }
        }
        Body::Snippet(lines) => {
            let indented = |line: &String| vec![format!("{:INDENT$}{}", "", one_line(line)).into()];
            push_lines(shown, &lines.iter().map(indented).collect::<Vec<Line>>());
        }
        Body::Diagnostics { rows, more } => {
            // Styled and made harmless already.
            shown.push_str(&diagnostic::styled(rows, width));
            shown.push('\n');
            if let Some(more) = diagnostic::and_more(*more) {
                push_lines(shown, &[Line::new(), vec![more.into()]]);
            }
        }
    }
}

fn push_lines(shown: &mut String, lines: &[Line]) {
    for line in lines {
        // Only its first characters can make a line a command.
        let mut is_lead = true;
        for span in line {
            let text = if is_lead { whole_line(&span.text) } else { span.text.clone() };
            is_lead = is_lead && text.trim().is_empty();
            push_span(shown, &text, span.tone);
        }
        shown.push('\n');
    }
}

fn push_span(shown: &mut String, text: &str, tone: Tone) {
    let style = match tone {
        Tone::Plain => {
            shown.push_str(text);
            return;
        }
        Tone::Strong => Style::new().bold(),
        Tone::Good => Style::new().green(),
        Tone::Doubtful => Style::new().yellow(),
        Tone::Bad => Style::new().red().bold(),
        Tone::Faint => Style::new().dimmed(),
    };
    write!(shown, "{}", text.style(style)).expect("a String takes everything");
}
