//! A report as JSON, a line a row, for programs that take in many.

use serde::Serialize;

use super::json;

/// Each of `rows`, which are called `name`, as an object on a line of its own.
#[must_use]
pub fn ndjson<R: Serialize>(name: &str, rows: &[R]) -> String {
    rows.iter().map(|row| line(name, row)).collect()
}

/// One of them.
#[must_use]
pub fn line(name: &str, row: &impl Serialize) -> String {
    json::line(name, row)
}
