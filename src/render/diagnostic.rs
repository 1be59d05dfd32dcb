//! Diagnostics with their source lines and carets.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};

use super::untrusted::{one_line, visible};
use crate::diagnostic::Severity;
use crate::report::{DiagnosticRow, Excerpt};

/// Every diagnostic with file, line, column, source line, caret and remedy, styled.
pub(super) fn styled(rows: &[DiagnosticRow], width: usize) -> String {
    let renderer = Renderer::styled().decor_style(DecorStyle::Ascii).term_width(width);
    let shown: Vec<String> = rows.iter().map(|row| one(row, &renderer)).collect();
    shown.join("\n\n")
}

/// How many diagnostics are not shown, in words.
pub(super) fn and_more(more: usize) -> Option<String> {
    (more > 0).then(|| format!("and {more} more; mend these first"))
}

fn one(row: &DiagnosticRow, renderer: &Renderer) -> String {
    let level = match row.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let path = one_line(&row.path);
    let excerpt = row.excerpt.as_ref().map(harmless).unwrap_or_default();
    let snippet = Snippet::source(excerpt.text)
        .line_start(row.line)
        .path(path)
        .annotation(AnnotationKind::Primary.span(excerpt.marked));
    let title = level.primary_title(one_line(&row.message)).id(row.code.0).element(snippet);
    let group = match &row.hint {
        Some(hint) => title.element(Level::HELP.message(one_line(hint))),
        None => title,
    };
    renderer.render(&[group])
}

/// The line with nothing in it that acts, its mark moved along.
fn harmless(excerpt: &Excerpt) -> Excerpt {
    let Excerpt { text, marked } = excerpt;
    let mut shown = visible(&text[..marked.start]);
    let start = shown.len();
    shown.push_str(&visible(&text[marked.clone()]));
    let end = shown.len();
    shown.push_str(&visible(&text[marked.end..]));
    Excerpt { text: shown, marked: start..end }
}
