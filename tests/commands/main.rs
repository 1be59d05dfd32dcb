//! The commands that write records, and those that write lists, from end to end in scratch repositories of the installed git.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

#[path = "../common/mod.rs"]
mod common;

mod bench;
mod impact;
mod lists;
mod manifest;
mod measure;
mod plan;
