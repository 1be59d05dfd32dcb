//! A later state of a design, linked from an earlier one: what the change of a few parts leaves as it
//! is, is not linked again.

use std::cell::LazyCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::findings::Findings;
use super::formulas::Kinds;
use super::link::{check_plans, formula_kinds};
use super::parts::{self, PartKeys};
use super::{Design, Held, Link, NamedFile, PartIx, files, limits, named, variant};
use crate::diagnostic::{At, Severity};
use crate::fileset::{Entry, RepoPath};
use crate::parse::Parsed;
use crate::record::{Evidence, Id, Part, Records, Use};

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
/// `None` where more changed in them than parts, requirements, items, decisions and evidence without
/// files, where a part names or holds what it did not, or where something is wrong: the files have to be
/// linked as a whole then. What is returned is what linking them would give, but for documents and the logs of
/// tests, of which no figure comes: they may be those of the state before.
#[must_use]
pub fn relink(before: &Design, entries: &Entries, changed: &[Changed]) -> Option<Arc<Design>> {
    let mut design = before.clone();
    let mut parts = BTreeSet::new();
    for file in changed {
        replace(&mut design, file, &mut parts)?;
    }
    let is_special = |part: &Part| !part.formulas.is_empty() || !part.heat_paths.is_empty();
    let is_either = |part: &PartIx| [before, &design].map(|it| is_special(it.record(*part)));
    if parts.iter().any(|part| is_either(part).contains(&true)) {
        design.note_special_parts();
    }
    let mut findings = Findings::default();
    for part in &parts {
        link_part(before, &mut design, *part, entries, &mut findings)?;
    }
    check(&design, &parts, &mut findings);
    if changed.iter().any(holds_plans) {
        design.evidence_files = evidence_files(before, &design);
        // The codes that a waiver names were looked up before; no waiver is another.
        named::check_plans(&design, &named::Tables::of(&design), &[], &mut findings);
        check_plans(&design, &mut findings);
    }
    let is_sound = findings.into_sorted().is_empty();
    is_sound.then(|| Arc::new(design))
}

/// Puts the parts of the file in their places, and notes these; exchanges the records of other kinds.
fn replace(design: &mut Design, file: &Changed, parts: &mut BTreeSet<PartIx>) -> Option<()> {
    let (was, is) = (&file.before.records, &file.after.records);
    if !is_sound(&file.after) || !holds_known_kinds(was) || !holds_known_kinds(is) {
        return None;
    }
    let path = &file.path;
    exchange(&mut design.requirements, [&was.requirements, &is.requirements], path, |it| &it.id)?;
    exchange(&mut design.items, [&was.items, &is.items], path, |it| &it.id)?;
    exchange(&mut design.decisions, [&was.decisions, &is.decisions], path, |it| &it.id)?;
    exchange(&mut design.evidence, [&was.evidence, &is.evidence], path, |it| &it.id)?;
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

/// Whether the records are parts, or what no part depends on. Which files are of the design is told by
/// parts and evidence: what names none leaves that as it is.
fn holds_known_kinds(records: &Records) -> bool {
    let Records { parts, requirements, items, decisions, evidence, .. } = records;
    let known = parts.len() + requirements.len() + items.len() + decisions.len() + evidence.len();
    known == records.len() && evidence.iter().all(|evidence| evidence.files.is_empty())
}

fn holds_plans(file: &Changed) -> bool {
    [&file.before, &file.after].iter().any(|file| file.records.parts.len() < file.records.len())
}

/// Takes out what a file held of a kind, and puts in what it holds; nothing where an id is taken.
fn exchange<T>(
    held: &mut Vec<Held<T>>,
    [was, is]: [&[Arc<T>]; 2],
    path: &RepoPath,
    id: fn(&T) -> &At<Id>,
) -> Option<()> {
    for record in was {
        let place = held.iter().position(|held| Arc::ptr_eq(&held.record, record))?;
        held.remove(place);
    }
    for record in is {
        let word = id(record).as_str();
        let place = held.binary_search_by(|held| id(held).as_str().cmp(word)).err()?;
        held.insert(place, Held { record: Arc::clone(record), path: path.clone() });
    }
    Some(())
}

/// The files of evidence: those that it named before, since what came names none.
fn evidence_files(before: &Design, design: &Design) -> Vec<Vec<NamedFile>> {
    let files = |held: &Held<Evidence>| {
        let known = before.evidence.binary_search_by(|it| it.id.as_str().cmp(held.id.as_str()));
        let known =
            known.ok().filter(|place| Arc::ptr_eq(&before.evidence[*place].record, &held.record));
        known.map(|place| before.evidence_files[place].clone()).unwrap_or_default()
    };
    design.evidence.iter().map(files).collect()
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
    let kinds = match design.with_formulas.is_empty() {
        true => Kinds::default(),
        false => formula_kinds(design, findings),
    };
    limits::requirements(design, &kinds, findings);
    limits::evidence(design, &kinds, findings);
    variant::check(design, findings);
}
