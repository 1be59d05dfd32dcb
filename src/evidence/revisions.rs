//! The designs of the revisions that were on the bench.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::{covered, seal_text};
use crate::design::Design;
use crate::facet::{self, Table};
use crate::record::{Evidence, Id};

/// What is known of the revisions that results name, by the text that names them. A revision that is
/// not in it, or that could not be read, cannot be told from.
#[derive(Clone, Debug, Default)]
pub struct RevisionSeals(BTreeMap<String, Revision>);

/// A design at a revision, with its facets.
#[derive(Clone, Debug)]
pub struct Revision {
    pub(super) design: Arc<Design>,
    pub(super) facets: Table,
}

impl Revision {
    /// The design as it was at a revision.
    #[must_use]
    pub fn of(design: Arc<Design>) -> Self {
        Self { facets: facet::table(&design), design }
    }

    /// The seal of what `evidence` covers here, as a record holds it: part and text, in the order of
    /// ids.
    #[must_use]
    pub fn seal_of(&self, evidence: &Evidence) -> Vec<(Id, String)> {
        let built = self.built_for(evidence);
        seal_text(&built.facets, &built.design, &covered(&built.design, evidence))
    }

    /// The build that was on the bench: the variant of the result, or the design itself.
    pub(super) fn built_for(&self, evidence: &Evidence) -> Cow<'_, Self> {
        let asked = evidence.variant.as_ref();
        let built = asked.and_then(|variant| self.design.as_variant(variant.as_str()));
        built.map_or(Cow::Borrowed(self), |built| Cow::Owned(Self::of(built)))
    }
}

impl RevisionSeals {
    /// The design that `revision` names.
    #[must_use]
    pub fn of(&self, revision: &str) -> Option<&Revision> {
        self.0.get(revision)
    }

    /// The revisions that results of `design` name and that standings follow from; those of sealed
    /// results too, which they are compared with, where `compare_seals`.
    #[must_use]
    pub fn demands(design: &Design, compare_seals: bool) -> Vec<String> {
        let asks = |evidence: &&Evidence| {
            evidence.set_aside.is_none() && (compare_seals || evidence.seal.is_empty())
        };
        let results = design.evidence.iter().map(|held| &*held.record).filter(asks);
        let mut named: Vec<String> = results
            .filter_map(|evidence| Some(evidence.revision.as_ref()?.value.clone()))
            .collect();
        named.sort();
        named.dedup();
        named
    }
}

impl FromIterator<(String, Revision)> for RevisionSeals {
    fn from_iter<I: IntoIterator<Item = (String, Revision)>>(items: I) -> Self {
        Self(items.into_iter().collect())
    }
}
