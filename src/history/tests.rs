//! Rows and what follows from them.
