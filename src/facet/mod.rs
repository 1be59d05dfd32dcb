//! What a part is, in a few digests: the one language of change.
//!
//! Staleness, impact, recomputation, ledger, version proposal and upgrade all read this table. A
//! digest is unchanged by rebasing, squashing, moving a file, splitting record files, reformatting
//! TOML, and writing 1000 g for 1 kg.

mod content;
mod digest;
mod seal;
mod table;
#[cfg(test)]
mod tests;
mod word;

use std::sync::{Arc, OnceLock};

use serde::{Deserialize, Serialize};

use crate::design::{Design, PartIx, Pieces};

pub use digest::Digest;
pub use seal::{Since, Untold, says_all, seal, sealed, since};
pub use table::{is_surely_same, of, stands_on_the_same, table, table_since};

/// One aspect of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Facet {
    /// The shapes that its exports or mesh hold, whatever files they are in; its sources only where it
    /// has neither.
    Geometry,
    /// Material, walls, infill.
    Material,
    /// How it comes into being, maker, part number, designation; the version without its patch
    /// number only where there is none of these three and no file.
    Identity,
    /// Outer size and drawn sizes.
    Dimensions,
    /// What it is set to.
    Settings,
    /// What it contains, how many, where, and what of it is optional.
    Composition,
    /// Version, the versions that it takes of neighbours and of what it contains, the part that it
    /// took the place of.
    Interface,
    /// What is known: masses, heat, values, formulas, currents, hazards; density and softening
    /// temperature of its material.
    Figures,
    /// What it or its material costs, where; what is used up; from when on it is gone.
    Offers,
    /// Titles and notes.
    Prose,
}

impl Facet {
    /// Every facet, in the order of the table.
    pub const ALL: [Self; 10] = [
        Self::Geometry,
        Self::Material,
        Self::Identity,
        Self::Dimensions,
        Self::Settings,
        Self::Composition,
        Self::Interface,
        Self::Figures,
        Self::Offers,
        Self::Prose,
    ];

    /// The facets that a test result belongs to: change one and the thing on the bench is another.
    pub const PHYSICAL: [Self; 6] = [
        Self::Geometry,
        Self::Material,
        Self::Identity,
        Self::Dimensions,
        Self::Settings,
        Self::Composition,
    ];

    /// The word that is shown.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Geometry => "geometry",
            Self::Material => "material",
            Self::Identity => "identity",
            Self::Dimensions => "dimensions",
            Self::Settings => "settings",
            Self::Composition => "composition",
            Self::Interface => "interface",
            Self::Figures => "figures",
            Self::Offers => "offers",
            Self::Prose => "prose",
        }
    }

    /// Whether it is one of [`Facet::PHYSICAL`].
    #[must_use]
    pub fn is_physical(self) -> bool {
        Self::PHYSICAL.contains(&self)
    }
}

/// The digests of one part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Facets {
    /// In the order of [`Facet::ALL`].
    digests: [Digest; 10],
    /// Of the contents of the files that the geometry was read from, whatever they hold: equal
    /// contents are equal shapes, also where they are not at hand. Nothing for a part without
    /// files that are looked into.
    contents: Digest,
    /// How far the geometry is known.
    known: Known,
}

/// How far the shapes of a part are known here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Known {
    /// Every file was looked into.
    Whole,
    /// The content of a file is not at hand: a large file that was not fetched, say.
    NotAtHand,
    /// A file that is named is not in the revision.
    NotThere,
}

impl Facets {
    /// The digest of one facet. Where the geometry is not known it is that of the files' contents.
    #[must_use]
    pub fn get(&self, facet: Facet) -> Digest {
        self.digests[facet as usize]
    }

    /// How far the geometry is known.
    #[must_use]
    pub fn known(&self) -> Known {
        self.known
    }

    /// The facets of which the part says something.
    #[must_use]
    pub fn said(&self) -> Vec<Facet> {
        Facet::ALL.into_iter().filter(|facet| !self.get(*facet).is_nothing()).collect()
    }

    /// The facets in which this part differs from `other`.
    #[must_use]
    pub fn changed(&self, other: &Self) -> Vec<Facet> {
        let differs = |facet: &Facet| {
            let is_same = *facet == Facet::Geometry && self.has_contents_of(other);
            self.get(*facet) != other.get(*facet) && !is_same
        };
        Facet::ALL.into_iter().filter(differs).collect()
    }

    fn has_contents_of(&self, other: &Self) -> bool {
        !self.contents.is_nothing() && self.contents == other.contents
    }
}

/// The facets of every part of a design, each worked out when it is first asked for.
#[derive(Clone, Debug, Default)]
pub struct Table(Pieces<OnceLock<Arc<Facets>>>);

impl Table {
    /// The facets of one part of `design`, which the table is of.
    #[must_use]
    pub fn of(&self, design: &Design, part: PartIx) -> &Facets {
        self.0[part.index()].get_or_init(|| Arc::new(table::of(design, part)))
    }
}
