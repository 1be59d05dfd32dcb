//! The hooks from end to end, with the installed git in scratch repositories.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

#[path = "../common/mod.rs"]
mod common;

mod after;
mod commits;
mod evidence;
mod faults;
mod guards;
mod installing;
mod merges;
mod messages;
mod places;
mod pushes;
mod recalled;
mod receives;
mod refusals;
mod removals;
mod removing;
mod rewrites;
mod tags;
mod warm;
mod workshop;
