//! The way from one build to another, part by part and step by step.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;

use super::{Again, Get, Kept, Setting, Upgrade, Why};
use crate::design::{Design, Held, PartIx};
use crate::diagnostic::At;
use crate::evaluate::purchase::{Required, purchase_of};
use crate::evaluate::{Multiplicities, multiplicities};
use crate::facet::{self, Facet};
use crate::interchange::breaks;
use crate::quantity::Amount;
use crate::record::{Id, Method, Origin, Step};

/// Two builds, and what was found of the way between them.
pub(super) struct Way<'a> {
    was: &'a Design,
    is: &'a Design,
    had: Multiplicities,
    has: Multiplicities,
    broken: BTreeSet<Id>,
    /// Parts of the later release that are not what they were.
    others: BTreeSet<PartIx>,
    pub(super) found: Upgrade,
}

impl<'a> Way<'a> {
    pub(super) fn of(was: &'a Design, is: &'a Design) -> Self {
        let found = Upgrade { breaks: breaks(was, is), ..Upgrade::default() };
        Self {
            had: multiplicities(was, was.top, false),
            has: multiplicities(is, is.top, false),
            broken: found.breaks.iter().map(|found| found.part.clone()).collect(),
            others: BTreeSet::new(),
            was,
            is,
            found,
        }
    }

    /// What the later build holds: to keep, to set, to get.
    pub(super) fn parts_of_new(&mut self) {
        for part in self.is.part_indices().filter(|part| is_piece(self.is, *part)) {
            let wanted = self.has.of(part).unwrap_or_default();
            if wanted.is_zero() {
                continue;
            }
            let id = self.is.id(part);
            let old = self.was.part(id.as_str()).filter(|old| self.had.holds(*old));
            let Some(old) = old else {
                self.get(part, wanted, Why::New);
                continue;
            };
            let had = self.had.of(old).unwrap_or_default();
            if let Some(why) = self.replaced(old, part) {
                self.get(part, wanted, why);
                self.put_aside(old, had);
                continue;
            }
            self.found.keep.push(Kept { part: old, amount: had.min(wanted) });
            self.reset(old, part);
            match had.cmp(&wanted) {
                std::cmp::Ordering::Less => self.get(part, wanted - had, Why::More),
                std::cmp::Ordering::Equal => {}
                std::cmp::Ordering::Greater => self.put_aside(old, had - wanted),
            }
        }
    }

    /// What only the earlier build holds.
    pub(super) fn parts_of_old(&mut self) {
        for part in self.was.part_indices().filter(|part| is_piece(self.was, *part)) {
            let had = self.had.of(part).unwrap_or_default();
            let new = self.is.part(self.was.id(part).as_str());
            if !had.is_zero() && new.is_none_or(|new| !self.has.holds(new)) {
                self.put_aside(part, had);
            }
        }
        let by_id = |kept: &Kept| kept.part;
        self.found.discard.sort_by_key(by_id);
        self.found.left_over.sort_by_key(by_id);
    }

    fn get(&mut self, part: PartIx, amount: Decimal, why: Why) {
        if why != Why::More {
            self.others.insert(part);
        }
        let record = self.is.record(part);
        // What is offered ready-made is bought.
        let bought = !record.offers.is_empty() || record.origin.value == Origin::Bought;
        self.found.get.push(Get { part, amount, why, bought });
    }

    fn put_aside(&mut self, part: PartIx, amount: Decimal) {
        let kept = Kept { part, amount };
        match self.was.record(part).origin.is_made() {
            true => self.found.discard.push(kept),
            false if is_thing(self.was, part) => self.found.left_over.push(kept),
            false => {}
        }
    }

    /// Why the piece that a builder has is replaced, if it is. What has another patch number only is
    /// the same thing by its own word.
    fn replaced(&self, old: PartIx, new: PartIx) -> Option<Why> {
        if self.broken.contains(self.is.id(new)) {
            return Some(Why::Broken);
        }
        if facet::is_surely_same((self.was, old), (self.is, new)) {
            return None;
        }
        let facets = facet::of(self.was, old).changed(&facet::of(self.is, new));
        let is_of_piece = |facet: &Facet| {
            facet.is_physical() && !matches!(facet, Facet::Settings | Facet::Composition)
        };
        let facets: Vec<Facet> = facets.into_iter().filter(is_of_piece).collect();
        if facets.is_empty() {
            return None;
        }
        let version = |design: &'a Design, part| design.record(part).version.as_ref();
        match version(self.was, old).zip(version(self.is, new)) {
            Some((was, is)) if is.minor > was.minor => Some(Why::Better),
            Some((was, is)) if is.patch > was.patch => None,
            _ => Some(Why::Other(facets)),
        }
    }

    fn reset(&mut self, old: PartIx, new: PartIx) {
        let before: BTreeMap<&Id, _> =
            self.was.record(old).settings.iter().map(|(id, at)| (&id.value, &at.value)).collect();
        let now = self.is.record(new).settings.iter();
        let others = now.filter(|(id, at)| before.get(&id.value) != Some(&&at.value));
        let settings: Vec<Id> = others.map(|(id, _)| id.value.clone()).collect();
        if !settings.is_empty() {
            self.others.insert(new);
            self.found.set.push(Setting { part: new, settings });
        }
    }

    /// By part that becomes another or holds one: those that do.
    fn reached(&self) -> BTreeMap<PartIx, BTreeSet<PartIx>> {
        let mut reached: BTreeMap<PartIx, BTreeSet<PartIx>> =
            self.others.iter().map(|part| (*part, BTreeSet::from([*part]))).collect();
        for &assembly in self.is.order.iter().rev() {
            let links = self.is.links[assembly.index()].iter();
            let within: BTreeSet<PartIx> = links
                .filter(|link| !link.optional)
                .filter_map(|link| reached.get(&link.child))
                .flatten()
                .copied()
                .collect();
            if !within.is_empty() {
                reached.entry(assembly).or_default().extend(within);
            }
        }
        reached
    }

    /// What is bought, as one order.
    pub(super) fn order(&mut self) {
        let bought = self.found.get.iter().filter(|get| get.bought);
        // Of what a build has already, there are spares from its own order.
        let required = bought.map(|get| Required {
            part: get.part,
            amount: get.amount,
            with_spares: get.why != Why::More,
        });
        self.found.order = purchase_of(self.is, &required.collect::<Vec<_>>());
    }

    pub(super) fn steps(&mut self) {
        let reached = self.reached();
        self.found.handled.clone_from(&self.others);
        for step in &self.is.steps {
            if !self.is.is_of_build(step.variant.as_ref()) || step.option.is_some() {
                continue;
            }
            let used: Vec<PartIx> =
                step.uses.iter().filter_map(|(part, _)| self.is.part(part.as_str())).collect();
            let others: BTreeSet<PartIx> =
                used.iter().filter_map(|part| reached.get(part)).flatten().copied().collect();
            let before = self.was.steps.iter().find(|old| old.id.value == step.id.value);
            let again = match before {
                None => Again::New,
                Some(_) if !others.is_empty() => {
                    Again::For(others.into_iter().map(|part| self.is.id(part).clone()).collect())
                }
                Some(before) if is_other(before, step) => Again::Other,
                Some(_) => continue,
            };
            self.found.handled.extend(used);
            self.found.steps.push((step.id.value.clone(), again));
        }
    }

    pub(super) fn tests(&mut self) {
        let reached = self.reached();
        let is_touched =
            |id: &Id| self.is.part(id.as_str()).is_some_and(|part| reached.contains_key(&part));
        let shown = self.is.requirements.iter().filter(|held| held.method() != Method::Analysis);
        let touched =
            shown.filter(|held| held.part.as_ref().is_some_and(|part| is_touched(&part.value)));
        self.found.tests = touched.map(|held| held.id.value.clone()).collect();
    }
}

/// Whether a part is got in one piece, and not put together of others.
fn is_piece(design: &Design, part: PartIx) -> bool {
    design.links[part.index()].is_empty() || design.record(part).origin.is_made()
}

/// Whether something is there that could be left over: a program is not.
fn is_thing(design: &Design, part: PartIx) -> bool {
    design.record(part).origin.value != Origin::Firmware
}

/// Whether a step is done otherwise: with other parts, tools, another torque.
fn is_other(was: &Held<Step>, is: &Held<Step>) -> bool {
    let done = |step: &Step| {
        let amounts = |of: &[(At<Id>, At<Amount>)]| {
            of.iter()
                .map(|(part, amount)| (part.value.clone(), amount.exact))
                .collect::<BTreeMap<_, _>>()
        };
        let tools: BTreeSet<String> = step.tools.iter().map(|tool| tool.value.clone()).collect();
        let torque = step.torque.as_ref().map(|torque| torque.value.measure.base.to_bits());
        let times = step.times.as_ref().map(|times| times.value);
        (amounts(&step.uses), amounts(&step.makes), tools, torque, times)
    };
    done(was) != done(is)
}
