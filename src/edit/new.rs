//! Records that are about to be written: what they say, with their keys in the reference's order.

use semver::Version;

use super::RecordKind;
use super::typed::{Determined, Typed};
use super::value::Value;
use crate::quantity::{Figure, Measure};
use crate::record::{Date, Id, Method, Outcome, Waived};

/// A record that is about to be written.
#[derive(Clone, Debug)]
pub enum NewRecord {
    /// `[evidence.ID]`
    Evidence(Box<NewEvidence>),
    /// `[item.ID]`
    Item(NewItem),
    /// `[decision.ID]`
    Decision(NewDecision),
    /// `[waiver.ID]`
    Waiver(NewWaiver),
}

/// What was seen on the bench.
#[derive(Clone, Debug)]
pub struct NewEvidence {
    /// What people call it.
    pub title: Option<String>,
    /// Remarks.
    pub note: Option<String>,
    /// The part on the bench.
    pub part: Id,
    /// What came out.
    pub result: NewResult,
    /// Requirements that it speaks to.
    pub verifies: Vec<Id>,
    /// Ambient temperature during the test.
    pub ambient: Option<Typed<Figure>>,
    /// How fast the temperature still rose.
    pub steady: Option<Typed<Figure>>,
    /// How it was determined.
    pub method: Option<Method>,
    /// The day.
    pub on: Option<Date>,
    /// By whom.
    pub by: Option<String>,
    /// Logs, pictures, sheets; relative to the file that the record goes to, or with a leading `/`.
    pub files: Vec<String>,
    /// Parts that were on the bench with it.
    pub with: Vec<Id>,
    /// Parts that do not matter to it: (part, why).
    pub except: Vec<(Id, String)>,
    /// The variant that was on the bench.
    pub variant: Option<Id>,
    /// How many samples.
    pub samples: Option<u64>,
    /// The revision that was on the bench.
    pub revision: Option<String>,
    /// What it takes to repeat it.
    pub effort: Option<Typed<Figure>>,
    /// What was on the bench: (part, seal).
    pub seal: Vec<(Id, String)>,
}

/// What came out on the bench.
#[derive(Clone, Debug)]
pub enum NewResult {
    /// A value of a quantity.
    Value {
        /// The quantity.
        quantity: Id,
        /// Its value, a plain number where the quantity has no unit.
        value: Typed<Determined>,
    },
    /// It passed, or it failed.
    Outcome(Outcome),
    /// So many trials of so many.
    Trials {
        /// Those that succeeded.
        passed: u64,
        /// All of them.
        of: u64,
    },
}

impl NewEvidence {
    /// A result of `part`, of which nothing else is said yet.
    #[must_use]
    pub fn of(part: Id, result: NewResult) -> Self {
        Self {
            title: None,
            note: None,
            part,
            result,
            verifies: Vec::new(),
            ambient: None,
            steady: None,
            method: None,
            on: None,
            by: None,
            files: Vec::new(),
            with: Vec::new(),
            except: Vec::new(),
            variant: None,
            samples: None,
            revision: None,
            effort: None,
            seal: Vec::new(),
        }
    }
}

/// Something that is open.
#[derive(Clone, Debug, Default)]
pub struct NewItem {
    /// What people call it.
    pub title: Option<String>,
    /// Remarks.
    pub note: Option<String>,
    /// The day it was opened.
    pub opened: Option<Date>,
    /// Parts that it is about.
    pub parts: Vec<Id>,
    /// Requirements that it holds up.
    pub blocks: Vec<Id>,
    /// Items that come first.
    pub after: Vec<Id>,
    /// The release that it must be closed for.
    pub due: Option<Version>,
    /// Work left.
    pub effort: Option<Typed<Figure>>,
}

/// What was decided.
#[derive(Clone, Debug, Default)]
pub struct NewDecision {
    /// The day.
    pub on: Option<Date>,
    /// What was decided.
    pub title: Option<String>,
    /// Why.
    pub why: Option<String>,
    /// By whom.
    pub by: Option<String>,
    /// Parts that it is about.
    pub parts: Vec<Id>,
    /// What was not chosen, and why.
    pub rejected: Vec<String>,
    /// Decisions that it overturns.
    pub replaces: Vec<Id>,
}

/// What is let through.
#[derive(Clone, Debug)]
pub struct NewWaiver {
    /// A requirement, or findings of a release check; spans mean nothing here.
    pub waived: Waived,
    /// The worst value that it covers.
    pub up_to: Option<Typed<Measure>>,
    /// The release from which on it no longer holds.
    pub until_before: Version,
    /// The day.
    pub on: Option<Date>,
    /// By whom.
    pub by: Option<String>,
    /// Why.
    pub why: String,
}

/// Keys with their values, in the order in which they are written.
pub(super) type Pairs = Vec<(&'static str, Value)>;

impl NewRecord {
    /// Its kind.
    #[must_use]
    pub fn kind(&self) -> RecordKind {
        match self {
            Self::Evidence(_) => RecordKind::Evidence,
            Self::Item(_) => RecordKind::Item,
            Self::Decision(_) => RecordKind::Decision,
            Self::Waiver(_) => RecordKind::Waiver,
        }
    }

    /// What stands below its header.
    pub(super) fn pairs(&self) -> Pairs {
        let pairs = match self {
            Self::Evidence(evidence) => evidence_pairs(evidence),
            Self::Item(item) => item_pairs(item),
            Self::Decision(decision) => decision_pairs(decision),
            Self::Waiver(waiver) => waiver_pairs(waiver),
        };
        pairs.into_iter().filter_map(|(key, value)| Some((key, value?))).collect()
    }

    /// What stands below its header `[kind.ID.seal]`.
    pub(super) fn seal(&self) -> &[(Id, String)] {
        match self {
            Self::Evidence(evidence) => &evidence.seal,
            Self::Item(_) | Self::Decision(_) | Self::Waiver(_) => &[],
        }
    }
}

/// Keys that may have nothing to say.
type Sayings = Vec<(&'static str, Option<Value>)>;

fn evidence_pairs(evidence: &NewEvidence) -> Sayings {
    let mut pairs = vec![
        ("title", text(evidence.title.as_ref())),
        ("note", text(evidence.note.as_ref())),
        ("part", text(Some(&evidence.part))),
    ];
    let verifies = ("verifies", texts(&evidence.verifies));
    match &evidence.result {
        NewResult::Value { quantity, value } => {
            pairs.extend([("quantity", text(Some(quantity))), ("value", text(Some(value)))]);
            pairs.push(verifies);
        }
        NewResult::Outcome(outcome) => {
            let known = Outcome::WORDS.iter().find(|(_, known)| known == outcome);
            pairs.extend([verifies, ("outcome", text(known.map(|(word, _)| word)))]);
        }
        NewResult::Trials { passed, of } => {
            pairs.extend([verifies, ("trials", Some(trials(*passed, *of, evidence.samples)))]);
        }
    }
    // Trials say themselves on how many samples they were made.
    let has_trials = matches!(evidence.result, NewResult::Trials { .. });
    let samples = evidence.samples.filter(|_| !has_trials);
    pairs.extend([
        ("ambient", text(evidence.ambient.as_ref())),
        ("steady", text(evidence.steady.as_ref())),
        ("method", text(evidence.method.map(Method::word))),
        ("on", evidence.on.map(Value::Date)),
        ("by", text(evidence.by.as_ref())),
        ("files", texts(&evidence.files)),
        ("with", texts(&evidence.with)),
        ("except", table(&evidence.except)),
        ("variant", text(evidence.variant.as_ref())),
        ("samples", samples.map(Value::Count)),
        ("revision", text(evidence.revision.as_ref())),
        ("effort", text(evidence.effort.as_ref())),
    ]);
    pairs
}

fn trials(passed: u64, of: u64, samples: Option<u64>) -> Value {
    let pairs = [("passed", Some(passed)), ("of", Some(of)), ("samples", samples)];
    let said = |(key, count): (&str, Option<u64>)| Some((key.to_owned(), Value::Count(count?)));
    Value::Table(pairs.into_iter().filter_map(said).collect())
}

fn item_pairs(item: &NewItem) -> Sayings {
    vec![
        ("title", text(item.title.as_ref())),
        ("note", text(item.note.as_ref())),
        ("opened", item.opened.map(Value::Date)),
        ("parts", texts(&item.parts)),
        ("blocks", texts(&item.blocks)),
        ("after", texts(&item.after)),
        ("due", text(item.due.as_ref())),
        ("effort", text(item.effort.as_ref())),
    ]
}

fn decision_pairs(decision: &NewDecision) -> Sayings {
    vec![
        ("on", decision.on.map(Value::Date)),
        ("title", text(decision.title.as_ref())),
        ("why", text(decision.why.as_ref())),
        ("by", text(decision.by.as_ref())),
        ("parts", texts(&decision.parts)),
        ("rejected", texts(&decision.rejected)),
        ("replaces", texts(&decision.replaces)),
    ]
}

fn waiver_pairs(waiver: &NewWaiver) -> Sayings {
    let (requirement, check, part) = match &waiver.waived {
        Waived::Requirement(requirement) => (Some(&requirement.value), None, None),
        Waived::Check { check, part } => {
            (None, Some(&check.value), part.as_ref().map(|part| &part.value))
        }
    };
    vec![
        ("requirement", text(requirement)),
        ("check", text(check)),
        ("part", text(part)),
        ("up-to", text(waiver.up_to.as_ref())),
        ("until-before", text(Some(&waiver.until_before))),
        ("on", waiver.on.map(Value::Date)),
        ("by", text(waiver.by.as_ref())),
        ("why", text(Some(&waiver.why))),
    ]
}

fn text(text: Option<impl std::fmt::Display>) -> Option<Value> {
    text.map(Value::text)
}

fn texts<T: std::fmt::Display>(texts: &[T]) -> Option<Value> {
    (!texts.is_empty()).then(|| Value::texts(texts))
}

fn table(pairs: &[(Id, String)]) -> Option<Value> {
    let pair = |(key, value): &(Id, String)| (key.to_string(), Value::text(value));
    (!pairs.is_empty()).then(|| Value::Table(pairs.iter().map(pair).collect()))
}
