//! Seals: what was on the bench, compared with what is there now.

use std::collections::{BTreeMap, BTreeSet};

use super::{Changed, How, RevisionSeals, Standing, Undecidable, covered};
use crate::design::{Design, PartIx};
use crate::facet::{Facet, Table, changed_since, seal, sealed};
use crate::record::{CarriedOver, Evidence, Id, Seal};

/// The seal of the `covered` parts as a record holds it: part and text, in the order of ids.
#[must_use]
pub fn seal_text(table: &Table, design: &Design, covered: &BTreeSet<PartIx>) -> Vec<(Id, String)> {
    covered.iter().map(|part| (design.id(*part).clone(), seal(table.of(*part)))).collect()
}

/// What a result is compared with.
pub(super) struct Bench<'a> {
    pub(super) design: &'a Design,
    pub(super) facets: &'a Table,
    pub(super) covered: &'a BTreeSet<PartIx>,
}

/// What was on the bench, part by part.
type Sealed = BTreeMap<Id, Seal>;

/// The standing of a result, and the parts whose change is carried over.
pub(super) fn standing(
    bench: &Bench<'_>,
    evidence: &Evidence,
    revisions: &RevisionSeals,
) -> (Standing, Vec<Id>) {
    if evidence.set_aside.is_some() {
        return (Standing::SetAside, Vec::new());
    }
    let sealed = match on_the_bench(evidence, revisions) {
        Ok(sealed) => sealed,
        Err(standing) => return (standing, Vec::new()),
    };
    let mut changed = bench.changed_since(&sealed);
    let mut carried_over = Vec::new();
    changed.retain(|changed| {
        let is_carried = bench.is_carried_over(&changed.part, &evidence.carries_over);
        if is_carried {
            carried_over.push(changed.part.clone());
        }
        !is_carried
    });
    (bench.judge(changed), carried_over)
}

/// What the record says was on the bench: by its seal, else by its revision.
fn on_the_bench(evidence: &Evidence, revisions: &RevisionSeals) -> Result<Sealed, Standing> {
    let written: Sealed =
        evidence.seal.iter().map(|(part, seal)| (part.value.clone(), seal.value.clone())).collect();
    let revision = evidence.revision.as_ref().map(|revision| &revision.value);
    let at_revision = revision.and_then(|name| revisions.of(name)).map(|revision| {
        let revision = revision.built_for(evidence);
        let covered = covered(&revision.design, evidence);
        let seal =
            |part: &PartIx| (revision.design.id(*part).clone(), sealed(revision.facets.of(*part)));
        let sealed: Sealed = covered.iter().map(seal).collect();
        (revision, sealed, covered)
    });
    match (written.is_empty(), at_revision, revision) {
        (true, None, None) => Err(Standing::Unpinned),
        (true, None, Some(name)) => Err(Standing::Undecidable(Undecidable::Revision(name.clone()))),
        (true, Some((_, sealed, _)), _) => Ok(sealed),
        (false, None, _) => Ok(written),
        (false, Some((revision, _, covered)), _) => {
            let (design, facets) = (&revision.design, &revision.facets);
            let differs = Bench { design, facets, covered: &covered }.changed_since(&written);
            if differs.is_empty() { Ok(written) } else { Err(Standing::Contradiction(differs)) }
        }
    }
}

impl Bench<'_> {
    /// The parts that are not what `sealed` says, in the order of ids.
    fn changed_since(&self, sealed: &Sealed) -> Vec<Changed> {
        let covered: BTreeMap<&Id, PartIx> =
            self.covered.iter().map(|part| (self.design.id(*part), *part)).collect();
        let parts: BTreeSet<&Id> = covered.keys().copied().chain(sealed.keys()).collect();
        let how = |id: &Id| match (sealed.get(id), self.design.part(id.as_str())) {
            (None, _) => Some(How::New),
            (Some(_), None) => Some(How::Gone),
            (Some(seal), Some(part)) => {
                let facets = changed_since(seal, self.facets.of(part));
                (!facets.is_empty()).then_some(How::Facets(facets))
            }
        };
        parts
            .into_iter()
            .filter_map(|id| Some(Changed { part: id.clone(), how: how(id)? }))
            .collect()
    }

    /// Whether the part's present state is one that the result was carried over to.
    fn is_carried_over(&self, id: &Id, carried: &[CarriedOver]) -> bool {
        let Some(part) = self.design.part(id.as_str()) else { return false };
        let facets = self.facets.of(part);
        let of_part = carried.iter().filter(|carried| carried.part.value == *id);
        of_part.into_iter().any(|carried| changed_since(&carried.seal, facets).is_empty())
    }

    /// Stale, unless all that tells them apart is geometry whose files are not there.
    fn judge(&self, changed: Vec<Changed>) -> Standing {
        if changed.is_empty() {
            return Standing::Current;
        }
        let is_unknown = |changed: &Changed| {
            changed.how == How::Facets(vec![Facet::Geometry]) && self.lacks_files(&changed.part)
        };
        if changed.iter().all(is_unknown) {
            let parts = changed.into_iter().map(|changed| changed.part).collect();
            return Standing::Undecidable(Undecidable::Files(parts));
        }
        Standing::Stale(changed)
    }

    fn lacks_files(&self, id: &Id) -> bool {
        self.design.part(id.as_str()).is_some_and(|part| {
            self.design.files[part.index()].all().any(|named| named.found.is_empty())
        })
    }
}
