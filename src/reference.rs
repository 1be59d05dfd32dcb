//! The reference.
/// Records.
pub fn records() -> &'static str { "" }
/// Commands.
pub fn commands() -> &'static str { "" }
