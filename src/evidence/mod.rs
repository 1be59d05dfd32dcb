//! What tests still say: results against the present state of the parts that were on the bench.
//!
//! The seal of a result lists the physical facets of every part that it covers. Whether it still
//! holds follows from the record and the table of facets alone, without any history.

mod covered;
mod disagree;
mod near;
mod reading;
mod revisions;
mod seal;
mod stand_ins;
#[cfg(test)]
mod tests;
pub mod trials;

use std::collections::BTreeSet;

use crate::design::{Design, PartIx};
use crate::facet::{Facet, Table, Untold};
use crate::facts::Nearness;
use crate::record::{Evidence, Id, Method};

pub use covered::covered;
pub use disagree::{Contradicted, Disagreement, contradicted, disagreements};
pub use reading::{Carried, MOST_RISE_K_PER_S, NotCounting, Reading, is_of_temperature, reading};
pub use revisions::{Revision, RevisionSeals};
pub use seal::seal_text;
pub use stand_ins::stand_ins;

/// How a result stands to the design as it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Every part that it covers is the same thing as on the bench, or its change is carried over.
    Current,
    /// Parts that it covers are other things now; in the order of ids.
    Stale(Vec<Changed>),
    /// It says neither by seal nor by revision what was on the bench.
    Unpinned,
    /// What was on the bench, or what is there now, cannot be told here.
    Undecidable(Undecidable),
    /// Its seal and its revision tell of different things; the parts in which they do.
    Contradiction(Vec<Changed>),
    /// It was set aside for the reason that its record gives.
    SetAside,
}

/// Why it cannot be told whether a result is current.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Undecidable {
    /// The revision that was on the bench cannot be read here.
    Revision(String),
    /// The geometry of these parts cannot be compared, for this reason; in the order of ids.
    Geometry(Untold, Vec<Id>),
}

/// A part that is not what it was on the bench.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Changed {
    /// The part.
    pub part: Id,
    /// How it is another.
    pub how: How,
}

/// How a part is not what it was on the bench.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum How {
    /// In these physical facets.
    Facets(Vec<Facet>),
    /// It is no longer in the design.
    Gone,
    /// It was not on the bench, and is covered now.
    New,
}

/// A result's standing, with what it follows from.
#[derive(Clone, Debug)]
pub struct Stands {
    /// The standing.
    pub standing: Standing,
    /// The parts that the result covers today.
    pub covered: BTreeSet<PartIx>,
    /// Parts whose later state a `carries-over` makes count as unchanged; in the order of ids.
    pub carried_over: Vec<Id>,
    /// Of a temperature: parts on its heat paths that it neither covers nor excepts.
    pub left_out: Vec<PartIx>,
    /// Of parts whose geometry changed: how near their meshes are to those on the bench, where both
    /// are known; in the order of ids.
    pub near: Vec<(Id, Nearness)>,
}

impl Stands {
    /// Whether the result is current.
    #[must_use]
    pub fn is_current(&self) -> bool {
        self.standing == Standing::Current
    }
}

/// How every result of a design stands.
#[derive(Clone, Debug, Default)]
pub struct Standings {
    variant: Option<Id>,
    by_evidence: Vec<Stands>,
    facets: Table,
}

impl Standings {
    /// Those of a design of which the facets are known, and no result is asked for.
    #[must_use]
    pub fn of_none(facets: Table) -> Self {
        Self { facets, ..Self::default() }
    }

    /// How the result at `index` of [`Design::evidence`] stands.
    #[must_use]
    pub fn of(&self, index: usize) -> &Stands {
        &self.by_evidence[index]
    }

    /// The facets of the design.
    #[must_use]
    pub fn facets(&self) -> &Table {
        &self.facets
    }

    /// The results of the build that is judged, each with its place: those of its variant, or those
    /// of no variant for the design itself.
    pub fn results<'a>(
        &'a self,
        design: &'a Design,
    ) -> impl Iterator<Item = (usize, &'a Evidence, &'a Stands)> {
        let all = design.evidence.iter().zip(&self.by_evidence).enumerate();
        let all = all.map(|(index, (evidence, stands))| (index, &*evidence.record, stands));
        all.filter(|(_, evidence, _)| {
            evidence.variant.as_ref().map(|variant| &variant.value) == self.variant.as_ref()
        })
    }
}

/// How every result of `design` stands, where `facets` is the table of its parts; `revisions` are the
/// designs of the revisions that results name. What counts is that of `variant`, or of the design
/// itself.
#[must_use]
pub fn standings(
    design: &Design,
    facets: Table,
    revisions: &RevisionSeals,
    variant: Option<&Id>,
) -> Standings {
    let stands = |evidence: &Evidence| {
        let covered = covered(design, evidence);
        let bench = seal::Bench { design, facets: &facets, covered: &covered };
        let (standing, carried_over) = seal::standing(&bench, evidence, revisions);
        let left_out = covered::left_out(design, evidence, &covered);
        let near = near::near(design, &standing, evidence, revisions);
        Stands { standing, carried_over, left_out, near, covered }
    };
    let by_evidence = design.evidence.iter().map(|held| stands(held)).collect();
    Standings { variant: variant.cloned(), by_evidence, facets }
}

/// How a result was determined: by test where its record does not say.
#[must_use]
pub fn method(evidence: &Evidence) -> Method {
    evidence.method.as_ref().map_or(Method::Test, |method| method.value)
}

/// Whether `one` was won after `other`: by their days, and on one day by their names.
#[must_use]
pub fn is_later(one: &Evidence, other: &Evidence) -> bool {
    let order = |of: &'_ Evidence| (of.on.as_ref().map(|on| on.value), of.id.value.clone());
    order(one) > order(other)
}
