//! From one release to another for somebody who has built the first: what to get, what to keep, what
//! to throw away, what to do again.

#[cfg(test)]
mod tests;
mod way;

use std::collections::BTreeSet;

use rust_decimal::Decimal;

use crate::design::{Design, PartIx};
use crate::evaluate::purchase::Purchase;
use crate::facet::Facet;
use crate::interchange::Break;
use crate::record::Id;

use way::Way;

/// What leads from one build to another.
#[derive(Clone, Debug, Default)]
pub struct Upgrade {
    /// Parts to make or to buy, in the order of ids.
    pub get: Vec<Get>,
    /// What of them is bought, as one order.
    pub order: Purchase,
    /// Parts that stay in, in the order of ids, as all that follow.
    pub keep: Vec<Kept>,
    /// Parts that stay in and are set to something else.
    pub set: Vec<Setting>,
    /// Made parts that are of no use any more.
    pub discard: Vec<Kept>,
    /// Bought parts that are left over.
    pub left_over: Vec<Kept>,
    /// Steps to do (again), in the order of assembly, each with why.
    pub steps: Vec<(Id, Again)>,
    /// Requirements that are shown on a build, and about a part that becomes another or holds one.
    pub tests: Vec<Id>,
    /// What is no longer interchangeable.
    pub breaks: Vec<Break>,
    /// The parts that become others, and all that the steps handle: whose hazards matter.
    pub handled: BTreeSet<PartIx>,
}

/// A part to get.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Get {
    /// The part of the later release.
    pub part: PartIx,
    /// Pieces, or the extent in base units.
    pub amount: Decimal,
    /// Why.
    pub why: Why,
    /// Whether it is bought, and not made by the builder.
    pub bought: bool,
}

/// Why a part has to be got.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Why {
    /// The build has none yet.
    New,
    /// The build has fewer.
    More,
    /// The old one cannot take its place.
    Broken,
    /// It is better; the old one fits too.
    Better,
    /// It is another in these facets, and no version says whether the old one fits.
    Other(Vec<Facet>),
}

/// So much of a part of the earlier release.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// The part, in the earlier release.
    pub part: PartIx,
    /// Pieces, or the extent in base units.
    pub amount: Decimal,
}

/// A part that is set to something else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// The part of the later release.
    pub part: PartIx,
    /// The settings that are others.
    pub settings: Vec<Id>,
}

/// Why a step is done (again).
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Again {
    /// It was not there.
    New,
    /// It is done otherwise.
    Other,
    /// It handles these parts, which become others.
    For(Vec<Id>),
}

/// What a builder of `was` does to have `is`. Optional parts are left out.
#[must_use]
pub fn upgrade(was: &Design, is: &Design) -> Upgrade {
    let mut way = Way::of(was, is);
    way.parts_of_new();
    way.parts_of_old();
    way.order();
    way.steps();
    way.tests();
    way.found
}
