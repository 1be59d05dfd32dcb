//! tagworthy: a design-revision ledger and release-readiness checker for open hardware.

pub mod diagnostic;
pub mod example;
pub mod fileset;
