//! What is read, what is refused and how that is said.

#![allow(clippy::unwrap_used, reason = "a test that can't go on has failed")]

mod corpus;
mod kept;
mod laws;
mod reading;
mod slips;

use super::{Parsed, Role, file};

/// Reads `text` as a record file.
fn records(text: &str) -> Parsed {
    file(text.as_bytes(), Role::Records)
}
