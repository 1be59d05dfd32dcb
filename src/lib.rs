//! tagworthy: a design-revision ledger and release-readiness checker for open hardware.

pub mod assess;
pub mod compare;
pub mod design;
pub mod diagnostic;
pub mod evaluate;
pub mod facet;
pub mod fileset;
pub mod interchange;
pub mod parse;
pub mod quantity;
pub mod record;
pub mod render;
pub mod report;
pub mod verdict;

#[cfg(test)]
mod fixture;
