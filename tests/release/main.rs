//! Releases, their tags and what verifies them, from end to end in scratch repositories of the
//! installed git.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

#[path = "../common/mod.rs"]
mod common;

mod lantern;
mod past;
mod tagging;
mod verifying;
mod workshop;
