//! What is counted: pieces, kinds, suppliers, tools, steps.

use std::collections::BTreeSet;

use rust_decimal::Decimal;

use super::cost::{self, Suppliers};
use super::known::is_assembly;
use super::number::Number;
use super::term::{self, Combine, Found, Term, Terms};
use super::whole::{Build, Context, Whole};
use super::{Budget, Missing, Subject};
use crate::design::PartIx;
use crate::quantity::{Basis, Dimension};
use crate::record::{Origin, RollUp};

/// How counts come to a total.
const ADDED: Combine = Combine::RollUp(RollUp::Sum);

/// The count that `subject` asks for.
pub(super) fn budget(context: &Context<'_>, whole: &Whole, subject: &Subject) -> Budget {
    let with_options =
        whole.with_options.is_some().then(|| terms(context, whole.build(true), subject));
    let base = terms(context, whole.build(false), subject);
    // Where nothing is to be counted the count is known: none.
    Budget { empty: false, ..term::budget(base, with_options) }
}

fn terms(context: &Context<'_>, build: Build<'_>, subject: &Subject) -> Terms {
    let design = context.design;
    let leaves = || build.parts(design).filter(|part| !is_assembly(design, *part));
    let pieces = |counts: fn(Origin) -> bool| {
        let before = context.terms_before(subject, build);
        Terms::gathered((design, build), ADDED, before, |part| {
            let is_counted = !is_assembly(design, part)
                && context.amounts_of(part) == Dimension::NONE
                && counts(design.record(part).origin.value);
            if is_counted { piece(part, build) } else { Found::default() }
        })
    };
    match subject.quantity.as_str() {
        // A program is in the product, and cannot be picked up.
        "pieces" => pieces(|origin| origin != Origin::Firmware),
        "made-parts" => pieces(Origin::is_made),
        "part-kinds" => of_kinds(build, leaves().map(|part| (part, part)), Vec::new()),
        "designation-kinds" => {
            let named = |part| Some((part, design.record(part).designation.as_ref()?.as_str()));
            of_kinds(build, leaves().filter_map(named), Vec::new())
        }
        "suppliers" => {
            let Suppliers { known, missing } = cost::suppliers(context, build, subject.builds);
            let known = known.iter().map(|(part, supplier)| (*part, supplier.as_str()));
            of_kinds(build, known, missing)
        }
        "tools" => of_kinds(build, tools(context, build), Vec::new()),
        _ => of_steps(context, build),
    }
}

fn piece(part: PartIx, build: Build<'_>) -> Found {
    let count = build.counts.of(part).ok_or(Missing::Overflow);
    Found::from(count.map(|count| Some(term(part, count, Number::Exact(count)))))
}

/// Every different key counts once, at the first part that has it.
fn of_kinds<K: Ord>(
    build: Build<'_>,
    keys: impl Iterator<Item = (PartIx, K)>,
    missing: Vec<(PartIx, Missing)>,
) -> Terms {
    let mut seen = BTreeSet::new();
    let mut terms: Vec<Term> = Vec::new();
    for (part, key) in keys {
        if !seen.insert(key) {
            continue;
        }
        match terms.last_mut().filter(|term| term.part == part) {
            Some(term) => {
                term.basic = term.basic.plus(Number::ONE);
                term.predicted = term.basic;
            }
            None => {
                let multiplicity = build.counts.of(part).unwrap_or(Decimal::MAX);
                terms.push(term(part, multiplicity, Number::ONE));
            }
        }
    }
    Terms::of(ADDED, terms, missing)
}

fn tools<'a>(
    context: &'a Context<'_>,
    build: Build<'a>,
) -> impl Iterator<Item = (PartIx, &'a str)> {
    build.parts(context.design).flat_map(move |part| {
        let steps = context.plan.steps(part, build.with_options);
        steps.flat_map(move |step| step.tools.iter().map(move |tool| (part, tool.as_str())))
    })
}

fn of_steps(context: &Context<'_>, build: Build<'_>) -> Terms {
    let (mut terms, mut missing) = (Vec::new(), Vec::new());
    for part in build.parts(context.design) {
        let steps = context.plan.steps(part, build.with_options);
        let done = steps.map(|step| context.plan.done(step, part, build.with_options));
        let Some(each) = done.reduce(Number::plus) else { continue };
        match build.counts.of(part) {
            Some(count) => {
                let all = each.times(Number::Exact(count));
                terms.push(Term { each, ..term(part, count, all) });
            }
            None => missing.push((part, Missing::Overflow)),
        }
    }
    Terms::of(ADDED, terms, missing)
}

fn term(part: PartIx, multiplicity: Decimal, all: Number) -> Term {
    Term {
        part,
        multiplicity,
        each: Number::ONE,
        basic: all,
        predicted: all,
        u: 0.0,
        basis: Basis::Calculated,
        // What is counted is certain.
        uncertain: true,
        density: None,
    }
}
