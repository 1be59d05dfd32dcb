//! Every reference from record to record names something that is there.

use super::findings::Findings;
use super::references::{PART, Table};
use super::{Design, Held};
use crate::diagnostic::{At, Code, Diagnostic, did_you_mean};
use crate::parse::UNKNOWN_WORD;
use crate::record::{Evidence, Id, Item, Offer, Part, Rail, Step, Variant, Waived, Waiver};

/// A node and a part with one name: a heat path could mean either.
pub const AMBIGUOUS: Code = Code("ambiguous-name");

/// The ids of every kind.
pub(super) struct Tables<'a> {
    pub(super) parts: Table<'a>,
    neighbours: Table<'a>,
    feeders: Table<'a>,
    rails: Table<'a>,
    materials: Table<'a>,
    suppliers: Table<'a>,
    variants: Table<'a>,
    requirements: Table<'a>,
    items: Table<'a>,
    decisions: Table<'a>,
    steps: Table<'a>,
}

const MATERIAL: &str = "material";
const NEIGHBOUR: &str = "part or node";
const RAIL: &str = "rail";
const SUPPLIER: &str = "supplier";

impl<'a> Tables<'a> {
    /// The table of what a part calls so.
    fn of_kind(&self, kind: &str) -> &Table<'a> {
        match kind {
            MATERIAL => &self.materials,
            NEIGHBOUR => &self.neighbours,
            RAIL => &self.rails,
            SUPPLIER => &self.suppliers,
            _ => &self.parts,
        }
    }

    pub(super) fn of(design: &'a Design) -> Self {
        let parts = Table::of(&design.parts, |part| &part.id);
        let nodes = Table::of(&design.nodes, |node| &node.id);
        let rails = Table::of(&design.rails, |rail| &rail.id);
        Self {
            neighbours: parts.with(&nodes).and("ambient"),
            feeders: parts.with(&rails),
            parts,
            rails,
            materials: Table::of(&*design.materials, |material| &material.id),
            suppliers: Table::of(&design.suppliers, |supplier| &supplier.id),
            variants: Table::of(&design.variants, |variant| &variant.id),
            requirements: Table::of(&design.requirements, |requirement| &requirement.id),
            items: Table::of(&design.items, |item| &item.id),
            decisions: Table::of(&design.decisions, |decision| &decision.id),
            steps: Table::of(&design.steps, |step| &step.id),
        }
    }
}

/// Reports every reference to nothing; `checks` are the codes that a waiver can name.
pub(super) fn check(
    design: &Design,
    tables: &Tables<'_>,
    checks: &[&'static str],
    findings: &mut Findings,
) {
    design.parts.iter().for_each(|part| check_part(part, tables, findings));
    for node in &design.nodes {
        let neighbours = node.heat_paths.iter().map(|path| &path.to);
        tables.neighbours.check(neighbours, NEIGHBOUR, &node.path, findings);
        if tables.parts.get(node.id.as_str()).is_some() {
            let message =
                format!("`{}` is a part too: a heat path could mean either", node.id.as_str());
            findings.push(&node.path, Diagnostic::error(AMBIGUOUS, node.id.span, message));
        }
    }
    for material in &*design.materials {
        check_offers(&material.offers, material, tables, findings);
    }
    design.rails.iter().for_each(|rail| check_rail(rail, tables, findings));
    design.variants.iter().for_each(|variant| check_variant(variant, tables, findings));
    design.steps.iter().for_each(|step| check_step(step, tables, findings));
    check_plans(design, tables, checks, findings);
}

/// The same of what is asked of the product and planned, which no part names: requirements, evidence,
/// items, decisions, waivers.
pub(super) fn check_plans(
    design: &Design,
    tables: &Tables<'_>,
    checks: &[&'static str],
    findings: &mut Findings,
) {
    for requirement in &design.requirements {
        tables.parts.check(&requirement.part, PART, &requirement.path, findings);
        tables.rails.check(&requirement.rail, RAIL, &requirement.path, findings);
    }
    design.evidence.iter().for_each(|evidence| check_evidence(evidence, tables, findings));
    design.items.iter().for_each(|item| check_item(item, tables, findings));
    for decision in &design.decisions {
        tables.parts.check(&decision.parts, PART, &decision.path, findings);
        tables.decisions.check(&decision.replaces, "decision", &decision.path, findings);
    }
    design.waivers.iter().for_each(|waiver| check_waiver(waiver, tables, checks, findings));
}

fn check_part(part: &Held<Part>, tables: &Tables<'_>, findings: &mut Findings) {
    for (kind, id) in references(part) {
        tables.of_kind(kind).find(id, kind, &part.path, findings);
    }
}

/// What a part needs to be there, each with what it should be; what it contains stands in its links.
pub(super) fn references(part: &Part) -> impl Iterator<Item = (&'static str, &At<Id>)> {
    let materials = part.material.iter().map(|material| (MATERIAL, material));
    let fits = part.fits.iter().map(|(neighbour, _)| (PART, neighbour));
    let neighbours = part.heat_paths.iter().map(|path| (NEIGHBOUR, &path.to));
    let rails = part.draws.iter().map(|(rail, _)| (RAIL, rail));
    let suppliers = part.offers.iter().map(|offer| (SUPPLIER, &offer.supplier));
    materials.chain(fits).chain(neighbours).chain(rails).chain(suppliers)
}

fn check_offers<T>(offers: &[Offer], of: &Held<T>, tables: &Tables<'_>, findings: &mut Findings) {
    let suppliers = offers.iter().map(|offer| &offer.supplier);
    tables.suppliers.check(suppliers, SUPPLIER, &of.path, findings);
}

fn check_rail(rail: &Held<Rail>, tables: &Tables<'_>, findings: &mut Findings) {
    if let Some(feeder) = &rail.fed_by
        && tables.parts.get(feeder.as_str()).is_some()
        && tables.rails.get(feeder.as_str()).is_some()
    {
        let message = format!("`{}` is a part and a rail: either could be meant", feeder.as_str());
        findings.push(&rail.path, Diagnostic::error(AMBIGUOUS, feeder.span, message));
    }
    tables.feeders.check(&rail.fed_by, "rail or part", &rail.path, findings);
    let parts =
        rail.made_in.iter().chain(rail.derate.iter().filter_map(|derate| derate.at.as_ref()));
    tables.parts.check(parts, PART, &rail.path, findings);
}

fn check_variant(variant: &Held<Variant>, tables: &Tables<'_>, findings: &mut Findings) {
    let swapped = variant.swap.iter().flat_map(|(old, new)| [old, new]);
    let changed = variant.change.iter().flat_map(|(assembly, part, _)| [assembly, part]);
    let parts = variant.drop.iter().chain(swapped).chain(changed);
    tables.parts.check(parts, PART, &variant.path, findings);
    tables.steps.check(&variant.skip, "step", &variant.path, findings);
}

fn check_evidence(evidence: &Held<Evidence>, tables: &Tables<'_>, findings: &mut Findings) {
    let path = &evidence.path;
    // What was on the bench may be gone since, and not matter to the result.
    let was_there =
        |part: &At<Id>| evidence.seal.iter().any(|(sealed, _)| sealed.value == part.value);
    let except = evidence.except.iter().map(|(part, _)| part).filter(|part| !was_there(part));
    let sealed = evidence.carries_over.iter().map(|carried| &carried.part);
    let parts = evidence.part.iter().chain(&evidence.with).chain(except).chain(sealed);
    tables.parts.check(parts, PART, path, findings);
    tables.requirements.check(&evidence.verifies, "requirement", path, findings);
    tables.variants.check(&evidence.variant, "variant", path, findings);
}

fn check_item(item: &Held<Item>, tables: &Tables<'_>, findings: &mut Findings) {
    tables.parts.check(&item.parts, PART, &item.path, findings);
    tables.requirements.check(&item.blocks, "requirement", &item.path, findings);
    tables.items.check(&item.after, "item", &item.path, findings);
}

fn check_waiver(
    waiver: &Held<Waiver>,
    tables: &Tables<'_>,
    checks: &[&'static str],
    findings: &mut Findings,
) {
    match &waiver.waived {
        Some(Waived::Requirement(requirement)) => {
            tables.requirements.check([requirement], "requirement", &waiver.path, findings);
        }
        Some(Waived::Check { check, part }) => {
            tables.parts.check(part, PART, &waiver.path, findings);
            if !checks.is_empty() && !checks.contains(&check.as_str()) {
                findings.push(&waiver.path, unknown_check(check, checks));
            }
        }
        None => {}
    }
}

fn unknown_check(check: &At<Id>, checks: &[&'static str]) -> Diagnostic {
    let message = format!("there is no release check `{}`", check.as_str());
    let hint = did_you_mean(check.as_str(), checks.iter().copied());
    Diagnostic::error(UNKNOWN_WORD, check.span, message).with_hint_if(hint)
}

fn check_step(step: &Held<Step>, tables: &Tables<'_>, findings: &mut Findings) {
    let parts = step.uses.iter().chain(&step.makes).map(|(part, _)| part).chain(&step.option);
    tables.parts.check(parts, PART, &step.path, findings);
    tables.steps.check(&step.after, "step", &step.path, findings);
    tables.variants.check(&step.variant, "variant", &step.path, findings);
}
