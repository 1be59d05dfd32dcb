//! A later state of a design, linked from an earlier one: what the change of a few parts leaves as it
//! is, is not linked again.

use std::cell::LazyCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::findings::Findings;
use super::formulas::Kinds;
use super::link::formula_kinds;
use super::parts::{self, PartKeys};
use super::{Design, Link, PartIx, files, limits, named, variant};
use crate::diagnostic::Severity;
use crate::fileset::{Entry, RepoPath};
use crate::parse::Parsed;
use crate::record::{Part, Records, Use};

/// What lies at every path of a state.
type Entries = BTreeMap<RepoPath, Entry>;

/// A record file that is another.
pub struct Changed {
    /// Where it lies, in both states.
    pub path: RepoPath,
    /// What stood there.
    pub before: Arc<Parsed>,
    /// What stands there.
    pub after: Arc<Parsed>,
}

/// The design of a state with these `entries`, which has the manifest, the record files and the files
/// that records name of `before`; only the record files `changed` are others.
///
/// `None` where more than parts changed in them, where a part names or holds what it did not, or where
/// something is wrong: the files have to be linked as a whole then. What is returned is what linking
/// them would give.
#[must_use]
pub fn relink(before: &Design, entries: &Entries, changed: &[Changed]) -> Option<Arc<Design>> {
    let mut design = before.clone();
    let mut parts = BTreeSet::new();
    for file in changed {
        replace(&mut design, file, &mut parts)?;
    }
    let mut findings = Findings::default();
    for part in &parts {
        link_part(before, &mut design, *part, entries, &mut findings)?;
    }
    check(&design, &parts, &mut findings);
    let is_sound = findings.into_sorted().is_empty();
    is_sound.then(|| Arc::new(design))
}

/// Puts the parts of the file in their places, and notes these.
fn replace(design: &mut Design, file: &Changed, parts: &mut BTreeSet<PartIx>) -> Option<()> {
    let (was, is) = (&file.before.records, &file.after.records);
    if !is_sound(&file.after) || !holds_parts_alone(was) || !holds_parts_alone(is) {
        return None;
    }
    if was.parts.len() != is.parts.len() {
        return None;
    }
    for (was, is) in was.parts.iter().zip(&is.parts) {
        let place = design.part(is.id.as_str()).filter(|_| was.id.value == is.id.value)?;
        let held = &mut design.parts[place.index()];
        // Two parts of one name are an error; the second one has no place.
        if !Arc::ptr_eq(&held.record, was) || held.path != file.path {
            return None;
        }
        held.record = Arc::clone(is);
        parts.insert(place);
    }
    Some(())
}

fn is_sound(parsed: &Parsed) -> bool {
    let is_error = |severity| severity == Severity::Error;
    !parsed.incomplete
        && parsed.lost.is_empty()
        && !parsed.diagnostics.iter().any(|found| is_error(found.severity))
}

fn holds_parts_alone(records: &Records) -> bool {
    records.parts.len() == records.len()
}

/// Links what is new of one part; nothing where its place among the others is not what it was.
fn link_part(
    before: &Design,
    design: &mut Design,
    part: PartIx,
    entries: &Entries,
    findings: &mut Findings,
) -> Option<()> {
    let at = part.index();
    let (was, is) = (before.record(part), design.record(part).clone());
    let has_same_place = links(design, &is)? == before.links[at]
        && refers_to_no_more(was, &is)
        && limits::articles(was).eq(limits::articles(&is));
    if !has_same_place {
        return None;
    }
    let keys: PartKeys = LazyCell::new(parts::part_keys);
    let figures = parts::figures_of(&is, design.amounts[at], design, &keys, findings);
    design.figures[at] = Arc::new(figures);
    let root = design.manifest_path.folder();
    let named = files::of_part(&is, &is.path, &root, entries, findings);
    if !named.mean_the_same(&before.files[at]) {
        return None;
    }
    design.files[at] = Arc::new(named);
    before.demands_of(part).eq(design.demands_of(part)).then_some(())
}

/// What an assembly holds; nothing where a part of it is not there.
fn links(design: &Design, assembly: &Part) -> Option<Vec<Link>> {
    let link = |line: &Use| Some(parts::link(line, design.part(line.part.as_str())?));
    let mut links: Vec<Link> = assembly.contains.iter().map(link).collect::<Option<_>>()?;
    links.sort_by_key(|link| link.child);
    Some(links)
}

/// Whether all that the part names was named by it before, and is therefore there.
fn refers_to_no_more(was: &Part, is: &Part) -> bool {
    let known: BTreeSet<_> = named::references(was).map(|(kind, id)| (kind, &id.value)).collect();
    named::references(is).all(|(kind, id)| known.contains(&(kind, &id.value)))
}

/// What other records ask of the parts that changed, and what these ask themselves.
fn check(design: &Design, parts: &BTreeSet<PartIx>, findings: &mut Findings) {
    for part in parts {
        limits::money_of(design, *part, findings);
    }
    let has_formulas = design.parts.iter().any(|part| !part.formulas.is_empty());
    let kinds = if has_formulas { formula_kinds(design, findings) } else { Kinds::default() };
    limits::requirements(design, &kinds, findings);
    limits::evidence(design, &kinds, findings);
    variant::check(design, findings);
}
