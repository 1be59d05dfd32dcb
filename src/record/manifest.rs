//! `tagworthy.toml`: the design's name, and the rules that its records are judged by.

use std::sync::Arc;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::{Date, Expected, Id};
use crate::diagnostic::At;
use crate::quantity::{Basis, Currency, Figure, Kind, Measure, Money, Unit};
use semver::Version;

/// The manifest of one design.
#[derive(Clone, Debug, Default)]
pub struct Manifest {
    /// `[design]`
    pub design: DesignTable,
    /// `[ambient]`
    pub ambient: Ambient,
    /// `[exchange]`: rates by foreign currency.
    pub exchange: Vec<(At<Currency>, Exchange)>,
    /// `[given]`: named constants.
    pub given: Vec<(At<Id>, At<Figure>)>,
    /// `[allowance]`: growth by quantity and basis.
    pub allowance: Vec<(At<Id>, Allowances)>,
    /// `[rule]`
    pub rule: Rule,
    /// `[guard]`
    pub guard: Guard,
    /// `[quantity.NAME]`: quantities of the designer's own.
    pub quantities: Vec<Arc<(At<Id>, QuantityTable)>>,
}

/// `[design]`
#[derive(Clone, Debug, Default)]
pub struct DesignTable {
    /// The design's name.
    pub name: Option<At<Id>>,
    /// What people call it.
    pub title: Option<At<String>>,
    /// The part that is the whole product.
    pub top: Option<At<Id>>,
    /// The release being prepared.
    pub next: Option<At<Version>>,
    /// The currency of all costs.
    pub currency: Option<At<Currency>>,
    /// An SPDX expression.
    pub license: Option<At<String>>,
    /// Who holds the rights and gives the licence.
    pub licensor: Option<At<String>>,
    /// What the product does, and for whom.
    pub function: Option<At<String>>,
    /// Where the design is developed, on the web.
    pub repo: Option<At<String>>,
    /// Globs of record files, relative to the manifest's folder.
    pub records: Vec<At<String>>,
    /// Shape of release tags, with `{version}` in it.
    pub tag: Option<At<String>>,
    /// Documents by role.
    pub docs: Vec<(At<String>, At<String>)>,
}

impl DesignTable {
    /// The tag of a release.
    #[must_use]
    pub fn tag_of(&self, version: &Version) -> String {
        self.tag_shape().replace(VERSION, &version.to_string())
    }

    /// The release whose tag is called `name`, where it is one.
    #[must_use]
    pub fn release_of(&self, name: &str) -> Option<Version> {
        let (before, after) = self.tag_shape().split_once(VERSION)?;
        let version = name.strip_prefix(before)?.strip_suffix(after)?;
        Version::parse(version).ok()
    }

    fn tag_shape(&self) -> &str {
        self.tag.as_ref().map_or("v{version}", |tag| tag.value.as_str())
    }
}

/// What stands for the version in the shape of tags.
const VERSION: &str = "{version}";

/// `[ambient]`: where the product must work.
#[derive(Clone, Debug, Default)]
pub struct Ambient {
    /// The lowest ambient temperature.
    pub low: Option<At<Measure>>,
    /// The highest ambient temperature.
    pub high: Option<At<Measure>>,
}

/// A dated rate.
#[derive(Clone, Debug)]
pub struct Exchange {
    /// What one unit of the foreign currency is worth.
    pub rate: At<Money>,
    /// The day of the rate.
    pub on: At<Date>,
}

/// Growth of one quantity, by basis.
#[derive(Clone, Debug, Default)]
pub struct Allowances(pub Vec<(Basis, At<Allowance>)>);

/// How much a figure may still grow.
#[derive(Clone, Debug, PartialEq)]
pub enum Allowance {
    /// A share of the figure's size, exact.
    Share(Decimal),
    /// A fixed amount, for what has no natural zero (temperatures in K).
    Amount(Measure),
}

/// `[rule]`
#[derive(Clone, Debug, Default)]
pub struct Rule {
    /// What ± of a figure means, as a multiple of its standard uncertainty (JCGM 100); 2 where not given.
    pub coverage_factor: Option<At<f64>>,
    /// ± to assume where a figure has none, as a share of it, by basis.
    pub unstated: Vec<(Basis, At<f64>)>,
    /// How many standard deviations lie between the middle of a tolerance and either limit, where a
    /// dimension does not say it itself; a tolerance is filled evenly where nothing is said.
    pub sigmas: Option<At<f64>>,
    /// Age from which on a quote is reported, in seconds.
    pub price_age: Option<At<Measure>>,
    /// Age from which on a figure is reported, in seconds.
    pub figure_age: Option<At<Measure>>,
    /// What an hour of a machine costs.
    pub machine_hour: Option<At<Money>>,
}

/// `[guard]`: what the hooks refuse.
#[derive(Clone, Debug, Default)]
pub struct Guard {
    /// At a commit.
    pub commit: Option<Vec<At<Event>>>,
    /// At a release tag.
    pub tag: Option<Vec<At<Event>>>,
    /// At a shared repository.
    pub receive: Option<Vec<At<Event>>>,
    /// Whether a shared repository judges every commit of a push; its last one where not given.
    pub every_commit: Option<At<bool>>,
    /// What an internal fault of the tool does.
    pub on_fault: Option<At<OnFault>>,
}

/// Something that a hook can refuse.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum Event {
    NewlyUnreadable,
    NewlyFailing,
    NewlyKnownFailing,
    NewlyWorse,
    NewlyEdge,
    NewlyStale,
    NewlyIncomplete,
    Unreadable,
    NotReady,
    NotReadyTag,
}

impl Event {
    /// Every event with its word in a record.
    pub const WORDS: [(&'static str, Self); 10] = [
        ("newly-unreadable", Self::NewlyUnreadable),
        ("newly-failing", Self::NewlyFailing),
        ("newly-known-failing", Self::NewlyKnownFailing),
        ("newly-worse", Self::NewlyWorse),
        ("newly-edge", Self::NewlyEdge),
        ("newly-stale", Self::NewlyStale),
        ("newly-incomplete", Self::NewlyIncomplete),
        ("unreadable", Self::Unreadable),
        ("not-ready", Self::NotReady),
        ("not-ready-tag", Self::NotReadyTag),
    ];

    /// The word in a record.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// What an internal fault of the tool does to what git was about to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum OnFault {
    Pass,
    Refuse,
}

impl OnFault {
    /// Both with their word in a record.
    pub const WORDS: [(&'static str, Self); 2] = [("pass", Self::Pass), ("refuse", Self::Refuse)];
}

/// `[quantity.NAME]`: a quantity of the designer's own.
#[derive(Clone, Debug)]
pub struct QuantityTable {
    /// What people call it.
    pub title: Option<At<String>>,
    /// The unit that it is shown in.
    pub unit: At<(Unit, Kind)>,
    /// How an assembly's value follows from its parts'.
    pub roll_up: At<RollUp>,
    /// Origins of the parts that must state it for its budget to be complete; none where not given.
    pub expected: Expected,
}

/// How an assembly's value follows from its parts'.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum RollUp {
    Sum,
    Max,
    Min,
    RootSumSquare,
    /// It does not: only a part's own figure counts.
    None,
}

impl RollUp {
    /// Every roll-up with its word in a record.
    pub const WORDS: [(&'static str, Self); 5] = [
        ("sum", Self::Sum),
        ("max", Self::Max),
        ("min", Self::Min),
        ("root-sum-square", Self::RootSumSquare),
        ("none", Self::None),
    ];
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Span;

    #[test]
    fn a_release_has_a_tag_and_a_tag_of_that_shape_has_a_release() {
        let check = |shape: Option<&str>, version: &str, name: &str| {
            let tag = shape.map(|shape| At::new(shape.to_owned(), Span::default()));
            let table = DesignTable { tag, ..DesignTable::default() };
            let version = Version::parse(version).expect("a version");
            assert_eq!(table.tag_of(&version), name);
            assert_eq!(table.release_of(name), Some(version));
            assert_eq!(table.release_of(&format!("x{name}")), None);
        };
        check(None, "1.0.0", "v1.0.0");
        check(Some("lantern/{version}-hw"), "1.0.0-rc.1", "lantern/1.0.0-rc.1-hw");
    }

    #[test]
    fn a_number_that_is_no_semantic_version_is_no_release() {
        for name in ["v1.0", "v01.0.0", "v1.0.0.0", "v", "latest"] {
            assert_eq!(DesignTable::default().release_of(name), None, "{name}");
        }
    }
}
