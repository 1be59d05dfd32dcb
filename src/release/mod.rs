//! Two releases of a design, or a change of it: which version step is due, and what an existing builder
//! does; what a release's tag says of it for programs; and what the history says to a state that is to
//! be released.

mod asked;
mod look_back;
mod prepared;
mod proposal;
mod record;
mod upgrade;

pub use asked::{Asked, PartDue, WhyDue, asked};
pub use look_back::{Lapse, LookBack, Origin, Since, Tagged, look_back, origin};
pub use prepared::is_prepared;
pub use proposal::{Proposal, Reason, Step, Unfit, propose};
pub use record::{
    BudgetRecord, Difference, EndRecord, Record, RecordError, VariantRecord, differences, record_of,
};
pub use upgrade::{Again, Get, Kept, Setting, Upgrade, Why, upgrade};
