//! Two releases of a design: which version step is due, and what an existing builder does; and what a
//! release's tag says of it for programs.

mod proposal;
mod record;
mod upgrade;

pub use proposal::{Proposal, Reason, Step, Unfit, propose};
pub use record::{Difference, Record, RecordError, VariantRecord, differences, record_of};
pub use upgrade::{Again, Get, Kept, Setting, Upgrade, Why, upgrade};
