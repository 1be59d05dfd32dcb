//! `[requirement.ID]`: what was promised.

use semver::Version;
use serde::{Deserialize, Serialize};

use super::Id;
use crate::diagnostic::At;
use crate::quantity::Measure;

/// Something that was promised of the design.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Requirement {
    /// Its name in the design.
    pub id: At<Id>,
    /// What people call it.
    pub title: Option<At<String>>,
    /// Remarks; prose only.
    pub note: Option<At<String>>,
    /// The part that it is about.
    pub part: Option<At<Id>>,
    /// The rail that it is about.
    pub rail: Option<At<Id>>,
    /// Which quantity of it; without one it is shown by evidence alone.
    pub quantity: Option<At<Id>>,
    /// Where the quantity must lie.
    pub limits: Limits,
    /// What must be left over.
    pub margin: Option<At<Margin>>,
    /// How it is verified.
    pub method: Option<At<Method>>,
    /// Whether it can hold up a release.
    pub priority: Option<At<Priority>>,
    /// The release from which on it holds; always where not given.
    pub due: Option<At<Version>>,
    /// Where it comes from.
    pub from: Option<At<String>>,
    /// The decision rule.
    pub decide: Option<At<Decide>>,
    /// How a measured temperature is carried to the adverse ambient.
    pub ambient_rule: Option<At<AmbientRule>>,
    /// Number of builds in one order, for costs.
    pub builds: Option<At<u64>>,
    /// Share of trials that must succeed, 0 to 1.
    pub success: Option<At<f64>>,
    /// Confidence with which that must be shown, 0 to 1.
    pub confidence: Option<At<f64>>,
    /// Number of trials, fixed beforehand.
    pub trials: Option<At<u64>>,
}

impl Requirement {
    /// How it is verified: by analysis where it does not say.
    #[must_use]
    pub fn method(&self) -> Method {
        self.method.as_ref().map_or(Method::Analysis, |method| method.value)
    }

    /// Whether it can hold up a release: it can where it does not say.
    #[must_use]
    pub fn priority(&self) -> Priority {
        self.priority.as_ref().map_or(Priority::Must, |priority| priority.value)
    }

    /// The decision rule: guarded where it does not say.
    #[must_use]
    pub fn decide(&self) -> Decide {
        self.decide.as_ref().map_or(Decide::Guarded, |decide| decide.value)
    }

    /// Number of builds in the order that a cost is meant of.
    #[must_use]
    pub fn builds(&self) -> u64 {
        self.builds.as_ref().map_or(1, |builds| builds.value)
    }
}

/// Where a quantity must lie. `equals` with `within` is a pair of limits.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Limits {
    /// The upper limit.
    pub at_most: Option<At<Measure>>,
    /// The lower limit.
    pub at_least: Option<At<Measure>>,
    /// The wanted value.
    pub equals: Option<At<Measure>>,
    /// How far from it is still right.
    pub within: Option<At<Measure>>,
}

/// What must be left over to a limit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Margin {
    /// A quantity of the limit's dimension (a difference for temperatures).
    Absolute(Measure),
    /// A share of the limit, 0.05 for 5 %.
    Share(f64),
}

/// The four ways of verification.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum Method {
    Inspection,
    Analysis,
    Demonstration,
    Test,
}

impl Method {
    /// Every method with its word in a record.
    pub const WORDS: [(&'static str, Self); 4] = [
        ("inspection", Self::Inspection),
        ("analysis", Self::Analysis),
        ("demonstration", Self::Demonstration),
        ("test", Self::Test),
    ];

    /// The word in a record.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// Whether a requirement can hold up a release.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum Priority {
    Must,
    Should,
}

impl Priority {
    /// Both with their word in a record.
    pub const WORDS: [(&'static str, Self); 2] = [("must", Self::Must), ("should", Self::Should)];

    /// The word in a record.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// The decision rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Decide {
    /// With a guard band of the expanded uncertainty.
    Guarded,
    /// On the worst case of a tolerance chain.
    WorstCase,
    /// On the value alone.
    Simple,
}

impl Decide {
    /// Every rule with its word in a record.
    pub const WORDS: [(&'static str, Self); 3] =
        [("guarded", Self::Guarded), ("worst-case", Self::WorstCase), ("simple", Self::Simple)];
}

/// How a measured temperature is carried to the adverse ambient.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum AmbientRule {
    /// By the difference of the ambients.
    Carry,
    /// Not at all: touch temperatures.
    AsMeasured,
    /// Not at all: the part regulates its own temperature.
    Regulated,
}

impl AmbientRule {
    /// Every rule with its word in a record.
    pub const WORDS: [(&'static str, Self); 3] =
        [("carry", Self::Carry), ("as-measured", Self::AsMeasured), ("regulated", Self::Regulated)];
}
