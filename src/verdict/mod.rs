//! Figures against what was promised: the decision rule, and the release checks.

mod checks;
mod computed;
mod decide;
mod documents;
mod evidence_based;
mod judge;
mod limits;
mod markdown;
mod occasion;
mod requirement;
mod sum;
#[cfg(test)]
mod tests;
mod waivers;

use std::sync::Arc;

use semver::Version;
use serde::{Deserialize, Serialize};

use crate::design::{Design, PartIx};
use crate::diagnostic::{Code, Span};
use crate::evaluate::{Aim, Computed, End, Figures, Subject};
use crate::evidence::trials::Tally;
use crate::evidence::{NotCounting, Standings};
use crate::fileset::RepoPath;
use crate::record::{Id, Method, Priority};

pub use checks::{
    CHECKS, Check, Context, PRICE_AGE, STEPS_MATCH, demands, made_from, waivable_codes,
};
pub use computed::on_computed;
pub use decide::{Decision, Judgeable, Limit, decide};
pub use documents::Documents;
pub use evidence_based::{EvidenceUsed, TrialsJudged, speaks_to};
pub use judge::{judge, judge_requirements};
pub use limits::unit_of;
pub use occasion::{LastRelease, Occasion, Past};
pub use sum::{Sum, SumJudged};

/// How a requirement stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The whole uncertainty lies inside the limit and the margin.
    Pass,
    /// Inside the limit, not inside the margin.
    Thin,
    /// The limit lies within the uncertainty.
    Edge,
    /// Beyond the limit.
    Fail,
    /// No figure, an incomplete one, or not by the method asked for.
    Unproven,
    /// The evidence was overtaken by a change.
    Stale,
    /// A waiver is in force and covers it.
    Waived,
    /// Not due at this release.
    Later,
}

impl Verdict {
    /// The word that is shown.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Thin => "thin",
            Self::Edge => "edge",
            Self::Fail => "fail",
            Self::Unproven => "unproven",
            Self::Stale => "stale",
            Self::Waived => "waived",
            Self::Later => "later",
        }
    }

    /// How bad it is; what cannot be told stands between what may hold and what does not.
    #[must_use]
    pub fn severity(self) -> u8 {
        match self {
            Self::Pass | Self::Waived | Self::Later => 0,
            Self::Thin => 1,
            Self::Edge => 2,
            Self::Unproven | Self::Stale => 3,
            Self::Fail => 4,
        }
    }
}

/// Why a requirement is unproven.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unproven {
    /// The method asks for evidence, and there is none that counts.
    NoEvidence(Method),
    /// No result says what was on the bench.
    Unpinned,
    /// What was on the bench, or what is there now, cannot be told here.
    Undecidable,
    /// A result's seal and its revision tell of different things.
    Contradiction,
    /// Results that are current are no evidence.
    NotCounting(NotCounting),
    /// The number of trials that was fixed beforehand is not reached.
    SoFar {
        /// Those that were made.
        tally: Tally,
        /// The number fixed beforehand.
        wanted: u64,
    },
    /// No part states the quantity.
    NoFigure,
    /// Parts without a figure: the budget's `missing` names them.
    Incomplete,
    /// A computation has no value, for this reason in words.
    NoValue(String),
    /// The quantity is not computed by this version of the program.
    NotComputed(&'static str),
}

/// The side of a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// The value must not be above it.
    AtMost,
    /// The value must not be below it.
    AtLeast,
}

/// A value against one limit, all in base units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// The side.
    pub side: Side,
    /// The limit.
    pub limit: f64,
    /// The margin wanted.
    pub margin: f64,
    /// The value that is judged against it: predicted for at-most, basic for at-least.
    pub value: f64,
    /// What is left of the way to the limit, negative beyond it; the uncertainty not deducted.
    pub left: f64,
    /// The verdict against this limit alone.
    pub verdict: Verdict,
    /// The probability of lying inside the limit.
    pub inside_limit: f64,
    /// The probability of lying inside the margin.
    pub inside_margin: f64,
}

/// A waiver that covers something, and for how long.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Covered {
    /// The waiver.
    pub waiver: Id,
    /// The release from which on it no longer holds.
    pub until_before: Version,
}

/// A waiver of a requirement that does not let it through as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Lapsed {
    /// The waiver.
    pub waiver: Id,
    /// Why it does not.
    pub why: Lapse,
}

/// Why a waiver does not let its requirement through.
#[derive(Clone, Debug, PartialEq)]
pub enum Lapse {
    /// It held until before this release.
    Ended(Version),
    /// It falls short of what is to be let through, all in base units.
    Short {
        /// The side of the limit that it is about.
        side: Side,
        /// How far it goes.
        up_to: f64,
        /// How far it would have to go.
        needed: f64,
        /// The part of that which is uncertainty.
        guard: f64,
    },
    /// It goes up to a value, and there is none.
    NoValue,
}

/// The computed figure that a requirement is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Aimed {
    /// What it is asked of.
    pub aim: Aim,
    /// The end of it that decides.
    pub end: usize,
    /// Whether the requirement is judged on it; else it only stands beside what is.
    pub decides: bool,
}

/// A requirement, judged.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The requirement.
    pub requirement: Id,
    /// Its place in [`Design::requirements`].
    pub index: usize,
    /// Whether it can hold up a release.
    pub priority: Priority,
    /// How it stands, waivers and due dates counted in.
    pub verdict: Verdict,
    /// How it would stand without waiver and due date.
    pub beneath: Verdict,
    /// The budget that it is judged on, where it is judged on one.
    pub subject: Option<Subject>,
    /// The computed figure that it is about, where it is about one.
    pub aimed: Option<Aimed>,
    /// Its limits; the decisive one first.
    pub bounds: Vec<Bound>,
    /// Expanded uncertainty of the value, in base units.
    pub expanded_u: f64,
    /// Whether the at-most limit was passed only with the optional parts.
    pub by_options: bool,
    /// Why it is unproven, where it is.
    pub unproven: Option<Unproven>,
    /// What was made of its evidence, where evidence is what it is judged on.
    pub evidence: Option<EvidenceUsed>,
    /// The waiver that covers it, where one does.
    pub covered: Option<Covered>,
    /// Where none does and it is no pass: those that were meant to, in the order of ids.
    pub lapsed: Vec<Lapsed>,
}

impl Judged {
    /// Whether it holds up the release: a must-have that is neither pass, waived nor later.
    #[must_use]
    pub fn is_in_the_way(&self) -> bool {
        self.priority == Priority::Must
            && !matches!(self.verdict, Verdict::Pass | Verdict::Waived | Verdict::Later)
    }
}

/// What a release check found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The check.
    pub check: Code,
    /// The part that it is about, where it is about one.
    pub part: Option<PartIx>,
    /// Further parts that it goes through.
    pub through: Vec<PartIx>,
    /// What was found, in one sentence without a full stop.
    pub message: String,
    /// What to do about it.
    pub remedy: Option<String>,
    /// Where it is written.
    pub place: Option<(RepoPath, Span)>,
    /// What makes it the same finding in another state, where its message says more than that: an
    /// age, the parts that overtook a result, the loads of a rail.
    pub identity: Option<String>,
    /// The waiver that covers it, where one does.
    pub covered: Option<Covered>,
}

/// A design with its figures and how they stand.
#[derive(Clone, Debug)]
pub struct Assessed {
    /// The design.
    pub design: Arc<Design>,
    /// Its budgets.
    pub figures: Figures,
    /// What its evidence still says.
    pub standings: Standings,
    /// Every requirement in the order of ids.
    pub judged: Vec<Judged>,
    /// What the release checks found, in their order.
    pub findings: Vec<Finding>,
    /// What it was judged for.
    pub occasion: Occasion,
    /// The variants of the design in the order of ids, judged for the same; a variant has none.
    pub variants: Vec<Assessed>,
}

impl Assessed {
    /// The variant `id`, judged.
    #[must_use]
    pub fn variant(&self, id: &str) -> Option<&Self> {
        self.variants
            .iter()
            .find(|variant| variant.design.variant.as_ref().is_some_and(|known| known == id))
    }

    /// How the requirement `id` stands.
    #[must_use]
    pub fn of_requirement(&self, id: &Id) -> Option<&Judged> {
        self.judged.iter().find(|judged| judged.requirement == *id)
    }

    /// The computed figure that a requirement is about, and the end of it that decides, where it has
    /// a value.
    #[must_use]
    pub fn computed(&self, judged: &Judged) -> Option<(&Computed, &End)> {
        let aimed = judged.aimed.as_ref()?;
        let computed = self.figures.computed.get(&aimed.aim)?.as_ref().ok()?;
        Some((computed, computed.ends.get(aimed.end)?))
    }
}
