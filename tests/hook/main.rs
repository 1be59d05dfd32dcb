//! The pre-commit hook from end to end, with the installed git in scratch repositories.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

#[path = "../common/mod.rs"]
mod common;

mod commits;
mod evidence;
mod installing;
mod places;
mod workshop;
