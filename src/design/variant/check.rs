//! What a variant changes is there to be changed, and leaves a design that can be judged.

use super::super::findings::Findings;
use super::super::formulas::{self, Scope};
use super::super::limits;
use super::super::link::CONTAINMENT_CYCLE;
use super::super::parts::{MIXED_AMOUNTS, amount_word};
use super::super::references::Table;
use super::super::{Design, Held};
use super::built;
use crate::diagnostic::{At, Code, Diagnostic, Span};
use crate::parse::{BAD_VALUE, CONTRADICTION};
use crate::quantity::Dimension;
use crate::record::{Id, Variant};

/// Completes what each part's amounts are measured in by those that only variants hold.
pub(in super::super) fn amounts(
    design: &Design,
    known: &mut [Option<Dimension>],
    findings: &mut Findings,
) {
    for variant in &design.variants {
        for (old, new) in &variant.swap {
            if let Some(found) = design.part(old.as_str()).and_then(|old| known[old.index()]) {
                settle(design, known, variant, (new, new.span), found, findings);
            }
        }
        for (_, part, amount) in &variant.change {
            settle(design, known, variant, (part, amount.span), amount.dimension, findings);
        }
    }
}

fn settle(
    design: &Design,
    known: &mut [Option<Dimension>],
    variant: &Held<Variant>,
    (part, span): (&At<Id>, Span),
    found: Dimension,
    findings: &mut Findings,
) {
    let Some(place) = design.part(part.as_str()) else { return };
    let known = *known[place.index()].get_or_insert(found);
    if known != found {
        let (here, elsewhere) = (amount_word(found), amount_word(known));
        let message = format!("`{}` is {here} here and {elsewhere} elsewhere", part.as_str());
        findings.push(&variant.path, Diagnostic::error(MIXED_AMOUNTS, span, message));
    }
}

/// Reports what a variant cannot change, and what cannot be judged any more in it.
pub(in super::super) fn check(design: &Design, findings: &mut Findings) {
    for variant in &design.variants {
        check_words(design, variant, findings);
        // What does not exist is reported elsewhere, and whoever speaks of it misses it for that alone.
        let swapped = variant.swap.iter().flat_map(|(old, new)| [old, new]);
        if swapped.into_iter().any(|part| design.part(part.as_str()).is_none()) {
            continue;
        }
        if design.order.len() < design.parts.len() {
            // Assemblies contain each other in the design itself, which is reported.
            continue;
        }
        match built(design, variant) {
            Ok(built) if !variant.swap.is_empty() => check_kinds(&built, variant, findings),
            Ok(_) => {}
            Err(cycles) => report_cycles(design, variant, &cycles, findings),
        }
    }
}

/// What contradicts itself as it is written.
fn check_words(design: &Design, variant: &Held<Variant>, findings: &mut Findings) {
    let mut report = |code: Code, span: Span, message: String| {
        findings.push(&variant.path, Diagnostic::error(code, span, message));
    };
    let is_dropped = |part: &At<Id>| variant.drop.iter().any(|drop| drop.value == part.value);
    let top = design.manifest.design.top.as_ref();
    for part in &variant.drop {
        if top.is_some_and(|top| top.value == part.value) {
            let message = format!("`{}` is the whole product", part.as_str());
            report(BAD_VALUE, part.span, message);
        }
    }
    for (old, new) in &variant.swap {
        if old.value == new.value {
            let message = format!("`{}` takes its own place", new.as_str());
            report(CONTRADICTION, new.span, message);
        }
        for part in [old, new].into_iter().filter(|part| is_dropped(part)) {
            let message = format!("`{}` is dropped and swapped", part.as_str());
            report(CONTRADICTION, part.span, message);
        }
    }
    for (assembly, part, amount) in &variant.change {
        if is_dropped(part) {
            let message = format!("`{}` is dropped, and has an amount here", part.as_str());
            report(CONTRADICTION, part.span, message);
        } else if amount.exact.is_zero() && !is_contained(design, assembly, part) {
            let message = format!("`{}` contains no `{}`", assembly.as_str(), part.as_str());
            report(BAD_VALUE, part.span, message);
        }
    }
}

fn is_contained(design: &Design, assembly: &At<Id>, part: &At<Id>) -> bool {
    // What does not exist is reported elsewhere.
    let Some(assembly) = design.part(assembly.as_str()) else { return true };
    design.record(assembly).contains.iter().any(|line| line.part.value == part.value)
}

/// Formulas and limits that speak of a swapped part find what they need in the new one.
fn check_kinds(built: &Design, variant: &Held<Variant>, findings: &mut Findings) {
    let mut found = Findings::default();
    let table = Table::of(&built.parts, |part| &part.id);
    let scope = Scope {
        parts: &built.parts,
        table: &table,
        amounts: &built.amounts,
        quantities: &built.quantities,
        manifest: &built.manifest,
    };
    let kinds = formulas::kinds(&scope, &mut found);
    limits::requirements(built, &kinds, &mut found);
    for found in found.into_sorted() {
        // The place and the hint are those of the design itself.
        let message = format!("in this variant {}", found.diagnostic.message);
        let diagnostic = Diagnostic::error(found.diagnostic.code, variant.id.span, message);
        findings.push(&variant.path, diagnostic);
    }
}

fn report_cycles(
    design: &Design,
    variant: &Held<Variant>,
    cycles: &[Vec<usize>],
    findings: &mut Findings,
) {
    for cycle in cycles {
        let words: Vec<_> = cycle.iter().map(|index| design.parts[*index].id.as_str()).collect();
        let message =
            format!("in this variant assemblies contain each other: {}", words.join(" → "));
        let diagnostic = Diagnostic::error(CONTAINMENT_CYCLE, variant.id.span, message);
        findings.push(&variant.path, diagnostic);
    }
}
