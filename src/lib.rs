//! tagworthy: a design-revision ledger and release-readiness checker for open hardware.

pub mod cli;
pub mod app;
pub mod hook;
pub mod outside;
pub mod reference;
pub mod example;
pub mod render;
pub mod report;
pub mod release;
pub mod history;
pub mod compare;
pub mod assess;
pub mod verdict;
pub mod evidence;
pub mod evaluate;
pub mod interchange;
pub mod facet;
pub mod design;
pub mod facts;
pub mod edit;
pub mod parse;
pub mod record;
pub mod quantity;
pub mod git;
pub mod store;
pub mod diagnostic;
pub mod pointer;
pub mod fileset;
pub mod late;
pub mod threads;

#[cfg(test)]
mod fixture;
