//! What refers to a swapped part follows it to the new one; what an assembly holds is changed.
//!
//! What the new part's own record says of the old one stays: a bought lid, modified, still contains
//! the bought lid. A range of versions stays too, since it speaks of the versions of one part.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rust_decimal::Decimal;

use super::super::Design;
use crate::diagnostic::At;
use crate::quantity::Amount;
use crate::quantity::expression;
use crate::record::{HeatPath, Id, Part, Use, Variant};

/// An amount of a part, as the variant's record has it.
type Amounted<'a> = (&'a At<Id>, &'a At<Amount>);

/// What a variant changes, by id.
pub(super) struct Changes<'a> {
    design: &'a Design,
    dropped: BTreeSet<&'a Id>,
    swapped: BTreeMap<&'a Id, &'a Id>,
    amounts: BTreeMap<&'a Id, Vec<Amounted<'a>>>,
}

impl<'a> Changes<'a> {
    pub(super) fn of(design: &'a Design, variant: &'a Variant) -> Self {
        let mut amounts: BTreeMap<&Id, Vec<_>> = BTreeMap::new();
        for (assembly, part, amount) in &variant.change {
            amounts.entry(&assembly.value).or_default().push((part, amount));
        }
        Self {
            design,
            dropped: variant.drop.iter().map(|part| &part.value).collect(),
            swapped: variant.swap.iter().map(|(old, new)| (&old.value, &new.value)).collect(),
            amounts,
        }
    }

    /// The part that `id` means where the record `by` names it.
    pub(super) fn new_of<'i>(&self, by: Option<&Id>, id: &'i Id) -> &'i Id
    where
        'a: 'i,
    {
        let new = self.swapped.get(id).copied();
        new.filter(|new| by != Some(*new)).unwrap_or(id)
    }

    fn follow(&self, by: Option<&Id>, id: &mut At<Id>) {
        let new = self.new_of(by, &id.value);
        if *new != id.value {
            id.value = new.clone();
        }
    }

    /// Whether any of `ids`, which the record `by` names, means another part.
    fn moves<'i>(&self, by: Option<&Id>, ids: impl IntoIterator<Item = &'i At<Id>>) -> bool {
        ids.into_iter().any(|id| self.new_of(by, &id.value) != &id.value)
    }

    /// Contents, heat paths and formulas of all parts.
    pub(super) fn apply_to_parts(&self, built: &mut Design) {
        for place in 0..built.parts.len() {
            let held = &built.parts[place];
            let (contains, formulas) = (self.contains(held), self.formulas(held));
            let heat_paths = self.heat_paths(&held.id.value, &held.heat_paths);
            if contains.is_none() && formulas.is_none() && heat_paths.is_none() {
                continue;
            }
            let part = Arc::make_mut(&mut built.parts[place].record);
            part.contains = contains.unwrap_or_else(|| std::mem::take(&mut part.contains));
            part.formulas = formulas.unwrap_or_else(|| std::mem::take(&mut part.formulas));
            part.heat_paths = heat_paths.unwrap_or_else(|| std::mem::take(&mut part.heat_paths));
        }
        built.note_special_parts();
    }

    /// What else names parts: nodes, rails, requirements, items, steps.
    pub(super) fn apply_to_others(&self, built: &mut Design) {
        for held in &mut built.nodes {
            if let Some(heat_paths) = self.heat_paths(&held.id.value, &held.heat_paths) {
                Arc::make_mut(&mut held.record).heat_paths = heat_paths;
            }
        }
        for held in &mut built.requirements {
            if self.moves(None, &held.part) {
                let part = &mut Arc::make_mut(&mut held.record).part;
                part.iter_mut().for_each(|part| self.follow(None, part));
            }
        }
        for held in &mut built.items {
            if self.moves(None, &held.parts) {
                let parts = &mut Arc::make_mut(&mut held.record).parts;
                parts.iter_mut().for_each(|part| self.follow(None, part));
            }
        }
        self.apply_to_rails(built);
        self.apply_to_steps(built);
    }

    fn apply_to_rails(&self, built: &mut Design) {
        for held in &mut built.rails {
            let at = held.derate.iter().filter_map(|derate| derate.at.as_ref());
            if self.moves(None, held.fed_by.iter().chain(&held.made_in).chain(at)) {
                let rail = Arc::make_mut(&mut held.record);
                let at = rail.derate.iter_mut().filter_map(|derate| derate.at.as_mut());
                let named = rail.fed_by.iter_mut().chain(&mut rail.made_in).chain(at);
                named.for_each(|part| self.follow(None, part));
            }
        }
    }

    fn apply_to_steps(&self, built: &mut Design) {
        for held in &mut built.steps {
            let named = held.uses.iter().chain(&held.makes).map(|(part, _)| part);
            if self.moves(None, named.chain(&held.option)) {
                let step = Arc::make_mut(&mut held.record);
                let named = step.uses.iter_mut().chain(&mut step.makes).map(|(part, _)| part);
                named.chain(&mut step.option).for_each(|part| self.follow(None, part));
            }
        }
    }

    /// What the assembly holds in the variant, where that is something else.
    fn contains(&self, assembly: &Part) -> Option<Vec<Use>> {
        let by = Some(&assembly.id.value);
        let changed = self.amounts.get(&assembly.id.value).map_or(&[][..], Vec::as_slice);
        let is_dropped = |line: &Use| self.dropped.contains(&line.part.value);
        let moves = self.moves(by, assembly.contains.iter().map(|line| &line.part));
        if changed.is_empty() && !moves && !assembly.contains.iter().any(is_dropped) {
            return None;
        }
        let mut lines: BTreeMap<Id, Use> = BTreeMap::new();
        for line in assembly.contains.iter().filter(|line| !is_dropped(line)) {
            let line = self.followed(by, line);
            match lines.get_mut(&line.part.value) {
                Some(there) => join(there, &line),
                None => {
                    lines.insert(line.part.value.clone(), line);
                }
            }
        }
        for (part, amount) in changed {
            let id = self.new_of(by, &part.value);
            let line = lines.remove(id);
            if !amount.exact.is_zero() {
                lines.insert(id.clone(), with_amount(line, id, part, amount));
            }
        }
        Some(lines.into_values().collect())
    }

    fn followed(&self, by: Option<&Id>, line: &Use) -> Use {
        let mut followed = line.clone();
        self.follow(by, &mut followed.part);
        followed.version.take_if(|_| followed.part.value != line.part.value);
        followed
    }

    /// The heat paths of the part or node `by`, where they lead elsewhere. What the new part or `by`
    /// itself says of the same pair comes before a path that followed.
    fn heat_paths(&self, by: &Id, paths: &[HeatPath]) -> Option<Vec<HeatPath>> {
        if !self.moves(Some(by), paths.iter().map(|path| &path.to)) {
            return None;
        }
        let is_stated = |to: &Id| {
            let back = self.design.part(to.as_str()).map(|part| self.design.record(part));
            let mut back = back.into_iter().flat_map(|part| &part.heat_paths);
            paths.iter().any(|path| path.to.value == *to) || back.any(|path| path.to.value == *by)
        };
        let followed = paths.iter().filter_map(|path| {
            let mut followed = path.clone();
            self.follow(Some(by), &mut followed.to);
            let moved = followed.to.value != path.to.value;
            (!moved || !is_stated(&followed.to.value)).then_some(followed)
        });
        Some(followed.collect())
    }

    /// The formulas of the part, where one names another part now.
    fn formulas(&self, part: &Part) -> Option<Vec<(At<Id>, At<String>)>> {
        if self.swapped.is_empty() || part.formulas.is_empty() {
            return None;
        }
        let by = &part.id.value;
        let rewritten = part.formulas.iter().map(|(_, text)| self.formula(by, text));
        let rewritten: Vec<Option<String>> = rewritten.collect();
        if rewritten.iter().all(Option::is_none) {
            return None;
        }
        let formulas = part.formulas.iter().zip(rewritten);
        let formulas = formulas.map(|((name, text), new)| {
            (name.clone(), At::new(new.unwrap_or_else(|| text.value.clone()), text.span))
        });
        Some(formulas.collect())
    }

    /// The text with the new part's name wherever it has the old one's: `lid.mass`.
    fn formula(&self, by: &Id, text: &At<String>) -> Option<String> {
        let formula = expression::parse(text).ok()?;
        let mut places: Vec<_> = formula
            .names()
            .filter_map(|(name, range)| {
                let old = Id::new(name.split_once('.')?.0);
                let new = self.new_of(Some(by), &old).clone();
                (new != old).then(|| (range.start..range.start + old.as_str().len(), new))
            })
            .collect();
        places.sort_by_key(|(range, _)| std::cmp::Reverse(range.start));
        places.dedup_by_key(|(range, _)| range.start);
        let mut rewritten = text.value.clone();
        for (range, new) in &places {
            rewritten.replace_range(range.clone(), new.as_str());
        }
        (!places.is_empty()).then_some(rewritten)
    }
}

/// Two lines that mean one part now are one line.
fn join(line: &mut Use, other: &Use) {
    let sum = line.amount.exact.checked_add(other.amount.exact);
    line.amount.value.exact = sum.unwrap_or(Decimal::MAX);
    line.optional &= other.optional;
    line.places.extend(other.places.iter().cloned());
}

/// The line with another amount. Where the pieces sit is not known of another number of them.
fn with_amount(line: Option<Use>, id: &Id, part: &At<Id>, amount: &At<Amount>) -> Use {
    let line = line.unwrap_or_else(|| Use {
        part: At::new(id.clone(), part.span),
        amount: amount.clone(),
        version: None,
        places: Vec::new(),
        optional: false,
    });
    let is_same = line.amount.exact == amount.exact;
    let places = if is_same { line.places } else { Vec::new() };
    Use { amount: amount.clone(), places, ..line }
}
