//! From one release to another for somebody who has built the first: what to get, what to keep, what
//! to throw away, what to do again.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;

use crate::design::{Design, Held, PartIx};
use crate::evaluate::{BoughtAlone, Multiplicities, bought_alone, multiplicities};
use crate::facet::{self, Facet};
use crate::interchange::{Break, breaks};
use crate::record::{Id, Method, Step};

/// What leads from one build to another.
#[derive(Clone, Debug, Default)]
pub struct Upgrade {
    /// Parts to make or to buy, in the order of ids.
    pub get: Vec<Get>,
    /// Parts that stay in, in the order of ids, as all that follow.
    pub keep: Vec<Kept>,
    /// Parts that stay in and are set to something else.
    pub set: Vec<Setting>,
    /// Made parts that are of no use any more.
    pub discard: Vec<Kept>,
    /// Bought parts that are left over.
    pub left_over: Vec<Kept>,
    /// Steps to do (again), in the order of assembly, each with why.
    pub steps: Vec<(Id, Again)>,
    /// Requirements that are shown on a build, and about a part that becomes another or holds one.
    pub tests: Vec<Id>,
    /// What is no longer interchangeable.
    pub breaks: Vec<Break>,
    /// The parts that become others, and all that the steps handle: whose hazards matter.
    pub handled: BTreeSet<PartIx>,
}

/// A part to get.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Get {
    /// The part of the later release.
    pub part: PartIx,
    /// Pieces, or the extent in base units.
    pub amount: Decimal,
    /// Why.
    pub why: Why,
    /// Where it is bought at the lowest cost; nothing where it is made by the builder.
    pub purchase: Option<BoughtAlone>,
}

/// Why a part has to be got.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Why {
    /// The build has none yet.
    New,
    /// The build has fewer.
    More,
    /// The old one cannot take its place.
    Broken,
    /// It is better; the old one fits too.
    Better,
    /// It is another in these facets, and no version says whether the old one fits.
    Other(Vec<Facet>),
}

/// So much of a part of the earlier release.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// The part, in the earlier release.
    pub part: PartIx,
    /// Pieces, or the extent in base units.
    pub amount: Decimal,
}

/// A part that is set to something else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// The part of the later release.
    pub part: PartIx,
    /// The settings that are others.
    pub settings: Vec<Id>,
}

/// Why a step is done (again).
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Again {
    /// It was not there.
    New,
    /// It is done otherwise.
    Other,
    /// It handles these parts, which become others.
    For(Vec<Id>),
}

/// What a builder of `was` does to have `is`. Optional parts are left out.
#[must_use]
pub fn upgrade(was: &Design, is: &Design) -> Upgrade {
    let mut way = Way::of(was, is);
    way.parts_of_new();
    way.parts_of_old();
    way.steps();
    way.tests();
    way.found
}

/// Two builds, and what was found of the way between them.
struct Way<'a> {
    was: &'a Design,
    is: &'a Design,
    had: Multiplicities,
    has: Multiplicities,
    broken: BTreeSet<Id>,
    /// Parts of the later release that are not what they were.
    others: BTreeSet<PartIx>,
    found: Upgrade,
}

impl<'a> Way<'a> {
    fn of(was: &'a Design, is: &'a Design) -> Self {
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
    fn parts_of_new(&mut self) {
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
    fn parts_of_old(&mut self) {
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
        let purchase = bought_alone(self.is, part, amount);
        self.found.get.push(Get { part, amount, why, purchase });
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

    fn steps(&mut self) {
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

    fn tests(&mut self) {
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
    design.record(part).origin.value != crate::record::Origin::Firmware
}

/// Whether a step is done otherwise: with other parts, tools, another torque.
fn is_other(was: &Held<Step>, is: &Held<Step>) -> bool {
    let done = |step: &Step| {
        let amounts = |of: &[(
            crate::diagnostic::At<Id>,
            crate::diagnostic::At<crate::quantity::Amount>,
        )]| {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::design;

    const OLD: &str = r#"
        [part.scanner]
        origin = "assembled"
        contains = { head = 1, lid = 1, screw = 14, clip = 2, lamp = 1 }
        [part.head]
        origin = "assembled"
        contains = { gate = 1 }
        [part.gate]
        origin = "printed"
        version = "1.2.0"
        dimension = { slot = "5 mm ± 0.1 mm" }
        [part.lid]
        origin = "printed"
        version = "1.0.0"
        size = "10 x 10 x 2 mm"
        [part.screw]
        origin = "bought"
        designation = "ISO 4762 M3x8"
        [[part.screw.offer]]
        supplier = "bolt-shop"
        pack = 10
        price = "3 EUR"
        breaks = { 2 = "2.5 EUR" }
        [part.clip]
        origin = "bought"
        [part.lamp]
        origin = "board"
        setting = { drive = "250 mA" }
        [supplier.bolt-shop]
        [step.fit-the-gate]
        uses = { gate = 1 }
        makes = { head = 1 }
        [step.hang-the-head]
        uses = { head = 1, screw = 10 }
        after = ["fit-the-gate"]
        [step.close]
        uses = { lid = 1, screw = 4 }
        [step.light]
        uses = { lamp = 1 }
        [requirement.even]
        part = "scanner"
        method = "test"
        [requirement.sharp]
        part = "lid"
        method = "inspection"
    "#;

    fn shown(was: &Design, is: &Design, found: &Upgrade) -> String {
        let get = found.get.iter().map(|get| {
            let cost = get
                .purchase
                .as_ref()
                .map(|found| format!(" at {} for {}", found.units, found.cost));
            format!(
                "{} {} ({:?}){}",
                get.amount,
                is.id(get.part),
                get.why,
                cost.unwrap_or_default()
            )
        });
        let kept = |all: &[Kept]| -> String {
            let one = |kept: &Kept| format!("{} {}", kept.amount, was.id(kept.part));
            all.iter().map(one).collect::<Vec<_>>().join(", ")
        };
        let set = found.set.iter().map(|set| format!("{} {:?}", is.id(set.part), set.settings));
        let steps = found.steps.iter().map(|(id, again)| format!("{id} {again:?}"));
        let lines = |name: &str, text: String| format!("{name}: {text}\n");
        [
            lines("get", get.collect::<Vec<_>>().join(", ")),
            lines("keep", kept(&found.keep)),
            lines("set", set.collect::<Vec<_>>().join(", ")),
            lines("discard", kept(&found.discard)),
            lines("left over", kept(&found.left_over)),
            lines("steps", steps.collect::<Vec<_>>().join(", ")),
            lines("tests", format!("{:?}", found.tests)),
        ]
        .concat()
    }

    fn between(was: &str, is: &str) -> String {
        let (was, is) = (design(was), design(is));
        shown(&was, &is, &upgrade(&was, &is))
    }

    #[test]
    fn nothing_is_done_for_the_same_thing() {
        insta::assert_snapshot!(between(OLD, OLD), @r#"
        get: 
        keep: 2 clip, 1 gate, 1 lamp, 1 lid, 14 screw
        set: 
        discard: 
        left over: 
        steps: 
        tests: []
        "#);
    }

    #[test]
    fn another_gate_is_printed_and_what_holds_it_is_done_again() {
        let is =
            OLD.replace("version = \"1.2.0\"", "version = \"1.3.0\"").replace("5 mm ±", "6 mm ±");
        insta::assert_snapshot!(between(OLD, &is), @r#"
        get: 1 gate (Better)
        keep: 2 clip, 1 lamp, 1 lid, 14 screw
        set: 
        discard: 1 gate
        left over: 
        steps: fit-the-gate For(["gate"]), hang-the-head For(["gate"])
        tests: ["even"]
        "#);
        let patched = OLD.replace("1.2.0", "1.2.1").replace("5 mm ±", "5.1 mm ±");
        assert_eq!(between(OLD, &patched), between(OLD, OLD), "a patch is the same thing");
    }

    #[test]
    fn what_is_lacking_is_bought_in_whole_packs_and_what_is_too_much_is_left_over() {
        let is = OLD
            .replace("screw = 14, clip = 2", "screw = 32")
            .replace("screw = 4 }", "screw = 22 }")
            .replace("250 mA", "230 mA");
        insta::assert_snapshot!(between(OLD, &is), @r#"
        get: 18 screw (More) at 2 for 5.0
        keep: 1 gate, 1 lamp, 1 lid, 14 screw
        set: lamp ["drive"]
        discard: 
        left over: 2 clip
        steps: close Other, light For(["lamp"])
        tests: ["even"]
        "#);
    }
}
