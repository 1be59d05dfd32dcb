//! Which versions of parts go together, and where a part is used.
//!
//! Version ranges are those of the `semver` crate: `1.2` is `^1.2`, and a pre-release satisfies a
//! range only where the range itself names a pre-release of the same three numbers. `^1.2` does not
//! take `1.3.0-rc.1`; `>=1.3.0-rc.1, <2` does.

mod misfit;
mod succession;
mod where_used;

pub use misfit::{Misfit, misfits};
pub use succession::{Break, Reason, breaks};
pub use where_used::{Climb, WhereUsed};
