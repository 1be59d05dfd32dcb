//! Another build of the same design: parts dropped, swapped, amounts changed. What it shares with the
//! first build stays shared.

mod check;
mod follow;
#[cfg(test)]
mod tests;

use std::sync::Arc;

use super::references::Table;
use super::{Design, Held, PartIx, findings::Findings, graph, parts};
use crate::diagnostic::At;
use crate::record::{Id, Rail, Step, Variant};
use follow::Changes;

pub(super) use check::{amounts, check};

impl Design {
    /// The design as its variant `id` builds it; `None` where it has no such variant.
    ///
    /// Assemblies hold what they hold there, and what referred to a swapped part refers to the new
    /// one. Requirements about parts that the product no longer holds are left out, and so are steps
    /// that have nothing left to do. Evidence and decisions stay as they are: they speak of what was
    /// on the bench and on the table.
    #[must_use]
    pub fn as_variant(&self, id: &str) -> Option<Arc<Self>> {
        let variant = self.variants.iter().find(|variant| variant.id.as_str() == id)?;
        built(self, variant).ok().map(Arc::new)
    }

    /// Whether what is kept to `variant` counts in this build; what is kept to none counts in all.
    #[must_use]
    pub fn is_of_build(&self, variant: Option<&At<Id>>) -> bool {
        variant.is_none_or(|variant| self.variant.as_ref() == Some(&variant.value))
    }
}

/// The design as `variant` builds it.
///
/// # Errors
/// The cycles where assemblies would contain each other; a design that is linked has none.
fn built(design: &Design, variant: &Variant) -> Result<Design, Vec<Vec<usize>>> {
    let changes = Changes::of(design, variant);
    let mut built = design.clone();
    built.variant = Some(variant.id.value.clone());
    if let Some(top) = design.part(changes.new_of(None, design.id(design.top)).as_str()) {
        built.top = top;
    }
    changes.apply_to_parts(&mut built);
    link(design, &mut built)?;
    changes.apply_to_others(&mut built);
    let gone = Gone::between(design, &built);
    built.requirements.retain(|held| !held.part.as_ref().is_some_and(|part| gone.is(part)));
    built.rails.iter_mut().for_each(|rail| without(rail, &gone));
    let is_skipped =
        |step: &Held<Step>| variant.skip.iter().any(|skipped| skipped.value == step.id.value);
    let steps = built.steps.into_iter().filter(|step| !is_skipped(step));
    built.steps = steps.filter_map(|step| left_to_do(step, &gone)).collect();
    Ok(built)
}

/// Links the assemblies of `built` that hold something else than in `design`, and orders the parts.
fn link(design: &Design, built: &mut Design) -> Result<(), Vec<Vec<usize>>> {
    // Every reference was checked when the design itself was linked.
    let mut silent = Findings::default();
    let table = Table::of(&built.parts, |part| &part.id);
    for (index, part) in built.parts.iter().enumerate() {
        if !Arc::ptr_eq(&part.record, &design.parts[index].record) {
            let links = parts::links(part, &table, &mut silent);
            if links != built.links[index] {
                Arc::make_mut(&mut built.links)[index] = links;
            }
        }
    }
    if Arc::ptr_eq(&built.links, &design.links) {
        return Ok(());
    }
    let links = built.links.iter().enumerate();
    let edges: Vec<(usize, usize)> = links
        .flat_map(|(parent, links)| links.iter().map(move |link| (parent, link.child.index())))
        .collect();
    let order = graph::order(built.parts.len(), &edges)?;
    built.order = Arc::new(order.into_iter().map(PartIx::new).collect());
    Ok(())
}

/// The parts that the product holds, and this variant of it does not.
struct Gone<'a> {
    design: &'a Design,
    is_gone: Vec<bool>,
}

impl<'a> Gone<'a> {
    fn between(design: &'a Design, built: &Design) -> Self {
        let held = held(design).into_iter().zip(held(built));
        Self { design, is_gone: held.map(|(before, after)| before && !after).collect() }
    }

    fn is(&self, id: &At<Id>) -> bool {
        self.design.part(id.as_str()).is_some_and(|part| self.is_gone[part.index()])
    }
}

/// By part: whether the product holds it, optional parts counted in.
fn held(design: &Design) -> Vec<bool> {
    let mut held = vec![false; design.parts.len()];
    held[design.top.index()] = true;
    for part in &*design.order {
        if held[part.index()] {
            for link in &design.links[part.index()] {
                held[link.child.index()] = true;
            }
        }
    }
    held
}

/// Takes what is gone out of what the rail names.
fn without(held: &mut Held<Rail>, gone: &Gone<'_>) {
    let is_gone = |part: &Option<At<Id>>| part.as_ref().is_some_and(|part| gone.is(part));
    let at = |rail: &Rail| rail.derate.as_ref().is_some_and(|derate| is_gone(&derate.at));
    // A rail may be fed by another one, which bears no part's name.
    if !(is_gone(&held.fed_by) || is_gone(&held.made_in) || at(held)) {
        return;
    }
    let rail = Arc::make_mut(&mut held.record);
    rail.fed_by.take_if(|part| gone.is(part));
    rail.made_in.take_if(|part| gone.is(part));
    if let Some(derate) = &mut rail.derate {
        derate.at.take_if(|part| gone.is(part));
    }
}

/// The step with what is there; nothing where what it is done for is gone.
fn left_to_do(mut held: Held<Step>, gone: &Gone<'_>) -> Option<Held<Step>> {
    let is_left = |(part, _): &(At<Id>, _)| !gone.is(part);
    let (uses, makes) = (held.uses.iter().any(is_left), held.makes.iter().any(is_left));
    let makes_nothing_left = !held.makes.is_empty() && !makes;
    let uses_nothing_left = held.makes.is_empty() && !held.uses.is_empty() && !uses;
    let lacks_option = held.option.as_ref().is_some_and(|part| gone.is(part));
    if makes_nothing_left || uses_nothing_left || lacks_option {
        return None;
    }
    if !(held.uses.iter().all(is_left) && held.makes.iter().all(is_left)) {
        let step = Arc::make_mut(&mut held.record);
        step.uses.retain(is_left);
        step.makes.retain(is_left);
    }
    Some(held)
}
