//! What is read, what is refused and how that is said.

mod corpus;
mod laws;
mod reading;
mod slips;

use super::{Parsed, Role, file};
use crate::diagnostic::Diagnostic;

/// Reads `text` as a record file.
fn records(text: &str) -> Parsed {
    file(text.as_bytes(), Role::Records)
}

/// `LINE «offending text» CODE: MESSAGE (HINT)`
fn told(text: &str, diagnostic: &Diagnostic) -> String {
    let range = diagnostic.span.range();
    let line = text[..range.start].matches('\n').count() + 1;
    let offending = text[range].escape_debug();
    let Diagnostic { code, message, .. } = diagnostic;
    let hint = diagnostic.hint.as_ref().map(|hint| format!(" ({hint})")).unwrap_or_default();
    format!("{line} «{offending}» {code}: {message}{hint}")
}
