//! Report → text, one file a format. Nothing is computed here, and nothing is printed.
//!
//! [`layout`] puts a report on a [`page`]: a headline, then sections in the order in which they are
//! read. [`text`] and [`markdown`] write any page; [`json`] and [`ndjson`] write the report itself,
//! [`csv`] the rows of those that are lists, and [`okh`] the one that is a manifest. Every text may come
//! from the repository and is untrusted: a format makes each span harmless as it writes it.

pub mod csv;
pub mod json;
pub mod layout;
pub mod markdown;
pub mod message;
pub mod ndjson;
pub mod okh;
pub mod page;
pub mod text;
pub mod untrusted;

mod diagnostic;
mod grid;
#[cfg(test)]
mod list_tests;
#[cfg(test)]
mod release_tests;
#[cfg(test)]
mod tests;
mod wrap;
