//! Arguments → app → exit code.

fn main() {}
