//! What is linked, what is refused and how that is said.

mod laws;
mod slips;
