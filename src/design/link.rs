//! Brings the files of a revision together: all that is wrong with them, or a design.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::formulas::{self, Kinds, Scope};
use super::references::{PART, Table, gather};
use super::{
    Design, Held, Link, PartFiles, PartIx, files, graph, limits, named, parts, quantities,
};
use crate::diagnostic::{At, Code, Diagnostic, Located, Severity, Span};
use crate::fileset::{Entry, RepoPath};
use crate::parse::{BAD_VALUE, Parsed};
use crate::record::{Id, Records};

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
    /// The codes that a waiver can name.
    pub checks: &'a [&'static str],
}

/// All that is wrong, while it is being found.
#[derive(Debug, Default)]
pub(super) struct Findings(Vec<Located>);

impl Findings {
    pub(super) fn push(&mut self, path: &RepoPath, diagnostic: Diagnostic) {
        self.0.push(diagnostic.located(path));
    }
}

/// Links the files of a revision into a design. Never fails: all errors are reported together.
#[must_use]
pub fn link(input: &Input<'_>) -> Linked {
    let mut findings = Findings::default();
    for (path, parsed) in all_files(input) {
        findings.0.extend(parsed.diagnostics.iter().cloned().map(|found| found.located(path)));
    }
    let design = design(input, &mut findings);
    let mut diagnostics = findings.0;
    diagnostics.sort_by(|a, b| (&a.path, a.diagnostic.span).cmp(&(&b.path, b.diagnostic.span)));
    diagnostics.dedup();
    let sound = diagnostics.iter().all(|found| found.diagnostic.severity != Severity::Error);
    Linked { design: design.filter(|_| sound).map(Arc::new), diagnostics }
}

fn all_files<'a>(input: &'a Input<'_>) -> impl Iterator<Item = (&'a RepoPath, &'a Arc<Parsed>)> {
    let manifest = std::iter::once((input.manifest_path, input.manifest));
    manifest.chain(input.files.iter().map(|(path, parsed)| (path, parsed)))
}

/// The design, as far as its records allow; every further error goes to `findings`.
fn design(input: &Input<'_>, findings: &mut Findings) -> Option<Design> {
    let count: usize = all_files(input).map(|(_, parsed)| parsed.records.len()).sum();
    if count > MOST_RECORDS {
        let message = format!("{count} records; a design holds at most {MOST_RECORDS}");
        let diagnostic = Diagnostic::error(TOO_MANY, Span::default(), message);
        findings.push(input.manifest_path, diagnostic);
        return None;
    }
    let table = &input.manifest.manifest.design;
    let currency = table.currency.as_ref()?.value;
    let mut design =
        gathered(input, quantities::all(&input.manifest.manifest, currency), findings)?;
    link_parts(&mut design, findings);
    link_files(&mut design, input, findings);
    let kinds = formula_kinds(&design, findings);
    check_everything(&design, input, &kinds, findings);
    order_steps(&mut design, findings);
    let top = Table::of(&design.parts, |part| &part.id).get(table.top.as_ref()?.as_str())?;
    design.top = PartIx::new(top);
    Some(design)
}

/// The records of all files by kind, sorted by id, not yet linked.
fn gathered(
    input: &Input<'_>,
    quantities: BTreeMap<Id, super::Quantity>,
    findings: &mut Findings,
) -> Option<Design> {
    macro_rules! kind {
        ($kind:literal, $field:ident) => {
            gather($kind, of_kind(input, |records| &records.$field), |record| &record.id, findings)
        };
    }
    let manifest = Arc::new(input.manifest.manifest.clone());
    Some(Design {
        manifest_path: input.manifest_path.clone(),
        name: manifest.design.name.as_ref()?.value.clone(),
        next: manifest.design.next.as_ref()?.value.clone(),
        currency: manifest.design.currency.as_ref()?.value,
        manifest,
        top: PartIx::new(0),
        quantities,
        parts: kind!("part", parts),
        links: Vec::new(),
        order: Vec::new(),
        figures: Vec::new(),
        files: Vec::new(),
        docs: Vec::new(),
        evidence_files: Vec::new(),
        nodes: kind!("node", nodes),
        rails: kind!("rail", rails),
        materials: kind!("material", materials),
        suppliers: kind!("supplier", suppliers),
        variants: kind!("variant", variants),
        requirements: kind!("requirement", requirements),
        evidence: kind!("evidence", evidence),
        items: kind!("item", items),
        decisions: kind!("decision", decisions),
        waivers: kind!("waiver", waivers),
        steps: kind!("step", steps),
    })
}

fn of_kind<'a, T: 'a>(
    input: &'a Input<'_>,
    records: impl Fn(&'a Records) -> &'a Vec<Arc<T>> + 'a,
) -> impl Iterator<Item = (RepoPath, Vec<Arc<T>>)> + 'a {
    all_files(input).map(move |(path, parsed)| (path.clone(), records(&parsed.records).clone()))
}

fn link_parts(design: &mut Design, findings: &mut Findings) {
    let table = Table::of(&design.parts, |part| &part.id);
    let links: Vec<Vec<Link>> =
        design.parts.iter().map(|part| parts::links(part, &table, findings)).collect();
    let amounts = parts::amount_dimensions(&design.parts, &links, findings);
    let figures = design.parts.iter().zip(amounts);
    design.figures = figures
        .map(|(part, amount)| parts::figures(part, amount, &design.quantities, findings))
        .collect();
    let edges: Vec<(usize, usize)> = links
        .iter()
        .enumerate()
        .flat_map(|(parent, links)| links.iter().map(move |link| (parent, link.child.index())))
        .collect();
    match graph::order(design.parts.len(), &edges) {
        Ok(order) => design.order = order.into_iter().map(PartIx::new).collect(),
        Err(cycles) => {
            for cycle in cycles {
                let message = format!(
                    "assemblies contain each other: {}",
                    path_of(&cycle, &design.parts, |part| &part.id)
                );
                report_cycle(
                    CONTAINMENT_CYCLE,
                    &cycle,
                    &design.parts,
                    |part| &part.id,
                    message,
                    findings,
                );
            }
        }
    }
    design.links = links;
}

fn path_of<T>(cycle: &[usize], records: &[Held<T>], id: impl Fn(&T) -> &At<Id>) -> String {
    let words: Vec<_> = cycle.iter().map(|index| id(&records[*index]).as_str()).collect();
    words.join(" → ")
}

fn report_cycle<T>(
    code: Code,
    cycle: &[usize],
    records: &[Held<T>],
    id: impl Fn(&T) -> &At<Id>,
    message: String,
    findings: &mut Findings,
) {
    if let Some(first) = cycle.first().map(|index| &records[*index]) {
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
    let of_part = |part: &Held<crate::record::Part>, findings: &mut Findings| -> PartFiles {
        files::of_part(part, &part.path, &root, input.entries, findings)
    };
    design.files = design.parts.iter().map(|part| of_part(part, findings)).collect();
}

fn formula_kinds(design: &Design, findings: &mut Findings) -> Kinds {
    let table = Table::of(&design.parts, |part| &part.id);
    let scope = Scope {
        parts: &design.parts,
        table: &table,
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
    dependency_cycles("item", &design.items, |item| &item.id, |item| &item.after, findings);
    dependency_cycles(
        "rail",
        &design.rails,
        |rail| &rail.id,
        |rail| rail.fed_by.as_slice(),
        findings,
    );
}

/// Puts the steps into an order that respects `after`; a cycle is reported.
fn order_steps(design: &mut Design, findings: &mut Findings) {
    let order =
        dependency_cycles("step", &design.steps, |step| &step.id, |step| &step.after, findings);
    design.steps = order.into_iter().map(|index| design.steps[index].clone()).collect();
}

/// An order of the records in which those that come first are first; empty where there is a cycle,
/// which is reported.
fn dependency_cycles<T>(
    kind: &str,
    records: &[Held<T>],
    id: impl Fn(&T) -> &At<Id> + Copy,
    after: impl Fn(&T) -> &[At<Id>],
    findings: &mut Findings,
) -> Vec<usize> {
    let table = Table::of(records, id);
    let edges: Vec<(usize, usize)> = records
        .iter()
        .enumerate()
        .flat_map(|(index, held)| {
            after(held)
                .iter()
                .filter_map(|first| table.get(first.as_str()))
                .map(move |first| (first, index))
        })
        .collect();
    graph::order(records.len(), &edges).unwrap_or_else(|cycles| {
        for cycle in cycles {
            let message = format!("{kind}s wait for each other: {}", path_of(&cycle, records, id));
            report_cycle(DEPENDENCY_CYCLE, &cycle, records, id, message, findings);
        }
        Vec::new()
    })
}

/// A value that the design cannot take.
pub(super) fn bad_value(span: Span, message: impl Into<String>) -> Diagnostic {
    Diagnostic::error(BAD_VALUE, span, message)
}
