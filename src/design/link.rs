//! Brings the files of a revision together: all that is wrong with them, or a design.

use std::collections::BTreeMap;
use std::ops::Index;
use std::sync::Arc;

use semver::Version;

use super::findings::Findings;
use super::formulas::{self, Kinds, Scope};
use super::references::{PART, Table, gather};
use super::{
    Design, Held, Link, PartIx, Pieces, files, graph, limits, named, parts, quantities, turn,
    variant,
};
use crate::diagnostic::{At, Code, Diagnostic, Located, Severity, Span};
use crate::fileset::{Entry, RepoPath};
use crate::parse::{BAD_VALUE, Parsed};
use crate::quantity::Currency;
use crate::record::{Id, Part, Records};

/// A quantity of another dimension than the one that its place asks for.
pub const WRONG_KIND: Code = crate::parse::WRONG_DIMENSION;
/// Assemblies that contain each other.
pub const CONTAINMENT_CYCLE: Code = Code("containment-cycle");
/// Items, steps or rails that wait for each other.
pub const DEPENDENCY_CYCLE: Code = Code("dependency-cycle");
/// More records than a design can hold.
pub const TOO_MANY: Code = Code("too-many-records");
/// A money amount in a currency without a dated rate.
pub const NO_RATE: Code = Code("missing-rate");

/// The most records that a design can hold.
pub const MOST_RECORDS: usize = 1_000_000;

/// What the files of a revision come to.
#[derive(Clone, Debug, Default)]
pub struct Linked {
    /// The design, where nothing is wrong.
    pub design: Option<Arc<Design>>,
    /// All that is wrong, by file and place.
    pub diagnostics: Vec<Located>,
}

/// The files of a revision.
pub struct Input<'a> {
    /// Where the manifest lies.
    pub manifest_path: &'a RepoPath,
    /// The manifest.
    pub manifest: &'a Arc<Parsed>,
    /// The record files that it selects, in the order of paths.
    pub files: &'a [(RepoPath, Arc<Parsed>)],
    /// Every path of the revision.
    pub entries: &'a BTreeMap<RepoPath, Entry>,
    /// The codes that a waiver can name; any where none is given.
    pub checks: &'a [&'static str],
}

impl<'a> Input<'a> {
    /// The manifest and the record files.
    pub(super) fn all_files(
        &self,
    ) -> impl Iterator<Item = (&'a RepoPath, &'a Arc<Parsed>)> + use<'a> {
        let manifest = std::iter::once((self.manifest_path, self.manifest));
        manifest.chain(self.files.iter().map(|(path, parsed)| (path, parsed)))
    }
}

/// Links the files of a revision into a design. Never fails: all errors are reported together.
#[must_use]
pub fn link(input: &Input<'_>) -> Linked {
    let mut findings = Findings::of(input);
    let design = design(input, &mut findings);
    let mut diagnostics = findings.into_sorted();
    // What is wrong there, a glob that finds nothing say, may be why all else is.
    diagnostics.sort_by_key(|found| found.path != *input.manifest_path);
    let sound = diagnostics.iter().all(|found| found.diagnostic.severity != Severity::Error);
    Linked { design: design.filter(|_| sound).map(Arc::new), diagnostics }
}

/// The design, as far as its records allow; every further error goes to `findings`.
fn design(input: &Input<'_>, findings: &mut Findings) -> Option<Design> {
    let count: usize = input.all_files().map(|(_, parsed)| parsed.records.len()).sum();
    if count > MOST_RECORDS {
        let message = format!("{count} records; a design holds at most {MOST_RECORDS}");
        let diagnostic = Diagnostic::error(TOO_MANY, Span::default(), message);
        findings.push(input.manifest_path, diagnostic);
        return None;
    }
    let rules = input.manifest.rules();
    let table = &rules.design;
    let mut design = gathered(input, findings);
    link_parts(&mut design, findings);
    link_files(&mut design, input, findings);
    let kinds = formula_kinds(&design, findings);
    check_everything(&design, input, &kinds, findings);
    order_steps(&mut design, findings);
    if table.currency.is_none() {
        // Every amount of money would seem to be in a wrong currency.
        findings.forget(&[WRONG_KIND, NO_RATE]);
    }
    design.top = design.part(table.top.as_ref()?.as_str())?;
    Some(design)
}

/// The records of all files by kind, sorted by id, not yet linked.
fn gathered(input: &Input<'_>, findings: &mut Findings) -> Design {
    macro_rules! kind {
        ($kind:literal, $field:ident) => {
            gather($kind, of_kind(input, |records| &records.$field), |record| &record.id, findings)
        };
    }
    let manifest = input.manifest.rules();
    // What the manifest lacks is reported already; the rest is linked without it.
    let table = &manifest.design;
    let currency = table.currency.as_ref().map_or(Currency::NONE, |currency| currency.value);
    let name = table.name.as_ref().map_or(Id::from("unnamed"), |name| name.value.clone());
    let next = table.next.as_ref().map_or(Version::new(0, 0, 0), |next| next.value.clone());
    let parts = kind!("part", parts);
    Design {
        manifest_path: input.manifest_path.clone(),
        name,
        next,
        currency,
        quantities: Arc::new(quantities::all(&manifest, currency)),
        manifest,
        variant: None,
        top: PartIx::new(0),
        ids: Arc::new(parts.iter().map(|part| part.id.value.clone()).collect()),
        parts: parts.into(),
        with_formulas: Arc::default(),
        with_heat_paths: Arc::default(),
        with_files: Arc::default(),
        links: Arc::default(),
        amounts: Arc::default(),
        order: Arc::default(),
        figures: Pieces::default(),
        files: Pieces::default(),
        facts: Arc::default(),
        docs: Vec::new(),
        evidence_files: Vec::new(),
        nodes: kind!("node", nodes),
        rails: kind!("rail", rails),
        materials: Arc::new(kind!("material", materials)),
        suppliers: kind!("supplier", suppliers),
        variants: kind!("variant", variants),
        requirements: kind!("requirement", requirements),
        evidence: kind!("evidence", evidence),
        items: kind!("item", items),
        decisions: kind!("decision", decisions),
        waivers: kind!("waiver", waivers),
        steps: kind!("step", steps),
    }
}

fn of_kind<'a, T: 'a>(
    input: &'a Input<'_>,
    records: impl Fn(&'a Records) -> &'a Vec<Arc<T>> + 'a,
) -> impl Iterator<Item = (&'a RepoPath, &'a [Arc<T>])> + 'a {
    input.all_files().map(move |(path, parsed)| (path, &**records(&parsed.records)))
}

fn link_parts(design: &mut Design, findings: &mut Findings) {
    let table = Table::of(&design.parts, |part| &part.id);
    let links: Vec<Vec<Link>> =
        design.parts.iter().map(|part| parts::links(part, &table, findings)).collect();
    let mut amounts = parts::amount_dimensions(&design.parts, &links, &design.quantities, findings);
    variant::amounts(design, &mut amounts, findings);
    design.amounts = Arc::new(amounts.into_iter().map(Option::unwrap_or_default).collect());
    design.figures = parts::figures(design, findings);
    let edges: Vec<(usize, usize)> = links
        .iter()
        .enumerate()
        .flat_map(|(parent, links)| links.iter().map(move |link| (parent, link.child.index())))
        .collect();
    match graph::order(design.parts.len(), &edges) {
        Ok(order) => design.order = Arc::new(order.into_iter().map(PartIx::new).collect()),
        Err(cycles) => {
            report_cycles(
                CONTAINMENT_CYCLE,
                "assemblies contain each other",
                &cycles,
                &design.parts,
                |part| &part.id,
                findings,
            );
        }
    }
    design.links = Arc::new(links);
    design.note_special_parts();
}

/// Reports each cycle at its first record: `assemblies contain each other: lid → hinge → lid`.
pub(super) fn report_cycles<T>(
    code: Code,
    what: &str,
    cycles: &[Vec<usize>],
    records: &(impl Index<usize, Output = Held<T>> + ?Sized),
    id: impl Fn(&T) -> &At<Id>,
    findings: &mut Findings,
) {
    for cycle in cycles {
        let Some(first) = cycle.first().map(|index| &records[*index]) else { continue };
        let words: Vec<_> = cycle.iter().map(|index| id(&records[*index]).as_str()).collect();
        let message = format!("{what}: {}", words.join(" → "));
        findings.push(&first.path, Diagnostic::error(code, id(first).span, message));
    }
}

fn link_files(design: &mut Design, input: &Input<'_>, findings: &mut Findings) {
    let root = design.manifest_path.folder();
    let resolve = |path: &At<String>, by: &RepoPath, findings: &mut Findings| {
        files::resolve(path, by, &root, input.entries, findings)
    };
    design.evidence_files = design
        .evidence
        .iter()
        .map(|held| held.files.iter().map(|path| resolve(path, &held.path, findings)).collect())
        .collect();
    let docs = design.manifest.design.docs.iter();
    design.docs = docs
        .map(|(role, path)| (role.value.clone(), resolve(path, input.manifest_path, findings)))
        .collect();
    let none = Arc::default();
    let of_part = |part: &Held<Part>| {
        let named = files::of_part(part, &part.path, &root, input.entries, findings);
        if named.all().next().is_none() { Arc::clone(&none) } else { Arc::new(named) }
    };
    design.files = design.parts.iter().map(of_part).collect();
}

pub(super) fn formula_kinds(design: &Design, findings: &mut Findings) -> Kinds {
    let table = Table::of(&design.parts, |part| &part.id);
    let scope = Scope {
        parts: &design.parts,
        table: &table,
        amounts: &design.amounts,
        quantities: &design.quantities,
        manifest: &design.manifest,
    };
    formulas::kinds(&scope, findings)
}

fn check_everything(design: &Design, input: &Input<'_>, kinds: &Kinds, findings: &mut Findings) {
    let tables = named::Tables::of(design);
    if let Some(top) = &design.manifest.design.top {
        tables.parts.find(top, PART, &design.manifest_path, findings);
    }
    limits::manifest(design, findings);
    named::check(design, &tables, input.checks, findings);
    limits::requirements(design, kinds, findings);
    limits::evidence(design, kinds, findings);
    limits::money(design, findings);
    variant::check(design, findings);
    let what = "rails feed each other";
    check_order(what, &design.rails, |rail| &rail.id, |rail| rail.fed_by.as_slice(), findings);
    check_plans(design, findings);
}

/// Reports items and decisions that wait for themselves.
pub(super) fn check_plans(design: &Design, findings: &mut Findings) {
    let what = "items wait for each other";
    check_order(what, &design.items, |item| &item.id, |item| &item.after, findings);
    let what = "decisions replace each other";
    check_order(
        what,
        &design.decisions,
        |decision| &decision.id,
        |decision| &decision.replaces,
        findings,
    );
}

/// Puts the steps into the order in which they are done; a cycle is reported.
fn order_steps(design: &mut Design, findings: &mut Findings) {
    let what = "steps wait for each other";
    check_order(what, &design.steps, |step| &step.id, |step| &step.after, findings);
    design.steps = turn::steps(design);
}

/// Reports where records wait for each other.
fn check_order<T>(
    what: &str,
    records: &[Held<T>],
    id: for<'r> fn(&'r T) -> &'r At<Id>,
    after: impl Fn(&T) -> &[At<Id>],
    findings: &mut Findings,
) {
    let table = Table::of(records, id);
    let edges: Vec<(usize, usize)> = records
        .iter()
        .enumerate()
        .flat_map(|(index, held)| {
            let first = after(held).iter().filter_map(|first| table.get(first.as_str()));
            first.map(move |first| (first, index))
        })
        .collect();
    if let Err(cycles) = graph::order(records.len(), &edges) {
        report_cycles(DEPENDENCY_CYCLE, what, &cycles, records, id, findings);
    }
}

/// A value that the design cannot take.
pub(super) fn bad_value(span: Span, message: impl Into<String>) -> Diagnostic {
    Diagnostic::error(BAD_VALUE, span, message)
}
