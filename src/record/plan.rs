//! `[item.ID]`, `[decision.ID]`, `[waiver.ID]`, `[step.ID]`: the work, and what was decided on the way.

use semver::Version;
use serde::{Deserialize, Serialize};

use super::{Date, Hazard, Id};
use crate::diagnostic::At;
use crate::quantity::{Amount, Figure, Measure};

/// An open item.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Item {
    /// Its name in the design.
    pub id: At<Id>,
    /// What people call it.
    pub title: Option<At<String>>,
    /// Remarks; prose only.
    pub note: Option<At<String>>,
    /// The day it was opened.
    pub opened: Option<At<Date>>,
    /// Parts that it is about.
    pub parts: Vec<At<Id>>,
    /// Requirements that it holds up; the release itself where none is named.
    pub blocks: Vec<At<Id>>,
    /// Items that come first.
    pub after: Vec<At<Id>>,
    /// The release that it must be closed for.
    pub due: Option<At<Version>>,
    /// Work left.
    pub effort: Option<At<Figure>>,
    /// The day it was closed.
    pub closed: Option<At<Date>>,
    /// What came out.
    pub result: Option<At<String>>,
}

/// A decision, with what was rejected.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Decision {
    /// Its name in the design.
    pub id: At<Id>,
    /// The day.
    pub on: Option<At<Date>>,
    /// What was decided.
    pub title: Option<At<String>>,
    /// Why.
    pub why: Option<At<String>>,
    /// By whom.
    pub by: Option<At<String>>,
    /// Parts that it is about.
    pub parts: Vec<At<Id>>,
    /// What was not chosen, and why.
    pub rejected: Vec<At<String>>,
    /// Decisions that it overturns.
    pub replaces: Vec<At<Id>>,
}

/// What a waiver lets through.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub enum Waived {
    /// A requirement that is no pass.
    Requirement(At<Id>),
    /// Findings of a release check: those of one part where it is named.
    Check {
        /// The check's code.
        check: At<Id>,
        /// The part.
        part: Option<At<Id>>,
    },
}

/// A written concession: limited in extent, time and use.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Waiver {
    /// Its name in the design.
    pub id: At<Id>,
    /// What it lets through; nothing where the record named nothing valid.
    pub waived: Option<Waived>,
    /// The worst value that it covers.
    pub up_to: Option<At<Measure>>,
    /// The release from which on it no longer holds.
    pub until_before: Option<At<Version>>,
    /// The day.
    pub on: Option<At<Date>>,
    /// By whom.
    pub by: Option<At<String>>,
    /// Why.
    pub why: Option<At<String>>,
}

/// A step of the assembly.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Step {
    /// Its name in the design.
    pub id: At<Id>,
    /// What is done.
    pub title: Option<At<String>>,
    /// Remarks; prose only.
    pub note: Option<At<String>>,
    /// What goes in.
    pub uses: Vec<(At<Id>, At<Amount>)>,
    /// Sub-assemblies that come into being.
    pub makes: Vec<(At<Id>, At<Amount>)>,
    /// How often it is done in one build; once where not given.
    pub times: Option<At<u64>>,
    /// Steps that come first.
    pub after: Vec<At<Id>>,
    /// Tools by name, jigs by part.
    pub tools: Vec<At<String>>,
    /// Tightening torque, in N·m.
    pub torque: Option<At<Figure>>,
    /// How long it takes.
    pub time: Option<At<Figure>>,
    /// What to be careful about.
    pub cautions: Vec<At<Hazard>>,
    /// Only in this variant.
    pub variant: Option<At<Id>>,
    /// Only with this optional part.
    pub option: Option<At<Id>>,
}
