//! Tests of the whole room: what goes in as text comes out as exact numbers, and as text again.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod laws;
mod reading;
mod showing;
mod units;

use super::TextError;

/// An error as one line: the offending text, what is wrong, what would be right.
pub(super) fn explain<T: std::fmt::Debug>(text: &str, result: Result<T, TextError>) -> String {
    let error = result.expect_err(text);
    let offending = text.get(error.span.clone()).expect("the span lies within the text");
    let hint = error.hint.map(|hint| format!(" ({hint})")).unwrap_or_default();
    format!("[{offending}] {}{hint}", error.message)
}
