//! What is told: typed, serialisable results in the order in which they are read.
//!
//! Pure functions make them from assessed designs; `render` turns them into text. A value is always
//! there twice, as a number and as it is shown. Text from the repository (titles, paths, messages)
//! is kept as it is: every renderer makes it harmless for its own format.

mod budgets;
mod cautions;
mod check;
mod checklist;
mod computed;
mod diagnostics;
mod evidence;
mod findings;
mod impact;
mod in_the_way;
mod items;
mod judged_on;
mod ledger;
mod moves;
mod next;
mod place;
mod refusal;
mod remarks;
mod requirements;
#[cfg(test)]
pub(crate) mod samples;
mod shown;
mod variants;
mod why;
mod written;

pub use budgets::{BudgetRow, ContributionRow, MissingRow, Promise};
pub use cautions::{Caution, Cautions, LOCAL_CODES_FIRST};
pub use check::{CheckReport, check};
pub use checklist::{Checklist, HeldUp, OptionalRow, checklist};
pub use computed::{ComputedRow, LoadRow, UncertaintyRow};
pub use diagnostics::{DiagnosticRow, Excerpt, diagnostics};
pub use evidence::{ChangedRow, EvidenceRow};
pub use findings::FindingRow;
pub use impact::{ImpactReport, LoosenedRow, PartRow, VerdictRow, impact};
pub use in_the_way::{Carried, PartInTheWay};
pub use items::{ClosedItemRow, ItemList, ItemRow, items};
pub use ledger::{
    BudgetMove, DecisionRow, FollowedReport, LapseRow, LedgerReport, LedgerRow, LookBackReport,
    MomentRow, OriginRow, RevisionRow, TitledRow, TouchedRow, TurnRow, followed, ledger, look_back,
    origin,
};
pub use moves::{Between, Move, ShareRow};
pub use next::{NextStep, Step};
pub use place::Place;
pub use refusal::{Note, Overrun, Refusal, note, refusal, unreadable};
pub use requirements::{LimitRow, RequirementRow, WaiverRow};
pub use shown::{Shown, count};
pub use variants::VariantRow;
pub use why::{
    Branch, FoundAt, InputRow, PartWhy, ResultRow, Stated, TrialsRow, Unknown, Why, why,
};
pub use written::Written;
