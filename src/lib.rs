//! tagworthy: a design-revision ledger and release-readiness checker for open hardware.

pub mod assess;
pub mod design;
pub mod diagnostic;
pub mod evaluate;
pub mod example;
pub mod facet;
pub mod facts;
pub mod fileset;
pub mod git;
pub mod parse;
pub mod pointer;
pub mod quantity;
pub mod record;
pub mod store;

#[cfg(test)]
mod fixture;
