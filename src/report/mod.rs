//! What is told: typed, serialisable results in the order in which they are read.
//!
//! Pure functions make them from assessed designs; `render` turns them into text. A value is always
//! there twice, as a number and as it is shown. Text from the repository (titles, paths, messages)
//! is kept as it is: every renderer makes it harmless for its own format.

mod aside;
mod asked;
mod assembly;
mod bom;
mod budgets;
mod cautions;
mod check;
mod checklist;
mod computed;
mod diagnostics;
mod evidence;
mod findings;
mod hooks;
mod impact;
mod in_the_way;
mod items;
mod judged_on;
mod lapsed;
mod ledger;
mod moves;
mod nearness;
mod next;
mod note;
mod okh;
mod place;
mod reached;
mod proposal;
mod refusal;
mod release;
mod remarks;
mod requirements;
#[cfg(test)]
pub(crate) mod samples;
mod shortcomings;
mod shown;
mod upgrade;
mod variants;
mod verify;
mod why;
mod written;

pub use asked::{AskedRow, PartDueRow};
pub use assembly::{
    AmountRow, AssemblyReport, ReconciledRow, StepRow, ToolRow, VariantFindings, assembly,
};
pub use bom::{BomReport, BomRow, LineRow, ParcelRow, Structure, UnofferedRow, bom};
pub use budgets::{BudgetRow, ContributionRow, MissingRow, Promise};
pub use cautions::{Caution, Cautions, LOCAL_CODES_FIRST};
pub use check::{CheckReport, check};
pub use checklist::{Checklist, HeldUp, OptionalRow, checklist, checklist_of_release};
pub use computed::{ComputedRow, LoadRow, UncertaintyRow};
pub use diagnostics::{DiagnosticRow, Excerpt, diagnostics};
pub use evidence::{ChangedRow, EvidenceRow};
pub use findings::FindingRow;
pub use hooks::{HookRow, HooksReport, Standing};
pub use impact::{GroundRow, ImpactReport, LoosenedRow, PartRow, Source, VerdictRow, impact};
pub use in_the_way::{Carried, PartInTheWay};
pub use items::{ClosedItemRow, ItemList, ItemRow, WorkLeft, items};
pub use lapsed::why_not_waived;
pub use ledger::{
    BudgetMove, ChangedPartRow, DecidedRow, FollowedReport, LapseRow, LedgerReport, LedgerRow,
    LedgerSheetRow, LedgerSpan, LookBackReport, MomentRow, OriginRow, RevisionRow, SheetFigure,
    TitledRow, WITH_OPTIONS, followed, ledger_row, ledger_sheet_row, look_back, origin,
};
pub use moves::{Between, Move, ShareRow};
pub use nearness::NearnessRow;
pub use next::{NextStep, Step};
pub use note::{Note, note};
pub use okh::{OKHV, OkhPart, OpenKnowHow, OuterDimensions, open_know_how};
pub use place::{Lines, Place};
pub use proposal::{ProposalReport, ReasonRow, proposal};
pub use reached::{ResultTurnRow, TouchedRow, VariantTurnRow};
pub use refusal::{
    Broken, MOST_DIAGNOSTICS, MOST_OVERRUNS, Moment, Overrun, Received, Refusal, Removal, misnamed,
    not_ready, overtaken, refusal, removed, unreadable,
};
pub use release::{DecisionRow, Extent, Notes, ReleaseReport, Since, TurnedRow, release};
pub use requirements::{LimitRow, RequirementRow, WaiverRow};
pub use shortcomings::ShortcomingRow;
pub use shown::{Shown, count, less};
pub use upgrade::{
    BreakRow, GetRow, KeptRow, PurchaseRow, RedoRow, SetRow, TestRow, UpgradeReport, upgrade,
};
pub use variants::VariantRow;
pub use verify::{Looked, VerifyReport, verify};
pub use why::{
    Branch, FoundAt, InputRow, PartWhy, ResultRow, Stated, TrialsRow, Unknown, Why, why,
};
pub use written::Written;
