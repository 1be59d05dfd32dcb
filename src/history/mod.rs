//! Revisions → ledger: what each of them moved, when a verdict turned, and through whom.
//!
//! A row is a function of two states of the design alone, of the last one that could be read and of
//! the one that the revision brought, so that it can be kept by what they hold. Nothing here asks git
//! or the day.

mod brought;
mod entry;
mod follow;
#[cfg(test)]
mod tests;

use serde::{Deserialize, Serialize};

use crate::compare::{Cause, How};
use crate::facet::Facet;
use crate::record::Id;
use crate::verdict::{Side, Verdict};

pub use brought::{Brought, brought};
pub use entry::{entry, figure_of};
pub use follow::{Followed, Moment, Named, Point, Turned, follow, named, names};

/// What kept rows are marked with: they hold for this version of the program alone.
pub const VERSION: &str = concat!(env!("CARGO_PKG_VERSION"), "/6");

/// A revision, as a row names it. Its texts are the repository's.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Revision {
    /// Its id, in hexadecimal.
    pub id: String,
    /// The beginning of its id, as long as it has to be to name nothing else.
    pub short_id: String,
    /// The day on which it was committed, in UTC.
    pub date: crate::record::Date,
    /// Its author's name.
    pub author: String,
    /// The first line of its message.
    pub subject: String,
    /// Whether it brings histories together.
    pub is_merge: bool,
}

/// Revisions that touched the design, those that came first in front.
#[derive(Clone, Debug, Default)]
pub struct Ledger {
    /// A row a revision.
    pub rows: Vec<Row>,
    /// How many revisions were passed, those that did not touch the design among them.
    pub passed: usize,
    /// Whether the history was cut off before it begins when the repository was cloned.
    pub is_cut_off: bool,
}

/// One revision that touched the design.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The revision.
    pub revision: Revision,
    /// How many revisions were passed before it.
    pub place: usize,
    /// What it did.
    pub told: Told,
}

/// What a revision did.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Told {
    /// The design can be read there.
    Entry(Box<Entry>),
    /// Its records cannot be read; the next row is compared with the last that could.
    Unreadable {
        /// How many errors there are.
        errors: usize,
        /// Where the first of them is, and what is wrong there.
        first: String,
    },
    /// The design is gone: its manifest is not there.
    Gone,
}

/// What led from the last readable state of the design to this one.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// The design's name.
    pub design: String,
    /// The release that is prepared.
    pub release: String,
    /// Parts that came, went or changed, in the order of ids.
    pub parts: Vec<PartTouched>,
    /// Every budget that is judged or stands at the top, and every computed figure that is judged.
    pub figures: Vec<Figure>,
    /// Every requirement, in the order of ids, as it stands in the design itself.
    pub readings: Vec<Reading>,
    /// Verdicts that turned, those of variants too where they turn otherwise.
    pub turns: Vec<Turn>,
    /// What is promised less than before.
    pub loosened: Vec<Less>,
    /// Items that were opened.
    pub opened: Vec<Titled>,
    /// Items that were closed, or taken out.
    pub closed: Vec<Titled>,
    /// Decisions that were written down.
    pub decided: Vec<Decided>,
}

/// A part that came, went or changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PartTouched {
    /// The part.
    pub part: Id,
    /// Whether it came, went or changed.
    pub how: How,
    /// In which facets.
    pub facets: Vec<Facet>,
    /// The same in words.
    pub facet_words: Vec<String>,
}

/// A figure of the design.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// The part, or the rail, that it is of.
    pub part: Id,
    /// Whether that is the whole product.
    pub is_top: bool,
    /// The quantity.
    pub quantity: Id,
    /// Number of builds in the order that a cost is meant of.
    pub builds: u64,
    /// The unit that it is shown in.
    pub unit: String,
    /// As it was; nothing where it was not there.
    pub before: Option<Value>,
    /// As it is; nothing where it is gone.
    pub after: Option<Value>,
    /// Each part's share of the difference in base units, the largest first.
    pub shares: Vec<(Id, f64)>,
}

/// A value in base units.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Value {
    /// The sum of the figures.
    pub basic: f64,
    /// The same with the growth allowance.
    pub predicted: f64,
    /// Expanded uncertainty.
    pub expanded_u: f64,
    /// Basic and predicted to the last digit, where they are money.
    pub money: Option<(String, String)>,
    /// Whether figures are missing, so that it is this or more.
    pub is_lower_bound: bool,
}

impl Value {
    /// Whether it is the same but for what adding up leaves over.
    #[must_use]
    pub fn is_as(&self, other: &Self) -> bool {
        let exact = |value: &Self| (value.money.clone(), value.is_lower_bound);
        let floats = |value: &Self| [value.basic, value.predicted, value.expanded_u];
        let mut pairs = floats(self).into_iter().zip(floats(other));
        exact(self) == exact(other) && pairs.all(|(one, other)| is_same(one, other))
    }
}

/// Whether two numbers differ by no more than the rounding of sums, whose last digits depend on the
/// order of their terms.
#[must_use]
pub fn is_same(one: f64, other: f64) -> bool {
    one == other || (one - other).abs() <= 1e-12 * one.abs().max(other.abs())
}

/// How a requirement stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// The requirement.
    pub requirement: Id,
    /// How it stands, waivers and due dates counted in.
    pub verdict: Verdict,
    /// How it would stand without them.
    pub beneath: Verdict,
    /// The value that is judged, in base units; nothing where it has none.
    pub value: Option<f64>,
    /// The same with all optional parts, where these make a difference to it.
    pub with_options: Option<f64>,
    /// Whether that is the one which is judged.
    pub by_options: bool,
    /// Its expanded uncertainty.
    pub expanded_u: f64,
    /// The unit that it is shown in.
    pub unit: String,
    /// Its limits in base units, the decisive one first.
    pub limits: Vec<(Side, f64)>,
    /// The figure that it is judged on, where that is one of [`Entry::figures`]: part or rail, quantity,
    /// builds.
    pub figure: Option<(Id, Id, u64)>,
    /// Each part's share of the way that the value with all optional parts went, where that is the one
    /// which is judged, or was; in base units, the largest first.
    pub shares: Vec<(Id, f64)>,
}

/// A requirement whose verdict turned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Turn {
    /// The variant in which it did, where it is not so in the design itself.
    pub variant: Option<Id>,
    /// The requirement.
    pub requirement: Id,
    /// Before; nothing where it is new.
    pub before: Option<Verdict>,
    /// After; nothing where it is gone.
    pub after: Option<Verdict>,
    /// What turned it.
    pub cause: Cause,
    /// The unit of the shares.
    pub unit: String,
    /// Expanded uncertainty of its value, in base units.
    pub expanded_u: f64,
    /// Each part's share of the way that its value went, in base units, the largest first.
    pub shares: Vec<(Id, f64)>,
}

/// Something that is promised less than before.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Less {
    /// The requirement.
    pub requirement: Id,
    /// What was loosened, by its key in the record.
    pub what: String,
    /// As it was written before.
    pub before: String,
    /// As it is now; empty where it is gone.
    pub after: String,
}

/// A record by its id and what people call it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Titled {
    /// The record.
    pub id: Id,
    /// Its title.
    pub title: Option<String>,
}

/// A decision.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Decided {
    /// The decision.
    pub id: Id,
    /// Its title.
    pub title: Option<String>,
    /// The parts that it is about.
    pub parts: Vec<Id>,
}
