//! The git hooks: which state each judges, what it refuses, and how the shims are put in place.

mod events;
pub mod install;
pub mod pre_commit;
