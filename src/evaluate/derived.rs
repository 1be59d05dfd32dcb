//! Figures that formulas give: a formula that bears the name of a quantity counts like a figure that
//! is stated.

use std::collections::{BTreeMap, BTreeSet};

use super::formula::{propagated, recipe_in};
use super::known::{Known, is_assembly};
use super::multiplicity::multiplicities;
use super::number::Number;
use super::trace::Traced;
use super::whole::Context;
use crate::design::{Design, PartIx, Source};
use crate::quantity::{Basis, expression};
use crate::record::Id;

/// A quantity of a part.
type Key = (PartIx, Id);

/// The values of formulas that bear the name of a quantity, as far as they have one.
#[derive(Debug, Default)]
pub(super) struct Derived(BTreeMap<Key, Traced>);

impl Derived {
    /// The value with all that it follows from.
    pub(super) fn traced(&self, part: PartIx, quantity: &Id) -> Option<&Traced> {
        self.0.get(&(part, quantity.clone()))
    }

    /// The value as a figure of the part.
    pub(super) fn known(&self, part: PartIx, quantity: &Id) -> Option<Known> {
        let traced = self.traced(part, quantity)?;
        let u = traced.u();
        let value = Number::Float(traced.value);
        let (basis, uncertain) = (Basis::Calculated, u > 0.0);
        Some(Known { value, u, basis, uncertain, density: None })
    }
}

/// Whether a formula of the part bears the name of the quantity.
pub(super) fn has_formula(design: &Design, part: PartIx, quantity: &Id) -> bool {
    design.record(part).formulas.iter().any(|(name, _)| name.value == *quantity)
}

/// Evaluates all of them into `context`, each after those that it needs through a roll-up. One that
/// needs itself so has no value.
pub(super) fn fill(context: &mut Context<'_>) {
    let design = context.design;
    let keys = keys(design);
    let mut waiting: BTreeMap<Key, BTreeSet<Key>> =
        keys.iter().map(|key| (key.clone(), needs(design, key, &keys))).collect();
    loop {
        let is_ready = |needs: &BTreeSet<Key>| !needs.iter().any(|key| waiting.contains_key(key));
        let ready = waiting.iter().filter(|(_, needs)| is_ready(needs));
        let ready: Vec<Key> = ready.map(|(key, _)| key.clone()).collect();
        if ready.is_empty() {
            return;
        }
        for key in ready {
            waiting.remove(&key);
            let recipe = recipe_in(context, &BTreeMap::new(), key.0, &key.1);
            if let Some(value) = recipe.ok().and_then(|recipe| propagated(&recipe).ok()) {
                context.derived.0.insert(key, value);
            }
        }
    }
}

/// The formulas that bear the name of a quantity.
fn keys(design: &Design) -> BTreeSet<Key> {
    let formulas = design.with_formulas.iter().flat_map(|part| {
        let names = design.record(*part).formulas.iter().map(|(name, _)| name.value.clone());
        names.map(move |name| (*part, name))
    });
    formulas.filter(|(_, name)| design.quantities.contains_key(name)).collect()
}

/// Those of `keys` that a roll-up adds up which the formula needs, itself or through others.
fn needs(design: &Design, asked: &Key, keys: &BTreeSet<Key>) -> BTreeSet<Key> {
    let mut needs = BTreeSet::new();
    let mut seen = BTreeSet::from([asked.clone()]);
    let mut pending = vec![asked.clone()];
    while let Some(key) = pending.pop() {
        for (part, name) in named(design, &key) {
            if has_formula(design, part, &name) {
                if seen.insert((part, name.clone())) {
                    pending.push((part, name));
                }
            } else if let Some(quantity) = design.quantities.get(&name) {
                let held = multiplicities(design, part, true);
                // Costs and centres of mass follow from masses, too.
                let is_of = |other: &Id| *other == name || quantity.source != Source::Figures;
                let beneath = keys.iter().filter(|(inner, other)| {
                    held.holds(*inner) && is_of(other) && !is_assembly(design, *inner)
                });
                needs.extend(beneath.cloned());
            }
        }
    }
    needs
}

/// What the names of a formula mean, constants apart.
fn named(design: &Design, (part, name): &Key) -> Vec<Key> {
    let formulas = &design.record(*part).formulas;
    let text = formulas.iter().find(|(known, _)| known.value == *name);
    let parsed = text.and_then(|(_, text)| expression::parse(text).ok());
    let key = |name: &str| match name.split_once('.') {
        None => Some((*part, Id::new(name))),
        Some((other, name)) => Some((design.part(other)?, Id::new(name))),
    };
    parsed.iter().flat_map(|parsed| parsed.names()).filter_map(|(name, _)| key(name)).collect()
}
