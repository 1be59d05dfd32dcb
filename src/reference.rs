//! The reference that the program carries: every table and key of records, every command and option.

#[cfg(test)]
mod tests;
mod units;

pub use units::units;

/// Every table and key of manifest and record files, in Markdown: what each holds, its default,
/// what it does. The examples in it are one design.
#[must_use]
pub fn records() -> &'static str {
    include_str!("reference/records.md")
}

/// Every command and option, in Markdown, with an example each.
#[must_use]
pub fn commands() -> &'static str {
    include_str!("reference/commands.md")
}
