//! tagworthy: a design-revision ledger and release-readiness checker for open hardware.

pub mod assess;
pub mod evaluate;
pub mod facet;
pub mod design;
pub mod edit;
pub mod parse;
pub mod record;
pub mod quantity;
pub mod diagnostic;
pub mod git;
pub mod fileset;
pub mod example;

#[cfg(test)]
mod fixture;
