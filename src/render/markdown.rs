//! A page to paste into a review.
//!
//! Whatever is not plainly words is shown as code, where no markup, mention, link, reference or HTML
//! comes to life.

use super::page::{Body, Line, Page, Row, Section, Span, Table, Tone};
use super::untrusted::{one_line, whole_line};
use crate::diagnostic::Severity;
use crate::report::DiagnosticRow;

/// The page as Markdown with tables.
#[must_use]
pub fn markdown(page: &Page) -> String {
    let mut shown = format!("## {}\n", inline_line(&page.headline));
    for section in &page.sections {
        shown.push('\n');
        if !section.title.is_empty() {
            shown.push_str(&format!("### {}\n\n", section.title));
        }
        push_body(&mut shown, section);
    }
    shown
}

fn push_body(shown: &mut String, section: &Section) {
    match &section.body {
        Body::Table(table) => push_table(shown, table),
        Body::List(lines) => {
            for line in lines {
                shown.push_str(&format!("- {}\n", inline_line(line)));
            }
        }
        Body::Snippet(lines) => push_code(shown, lines.iter().map(String::as_str)),
        Body::Diagnostics { rows, more } => {
            for row in rows {
                shown.push_str(&format!("- {}\n", diagnostic(row)));
            }
            if let Some(more) = super::diagnostic::and_more(*more) {
                shown.push_str(&format!("- {more}\n"));
            }
        }
    }
}

fn push_table(shown: &mut String, table: &Table) {
    let remarked = table.rows.iter().any(|row| !row.remarks.is_empty());
    let mut columns = table.columns.clone();
    if remarked {
        columns.push("remarks");
    }
    shown.push_str(&format!("| {} |\n", columns.join(" | ")));
    shown.push_str(&format!("|{}\n", " --- |".repeat(columns.len())));
    for row in &table.rows {
        shown.push_str(&format!("| {} |\n", cells(row, table.columns.len(), remarked).join(" | ")));
    }
}

fn cells(row: &Row, columns: usize, remarked: bool) -> Vec<String> {
    // A bar ends a cell even within code, and not all readers agree on how to escape it there.
    let cell = |text: String| text.replace('|', "¦");
    let empty = Span::default();
    let spans = (0..columns).map(|at| row.cells.get(at).unwrap_or(&empty));
    let mut cells: Vec<String> = spans.map(|span| cell(inline(span))).collect();
    if remarked {
        let remarks: Vec<String> = row.remarks.iter().map(|remark| words(remark)).collect();
        cells.push(cell(remarks.join("; ")));
    }
    cells
}

fn push_code<'a>(shown: &mut String, lines: impl Iterator<Item = &'a str> + Clone) {
    let lines: Vec<String> = lines.map(|line| whole_line(&one_line(line))).collect();
    let fence =
        "`".repeat(lines.iter().map(|line| longest_ticks(line)).max().unwrap_or(0).max(2) + 1);
    shown.push_str(&format!("{fence}\n{}\n{fence}\n", lines.join("\n")));
}

fn diagnostic(row: &DiagnosticRow) -> String {
    let severity = match row.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    };
    let place = code(&one_line(&format!("{}:{}:{}", row.path, row.line, row.column)));
    let hint = row.hint.as_ref().map(|hint| format!(" ({})", words(hint))).unwrap_or_default();
    format!("{place}: {severity} {}: {}{hint}", code(row.code.0), words(&row.message))
}

fn inline_line(line: &Line) -> String {
    let mut shown = String::new();
    for piece in line.iter().map(inline) {
        // Two pieces of code that touch would be read as one with other ends.
        if shown.ends_with('`') && piece.starts_with('`') {
            shown.push(' ');
        }
        shown.push_str(&piece);
    }
    shown
}

fn inline(span: &Span) -> String {
    let shown = words(&span.text);
    match span.tone {
        Tone::Bad if !shown.is_empty() && !shown.starts_with('`') => {
            format!("**{}**", shown.trim())
        }
        _ => shown,
    }
}

/// The text with every word that is not plainly one as code; blanks around it are kept.
fn words(text: &str) -> String {
    let text = one_line(text);
    let mut shown = String::with_capacity(text.len());
    let mut suspect: Vec<&str> = Vec::new();
    for (index, word) in text.split(' ').enumerate() {
        let plain = is_plain(word) && !(index == 0 && begins_list(word));
        if plain {
            push_suspect(&mut shown, &mut suspect);
            shown.push_str(word);
            shown.push(' ');
        } else {
            suspect.push(word);
        }
    }
    push_suspect(&mut shown, &mut suspect);
    shown.pop();
    shown
}

/// Adds the words that have gathered, as one piece of code. A word that is marked as code already
/// keeps that meaning.
fn push_suspect(shown: &mut String, suspect: &mut Vec<&str>) {
    if suspect.is_empty() {
        return;
    }
    let text = suspect.join(" ");
    let behind = text.trim_end_matches([',', '.', ';', ':', '?', ')']);
    let (text, behind) = if behind.is_empty() { (&*text, "") } else { text.split_at(behind.len()) };
    let marked = text.strip_prefix('`').and_then(|rest| rest.strip_suffix('`'));
    let inner = marked.filter(|inner| !inner.is_empty() && !inner.contains('`'));
    shown.push_str(&code(inner.unwrap_or(text)));
    shown.push_str(behind);
    shown.push(' ');
    suspect.clear();
}

/// Whether nothing in `word` can be markup, a mention, a link or a reference in any forge.
fn is_plain(word: &str) -> bool {
    let harmless = |c: char| c.is_alphanumeric() || ",.;:?()±°%→/+-…·²³^'\"=−".contains(c);
    let lower = word.to_ascii_lowercase();
    word.chars().all(harmless)
        && !lower.contains("://")
        && !lower.contains("www.")
        && !lower.contains("gh-")
        && !word.split(|c: char| !c.is_ascii_alphanumeric()).any(is_reference)
}

/// Whether a line that begins with `word` would be an item of a list, or an underline.
fn begins_list(word: &str) -> bool {
    let digits = word.trim_start_matches(|c: char| c.is_ascii_digit());
    let numbered = digits.len() < word.len() && matches!(digits, "." | ")");
    numbered || (!word.is_empty() && word.chars().all(|c| matches!(c, '+' | '-' | '=')))
}

/// Whether a forge may take a word for an object id and link it.
fn is_reference(word: &str) -> bool {
    word.len() >= 7
        && word.bytes().all(|byte| byte.is_ascii_hexdigit())
        && word.bytes().any(|byte| byte.is_ascii_digit())
}

/// `text` as code, fenced by more backticks than it holds in a row.
fn code(text: &str) -> String {
    let fence = "`".repeat(longest_ticks(text) + 1);
    let blank = if text.starts_with('`') || text.ends_with('`') { " " } else { "" };
    format!("{fence}{blank}{text}{blank}{fence}")
}

fn longest_ticks(text: &str) -> usize {
    text.split(|c| c != '`').map(str::len).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn words_stay_and_all_else_is_code() {
        assert_eq!(
            words("Light enough for a bag: 1184 g ± 9 g"),
            "Light enough for a bag: 1184 g ± 9 g"
        );
        assert_eq!(words("by @mention, see"), "by `@mention`, see");
        assert_eq!(words("[x](https://e.example) now"), "`[x](https://e.example`) now");
        assert_eq!(words("<b>bold</b> *a b*"), "`<b>bold</b> *a b*`");
        assert_eq!(words("www.e.example or #12 or GH-12"), "`www.e.example` or `#12` or `GH-12`");
        assert_eq!(words("1. item"), "`1`. item");
        assert_eq!(words("- item"), "`-` item");
        assert_eq!(words("there is no part `scrw`"), "there is no part `scrw`");
        assert_eq!(words("a `` b"), "a ``` `` ``` b");
        assert_eq!(words("at 3f2c9ab: ready"), "at `3f2c9ab`: ready");
    }

    #[test]
    fn two_pieces_of_code_do_not_touch() {
        assert_eq!(
            inline_line(&vec!["``a``".into(), "@b".into(), ": said".into()]),
            "``` ``a`` ``` `@b`: said"
        );
    }

    /// What stands outside of code in `text`, as CommonMark 6.1 delimits it: a run of backticks, up to
    /// the next run of the same length.
    fn outside_code(text: &str) -> String {
        let Some(start) = text.find('`') else { return text.to_owned() };
        let run = text[start..].len() - text[start..].trim_start_matches('`').len();
        let mut end = start + run;
        while let Some(next) = text[end..].find('`').map(|at| end + at) {
            let closing = text[next..].len() - text[next..].trim_start_matches('`').len();
            end = next + closing;
            if closing == run {
                return format!("{} {}", &text[..start], outside_code(&text[end..]));
            }
        }
        text.to_owned()
    }

    proptest! {
        #[test]
        fn nothing_that_could_be_markup_stands_outside_of_code(
            text in "([`\\\\\\[\\]()<>@#*_!|:/ a-f0-9w.-]|\\PC){0,40}"
        ) {
            let outside = outside_code(&words(&text));
            prop_assert!(!outside.contains(['`', '[', ']', '<', '>', '@', '#', '*', '_', '!', '\\', '|']), "{outside}");
            prop_assert!(!outside.contains("://") && !outside.contains("www."), "{outside}");
        }
    }
}
