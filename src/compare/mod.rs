//! Two assessed designs → what moved, in which facet, what it reaches.

mod budgets;
mod cause;
mod computed;
mod figure;
mod ground;
mod impact;
mod loosened;
mod options;
mod reach;
mod results;
mod sides;
mod state;
mod terms;
#[cfg(test)]
mod tests;
mod touched;
mod unit;
mod way;

use semver::Version;
use serde::{Deserialize, Serialize};

use crate::evaluate::Total;
use crate::facet::Facet;
use crate::facts::Nearness;
use crate::quantity::Unit;
use crate::record::{Id, Priority};
use crate::verdict::{Finding, Verdict};

pub use figure::figure;
pub use impact::{impact, moves};
pub use loosened::all as loosened;
pub use options::{shares_with_options, with_options};
pub use reach::{Reach, Reached};
pub use unit::unit_of_figure;

/// What a change does.
#[derive(Clone, Debug, Default)]
pub struct Impact {
    /// Parts that came, went or changed, in the order of ids.
    pub parts: Vec<PartChange>,
    /// What parts stand on and none of them says, where it is another.
    pub ground: Vec<GroundChange>,
    /// Every budget that is judged or stands at the top, before and after.
    pub budgets: Vec<BudgetChange>,
    /// Requirements whose verdict changed, came or went.
    pub verdicts: Vec<VerdictChange>,
    /// Limits, margins, methods, priorities and due dates that were loosened.
    pub loosened: Vec<Loosened>,
    /// Findings that were not there before.
    pub new_findings: Vec<Finding>,
    /// Findings that are gone.
    pub gone_findings: Vec<Finding>,
    /// Results that came, went, were overtaken, hold again or were set aside, in the order of ids.
    pub results: Vec<ResultChange>,
    /// Open items, decisions in force and steps that it touches.
    pub touched: Vec<Touched>,
    /// What it does to each variant of the later state, in the order of ids. Parts, verdicts and
    /// findings that are as in the design itself are not told again.
    pub variants: Vec<(Id, Impact)>,
    /// Variants that were not there before.
    pub new_variants: Vec<Id>,
    /// Variants that are gone.
    pub gone_variants: Vec<Id>,
}

impl Impact {
    /// Whether nothing that is compared is another.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        self.parts.is_empty()
            && self.budgets.iter().all(|budget| budget.before == budget.after)
            && self.verdicts.is_empty()
            && self.loosened.is_empty()
            && self.new_findings.is_empty()
            && self.gone_findings.is_empty()
            && self.results.is_empty()
            && self.touched.is_empty()
            && self.new_variants.is_empty()
            && self.gone_variants.is_empty()
            && self.variants.iter().all(|(_, variant)| variant.is_nothing())
    }
}

/// How a part changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum How {
    Added,
    Removed,
    Changed,
}

/// Something that parts stand on came, went or changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GroundChange {
    /// What it is.
    pub kind: GroundKind,
    /// Its name.
    pub id: Id,
    /// Whether it came, went or changed.
    pub how: How,
}

/// What parts stand on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum GroundKind {
    Rail,
    Node,
    Constant,
    Supplier,
    Rate,
    Rule,
}

impl GroundKind {
    /// The word that is shown.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Rail => "rail",
            Self::Node => "node",
            Self::Constant => "constant",
            Self::Supplier => "supplier",
            Self::Rate => "exchange rate",
            Self::Rule => "rule",
        }
    }
}

impl How {
    /// The word that is shown.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Added => "added",
            Self::Removed => "removed",
            Self::Changed => "changed",
        }
    }
}

/// One part's change and what it reaches.
#[derive(Clone, Debug)]
pub struct PartChange {
    /// The part.
    pub part: Id,
    /// Whether it came, went or changed.
    pub how: How,
    /// In which facets; for a part that came or went, all in which it is not empty.
    pub facets: Vec<Facet>,
    /// Of its mesh, where its geometry changed.
    pub mesh: Option<MeshChange>,
    /// Its version before and after.
    pub version: (Option<Version>, Option<Version>),
    /// The assemblies that hold it, each as the path down to it: `scanner → gate-unit → film-gate`.
    pub reaches: Vec<Vec<Id>>,
    /// Requirements of the part or of an assembly that holds it.
    pub requirements: Vec<Id>,
}

/// What can be said of a mesh that changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MeshChange {
    /// How near it is to the former one.
    Near(Nearness),
    /// The content of one of the two is not at hand.
    Untold,
}

/// A budget before and after.
#[derive(Clone, Debug)]
pub struct BudgetChange {
    /// The part whose budget it is.
    pub part: Id,
    /// The quantity.
    pub quantity: Id,
    /// Number of builds.
    pub builds: u64,
    /// The unit it is shown in.
    pub unit: Unit,
    /// Before; `None` where it was not there or empty.
    pub before: Option<Total>,
    /// After.
    pub after: Option<Total>,
    /// Each part's share of the difference of predicted values in base units, largest size first;
    /// zero shares left out, and all of a budget that did not move.
    pub shares: Vec<(Id, f64)>,
}

/// Why a verdict changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// A physical facet, an offer or a rate changed: the thing itself is another.
    Design,
    /// Only what is known of it changed: a better figure, new evidence.
    Knowledge,
    /// The requirement, the release or a rule of the manifest is another.
    Requirement,
}

/// A requirement whose verdict is another.
#[derive(Clone, Debug)]
pub struct VerdictChange {
    /// The requirement.
    pub requirement: Id,
    /// Whether it can hold up a release, as it is now.
    pub priority: Priority,
    /// Before; `None` where it is new.
    pub before: Option<Verdict>,
    /// After; `None` where it is gone.
    pub after: Option<Verdict>,
    /// What turned it.
    pub cause: Cause,
    /// The parts that turned it with their shares of the difference in base units, largest first.
    pub shares: Vec<(Id, f64)>,
}

impl VerdictChange {
    /// A must-have that is due, fails and did not fail before, for whatever [`Cause`].
    #[must_use]
    pub fn is_newly_failing(&self) -> bool {
        // What is not due yet, or waived, has another verdict.
        self.priority == Priority::Must
            && self.after == Some(Verdict::Fail)
            && self.before != Some(Verdict::Fail)
    }
}

/// Something that is promised less than before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Loosened {
    /// The requirement.
    pub requirement: Id,
    /// What was loosened, by its key in the record: `at-most`, `margin`, `method`, `due` …; `subject`
    /// where it is about something else now, `requirement` where it is gone.
    pub what: &'static str,
    /// As it was written before.
    pub before: String,
    /// As it is now; empty where it is gone.
    pub after: String,
}

/// What became of a result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ResultTurn {
    /// It is new.
    Added,
    /// Its record is gone.
    Removed,
    /// A part that it covers is another thing now: it is to be repeated.
    Overtaken,
    /// What it covers is again as it was on the bench, or its change is carried over.
    HoldsAgain,
    /// It was set aside.
    SetAside,
}

/// A result that came or went, or whose standing is another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ResultChange {
    /// The result.
    pub evidence: Id,
    /// What became of it.
    pub turn: ResultTurn,
    /// The requirements that it speaks to, in the order of ids.
    pub requirements: Vec<Id>,
}

/// A kind of record of the work and the thoughts on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum Planned {
    Item,
    Decision,
    Step,
}

/// In which way a record is touched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Touch {
    /// It came: an item was opened, a decision taken.
    Added,
    /// It went.
    Removed,
    /// Something else is done in the step.
    Changed,
    /// The item was closed.
    Closed,
    /// It is as it was; a part that it is about is not.
    Reached,
}

/// An open item, a decision in force or a step that a change touches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Touched {
    /// What it is.
    pub kind: Planned,
    /// Its name.
    pub id: Id,
    /// In which way.
    pub touch: Touch,
    /// The parts that it is about and that are other things now, came or went.
    pub parts: Vec<Id>,
}
