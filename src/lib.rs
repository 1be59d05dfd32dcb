//! tagworthy: a design-revision ledger and release-readiness checker for open hardware.

pub mod cli;
pub mod reference;
pub mod example;
pub mod assess;
pub mod evaluate;
pub mod interchange;
pub mod facet;
pub mod design;
pub mod parse;
pub mod record;
pub mod quantity;
pub mod diagnostic;
pub mod git;
pub mod fileset;

#[cfg(test)]
mod fixture;
