//! Seals: what was on the bench, compared with what is there now.

use std::collections::{BTreeMap, BTreeSet};

use super::{Changed, How, RevisionSeals, Standing, Undecidable, covered};
use crate::design::{Design, PartIx};
use crate::facet::{self, Since, Table, Untold, seal, sealed, since};
use crate::record::{CarriedOver, Evidence, Id, Seal};

/// The seal of the `covered` parts as a record holds it: part and text, in the order of ids.
#[must_use]
pub fn seal_text(table: &Table, design: &Design, covered: &BTreeSet<PartIx>) -> Vec<(Id, String)> {
    covered.iter().map(|part| (design.id(*part).clone(), seal(table.of(design, *part)))).collect()
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
    let mut compared = bench.compared_with(&sealed);
    let is_excepted = |id: &Id| evidence.except.iter().any(|(excepted, _)| excepted.value == *id);
    compared.retain(|(id, _)| !is_excepted(id));
    let mut carried_over = Vec::new();
    compared.retain_mut(|(id, one)| match bench.carried_over(id, &evidence.carries_over) {
        Some(Compared::Same) => {
            carried_over.push(id.clone());
            false
        }
        Some(untold) => {
            *one = untold;
            true
        }
        None => true,
    });
    (judged(compared), carried_over)
}

/// Stale where anything is known to be another; else not decidable where something is not known.
fn judged(compared: Vec<(Id, Compared)>) -> Standing {
    let mut untold: BTreeMap<Untold, Vec<Id>> = BTreeMap::new();
    let mut changed = Vec::new();
    for (part, compared) in compared {
        match compared {
            Compared::Same => {}
            Compared::Another(how) => changed.push(Changed { part, how }),
            Compared::Untold(why) => untold.entry(why).or_default().push(part),
        }
    }
    match untold.pop_first() {
        _ if !changed.is_empty() => Standing::Stale(changed),
        None => Standing::Current,
        Some((why, parts)) => Standing::Undecidable(Undecidable::Geometry(why, parts)),
    }
}

/// What the record says was on the bench: by its seal, else by its revision.
fn on_the_bench(evidence: &Evidence, revisions: &RevisionSeals) -> Result<Sealed, Standing> {
    let written: Sealed =
        evidence.seal.iter().map(|(part, seal)| (part.value.clone(), seal.value.clone())).collect();
    let revision = evidence.revision.as_ref().map(|revision| &revision.value);
    let at_revision = revision.and_then(|name| revisions.of(name)).map(|revision| {
        let revision = revision.built_for(evidence);
        let covered = covered(&revision.design, evidence);
        let seal = |part: &PartIx| {
            let facets = revision.facets.of(&revision.design, *part);
            (revision.design.id(*part).clone(), sealed(facets))
        };
        let sealed: Sealed = covered.iter().map(seal).collect();
        (revision, sealed, covered)
    });
    match (written.is_empty(), at_revision, revision) {
        (true, None, None) => Err(Standing::Unpinned),
        (true, None, Some(name)) => Err(Standing::Undecidable(Undecidable::Revision(name.clone()))),
        (true, Some((_, sealed, _)), _) => Ok(sealed),
        (false, None, _) => Ok(written),
        (false, Some((revision, at_revision, covered)), _) => {
            let (design, facets) = (&revision.design, &revision.facets);
            let compared = Bench { design, facets, covered: &covered }.compared_with(&written);
            match judged(compared) {
                Standing::Stale(differs) => Err(Standing::Contradiction(differs)),
                _ => Ok(completed(written, at_revision)),
            }
        }
    }
}

/// A seal that was taken without the files of a part, with the geometry that its revision has.
fn completed(mut written: Sealed, mut at_revision: Sealed) -> Sealed {
    for (part, seal) in &mut written {
        let lacks_geometry = !facet::says_all(seal);
        if let Some(known) = at_revision.remove(part).filter(|_| lacks_geometry) {
            *seal = known;
        }
    }
    written
}

/// A part against what it was on the bench.
enum Compared {
    Same,
    Another(How),
    Untold(Untold),
}

impl From<Since> for Compared {
    fn from(Since { changed, untold }: Since) -> Self {
        match (changed.is_empty(), untold) {
            (true, None) => Self::Same,
            (true, Some(why)) => Self::Untold(why),
            (false, _) => Self::Another(How::Facets(changed)),
        }
    }
}

impl Bench<'_> {
    /// The parts that are not for sure what `sealed` says, in the order of ids.
    fn compared_with(&self, sealed: &Sealed) -> Vec<(Id, Compared)> {
        let covered = self.covered.iter().map(|part| self.design.id(*part));
        let parts: BTreeSet<&Id> = covered.chain(sealed.keys()).collect();
        let one = |id: &Id| match (sealed.get(id), self.design.part(id.as_str())) {
            (None, _) => Compared::Another(How::New),
            (Some(_), None) => Compared::Another(How::Gone),
            (Some(seal), Some(part)) => since(seal, self.facets.of(self.design, part)).into(),
        };
        let all = parts.into_iter().map(|id| (id.clone(), one(id)));
        all.filter(|(_, compared)| !matches!(compared, Compared::Same)).collect()
    }

    /// The part's present state against those that the result was carried over to: the same as one of
    /// them, or not known to be another than one of them.
    fn carried_over(&self, id: &Id, carried: &[CarriedOver]) -> Option<Compared> {
        let facets = self.facets.of(self.design, self.design.part(id.as_str())?);
        let of_part = carried.iter().filter(|carried| carried.part.value == *id);
        let compared = of_part.map(|carried| Compared::from(since(&carried.seal, facets)));
        let possible = compared.filter(|compared| !matches!(compared, Compared::Another(_)));
        possible.min_by_key(|compared| matches!(compared, Compared::Untold(_)))
    }
}
