//! The commands that write records: arguments become a record, the record goes into a file.

mod arguments;
#[cfg(test)]
mod tests;

pub use arguments::{Measured, closing, decision, item, measured, waiver};
