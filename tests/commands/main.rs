//! The commands that write records, from end to end in scratch repositories of the installed git.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

#[path = "../common/mod.rs"]
mod common;

mod bench;
mod impact;
mod measure;
mod plan;
