//! `[evidence.ID]`: what was seen on the bench, and of which parts.

use serde::{Deserialize, Serialize};

use super::{Date, Id, Method};
use crate::diagnostic::At;
use crate::quantity::Figure;

/// A result of a test, an inspection, a demonstration or an analysis.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Evidence {
    /// Its name in the design.
    pub id: At<Id>,
    /// What people call it.
    pub title: Option<At<String>>,
    /// Remarks; prose only.
    pub note: Option<At<String>>,
    /// The part on the bench.
    pub part: Option<At<Id>>,
    /// The quantity that was determined.
    pub quantity: Option<At<Id>>,
    /// Its value.
    pub value: Option<At<Figure>>,
    /// Requirements that it speaks to.
    pub verifies: Vec<At<Id>>,
    /// How it went, where there is no value.
    pub outcome: Option<At<Outcome>>,
    /// Trials made.
    pub trials: Option<Trials>,
    /// Ambient temperature during a test.
    pub ambient: Option<At<Figure>>,
    /// How fast the temperature still rose, in K/s.
    pub steady: Option<At<Figure>>,
    /// How it was determined.
    pub method: Option<At<Method>>,
    /// The day.
    pub on: Option<At<Date>>,
    /// By whom.
    pub by: Option<At<String>>,
    /// Logs, pictures, sheets.
    pub files: Vec<At<String>>,
    /// Parts that were on the bench with it.
    pub with: Vec<At<Id>>,
    /// Parts that do not matter to it: (part, why).
    pub except: Vec<(At<Id>, At<String>)>,
    /// The variant that was on the bench.
    pub variant: Option<At<Id>>,
    /// How many samples.
    pub samples: Option<At<u64>>,
    /// The revision that was on the bench.
    pub revision: Option<At<String>>,
    /// What it takes to repeat it.
    pub effort: Option<At<Figure>>,
    /// Why it no longer counts.
    pub set_aside: Option<At<String>>,
    /// What was on the bench, part by part.
    pub seal: Vec<(At<Id>, At<Seal>)>,
    /// Changes that it survives, each with its reason.
    pub carries_over: Vec<CarriedOver>,
}

/// How an inspection or demonstration went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum Outcome {
    Pass,
    Fail,
}

impl Outcome {
    /// Both with their word in a record.
    pub const WORDS: [(&'static str, Self); 2] = [("pass", Self::Pass), ("fail", Self::Fail)];
}

/// A number of trials.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Trials {
    /// Those that succeeded.
    pub passed: At<u64>,
    /// All of them.
    pub of: At<u64>,
    /// On how many samples.
    pub samples: Option<At<u64>>,
}

/// A part's facets as they were on the bench: a letter and hexadecimal digits each.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seal(pub Vec<(char, String)>);

impl Seal {
    /// The digits behind a letter.
    #[must_use]
    pub fn digits(&self, letter: char) -> Option<&str> {
        self.0.iter().find(|(known, _)| *known == letter).map(|(_, digits)| digits.as_str())
    }
}

/// Verification by similarity: the result holds for a later state of a part too.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct CarriedOver {
    /// The part.
    pub part: At<Id>,
    /// Its later state.
    pub seal: At<Seal>,
    /// Why it holds.
    pub why: At<String>,
}
