//! The door to git against git itself, on real repositories.
//!
//! What is tested reads the environment, so each question is asked in a process of its own (this
//! test program again) that sees no more of the machine than git does.

#![allow(clippy::unwrap_used, reason = "a test that can't go on has failed")]

#[path = "../common/mod.rs"]
mod common;

mod ask;
mod create;
mod history;
mod index;
mod meshes;
mod lineage;
mod normalise;
mod places;
mod revision;
mod settings;
mod tag;
mod tree;
mod worktree;
