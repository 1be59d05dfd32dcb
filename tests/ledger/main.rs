//! The ledger from outside: real histories in, rows out, held against states that are checked out one
//! by one.

#![allow(clippy::unwrap_used, reason = "a test that can't go on has failed")]

#[path = "../common/mod.rs"]
mod common;

mod ahead;
mod certain;
mod followed;
mod histories;
mod lantern;
mod memo;
mod rows;
mod workshop;
