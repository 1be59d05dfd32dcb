//! Why a verdict turned: the requirement, what is known, or the design.
//!
//! The way from the one state to the other is gone in that order: first the new requirement meets
//! the old value, then the manifest's new rules, then all that is known of parts which stayed the
//! same things, at the amounts in which they were there before. The cause is the first step at
//! which the new verdict is reached; what is left to the end is the design.

use super::sides::{Mover, Sides};
use super::state::State;
use super::terms::Aspect;
use super::way::{Step, Way};
use super::{Cause, computed, results};
use crate::design::Design;
use crate::diagnostic::At;
use crate::evaluate::{Aim, End};
use crate::evidence::Standing;
use crate::record::{Decide, Id, Requirement, Waived, Waiver};
use crate::verdict::{Bound, Judgeable, Judged, Limit, Side, Sum, Unproven, Verdict, on_computed};

const RULES: &[Mover] = &[Mover::Rule];
const RULES_AND_KNOWLEDGE: &[Mover] = &[Mover::Rule, Mover::Knowledge];

/// What turned the verdict of a requirement that is there in both states, and each part's share of
/// the way that its value went.
pub(super) fn turned(
    sides: &Sides<'_>,
    before: &Judged,
    after: &Judged,
) -> (Cause, Vec<(Id, f64)>) {
    let turn = Turn { sides, before, after };
    if let Some(ends) = computed::ends(sides, before, after) {
        let [was, is] = ends;
        return (turn.of_computed(ends), computed::shares(was, is));
    }
    let Some(ways) = turn.ways() else { return (turn.without_value(), Vec::new()) };
    let is_as_before = before.beneath == after.beneath;
    let cause = if is_as_before { turn.of_waiver(&ways) } else { turn.of_value(&ways) };
    (cause, ways.toward(turn.decisive_side()).shares())
}

/// The verdicts on one requirement.
struct Turn<'a> {
    sides: &'a Sides<'a>,
    before: &'a Judged,
    after: &'a Judged,
}

/// The ways of the values that stand against the two sides of limits.
struct Ways<'a> {
    at_most: Way<'a>,
    /// The same with all optional parts.
    with_options: Way<'a>,
    /// Whether that is the one which decided, before or after.
    by_options: bool,
    at_least: Way<'a>,
}

impl<'a> Ways<'a> {
    fn toward(&self, side: Side) -> &Way<'a> {
        match side {
            Side::AtMost if self.by_options => &self.with_options,
            Side::AtMost => &self.at_most,
            Side::AtLeast => &self.at_least,
        }
    }
}

impl<'a> Turn<'a> {
    /// The ways of the value; nothing where another one is judged now, or none.
    fn ways(&self) -> Option<Ways<'a>> {
        let is_of_value = |judged: &Judged| {
            matches!(judged.unproven, None | Some(Unproven::Incomplete | Unproven::NoFigure))
        };
        let is_shown = |judged: &Judged| judged.evidence.is_some();
        if is_shown(self.before) || is_shown(self.after) {
            return None;
        }
        if self.asks_otherwise() || !is_of_value(self.before) || !is_of_value(self.after) {
            return None;
        }
        let way = |side, with_options| {
            let subjects = (self.before.subject.as_ref()?, self.after.subject.as_ref()?);
            Way::of(self.sides, subjects, Aspect { side, with_options })
        };
        Some(Ways {
            at_most: way(Side::AtMost, false)?,
            with_options: way(Side::AtMost, true)?,
            by_options: self.before.by_options || self.after.by_options,
            at_least: way(Side::AtLeast, false)?,
        })
    }

    /// The requirement as it was and as it is.
    fn requirements(&self) -> [&'a Requirement; 2] {
        let of = |state: &'a State<'a>, judged: &Judged| {
            &*state.design.requirements[judged.index].record
        };
        [of(self.sides.before, self.before), of(self.sides.after, self.after)]
    }

    /// Whether the requirement is about something else now, or is verified in another way.
    fn asks_otherwise(&self) -> bool {
        let word = |id: &'a Option<At<Id>>| id.as_ref().map(|at| &at.value);
        let [was, is] = self.requirements().map(|requirement| {
            let about = [&requirement.part, &requirement.rail, &requirement.quantity].map(word);
            (about, requirement.builds(), requirement.method())
        });
        was != is
    }

    /// Whether other limits, margins or another rule hold now.
    fn is_judged_otherwise(&self) -> bool {
        let bounds = |judged: &Judged| {
            let of = |side| judged.bounds.iter().find(move |bound| bound.side == side);
            let plain = |bound: &Bound| (bound.limit, bound.margin);
            [Side::AtMost, Side::AtLeast].map(|side| of(side).map(plain))
        };
        let [was, is] = self.requirements().map(Requirement::decide);
        was != is || bounds(self.before) != bounds(self.after)
    }

    fn got_worse(&self) -> bool {
        self.after.beneath.severity() > self.before.beneath.severity()
    }

    /// The side of the limit that the verdict turned at.
    fn decisive_side(&self) -> Side {
        let decisive = if self.got_worse() { self.after } else { self.before };
        let bound = decisive.bounds.first().or(self.after.bounds.first());
        bound.map_or(Side::AtMost, |bound| bound.side)
    }

    /// The cause where no value was judged in both states.
    fn without_value(&self) -> Cause {
        if self.before.beneath == self.after.beneath || self.asks_otherwise() {
            return Cause::Requirement;
        }
        let (before, after) = (self.sides.before.assessed, self.sides.after.assessed);
        if results::turned((before, self.before), (after, self.after)) {
            return Cause::Knowledge;
        }
        let [_, requirement] = self.requirements();
        let part = requirement.part.as_ref();
        let states = [(self.sides.before, self.before), (self.sides.after, self.after)];
        let is_other = part.is_some_and(|part| self.sides.is_another_thing(part))
            || states
                .into_iter()
                .flat_map(overtaking)
                .any(|part| self.sides.is_another_thing(part));
        if is_other { Cause::Design } else { Cause::Knowledge }
    }

    /// The cause where a computed figure was judged in both states.
    fn of_computed(&self, ends: [(&Design, &End); 2]) -> Cause {
        let is_as_before = self.before.beneath == self.after.beneath;
        let by_rail = self.requirements()[1].rail.is_some() && self.sides.rails_changed();
        let is_asked = is_as_before || self.asks_otherwise();
        if (is_asked && !by_rail) || (!is_asked && self.is_reached_by_old_figure()) {
            Cause::Requirement
        } else if by_rail || computed::reads_another_thing(self.sides, ends) {
            Cause::Design
        } else if self.sides.rules_changed() {
            Cause::Requirement
        } else {
            Cause::Knowledge
        }
    }

    /// Whether the figure that was there before has the new verdict by the requirement of today. The
    /// rating of a rail, which falls with a temperature, belongs to the figure.
    fn is_reached_by_old_figure(&self) -> bool {
        let [_, requirement] = self.requirements();
        let (design, figures) = (self.sides.before.design, &self.sides.before.assessed.figures);
        let aim = Aim::of(design, requirement);
        let old = aim.as_ref().and_then(|aim| figures.computed.get(aim));
        old.is_some_and(|old| self.is_as_far(on_computed(design, requirement, old)))
    }

    /// The cause where the verdict beneath waiver and due date is another.
    fn of_value(&self, ways: &Ways<'_>) -> Cause {
        let (u_before, u_after) = (self.before.expanded_u, self.after.expanded_u);
        let by_requirement = || self.is_judged_otherwise() && self.is_reached(ways, &[], u_before);
        let by_rules = || self.sides.rules_changed() && self.is_reached(ways, RULES, u_after);
        if by_requirement() || by_rules() {
            Cause::Requirement
        } else if self.is_reached(ways, RULES_AND_KNOWLEDGE, u_after) {
            Cause::Knowledge
        } else {
            Cause::Design
        }
    }

    /// Whether the step that `movers` made has the new verdict, or went beyond it.
    fn is_reached(&self, ways: &Ways<'_>, movers: &[Mover], expanded_u: f64) -> bool {
        self.is_as_far(self.verdict_at(ways, movers, expanded_u))
    }

    /// Whether a verdict on the way is the new one, or went beyond it.
    fn is_as_far(&self, verdict: Verdict) -> bool {
        let (found, wanted) = (verdict.severity(), self.after.beneath.severity());
        if self.got_worse() { found >= wanted } else { found <= wanted }
    }

    /// The verdict on a step by the requirement as it is now.
    fn verdict_at(&self, ways: &Ways<'_>, movers: &[Mover], expanded_u: f64) -> Verdict {
        let [_, requirement] = self.requirements();
        let is_guarded = requirement.decide() != Decide::Simple;
        let without = ways.at_most.step(movers);
        let with = ways.with_options.step(movers);
        let basic = ways.at_least.step(movers).value;
        let judgeable = |step: &Step| Judgeable {
            basic,
            predicted: step.value,
            u: 0.0, // only probabilities ask for it
            guard: if is_guarded { expanded_u } else { 0.0 },
        };
        let sum = Sum {
            without: judgeable(&without),
            with: Some(judgeable(&with)),
            roll_up: ways.at_most.roll_up(),
            lacks: without.is_incomplete,
            lacks_options: with.is_incomplete,
        };
        let limits: Vec<Limit> = self.after.bounds.iter().map(limit).collect();
        let judged = sum.against(&limits);
        let is_unproven = judged.is_open || without.is_empty;
        if is_unproven { Verdict::Unproven } else { judged.decision.verdict() }
    }

    /// The cause where only a waiver, the due date or the release made the verdict another.
    fn of_waiver(&self, ways: &Ways<'_>) -> Cause {
        let (before, after) = (self.sides.before, self.sides.after);
        let held = self.before.covered.as_ref().map(|covered| &covered.waiver);
        let waivers = held.and_then(|id| waiver(before.design, id).zip(waiver(after.design, id)));
        let is_same_release = before.assessed.occasion.release == after.assessed.occasion.release;
        let still_held = waivers.filter(|(was, is)| is_same_release && covers(was) == covers(is));
        let Some(up_to) = still_held.and_then(|(_, waiver)| waiver.up_to.as_ref()) else {
            return Cause::Requirement;
        };
        // The waiver is the same: the value went beyond what it covers.
        let side = self.decisive_side();
        let value = ways.toward(side).step(RULES_AND_KNOWLEDGE).value;
        let is_beyond = match side {
            Side::AtMost => value + self.after.expanded_u > up_to.base,
            Side::AtLeast => value - self.after.expanded_u < up_to.base,
        };
        if is_beyond { Cause::Knowledge } else { Cause::Design }
    }
}

/// The parts that made evidence for a requirement stale, in one state.
fn overtaking<'a>((state, judged): (&State<'a>, &'a Judged)) -> Vec<&'a Id> {
    let results = judged.evidence.iter().flat_map(|used| &used.results);
    let changed = results.flat_map(|index| match &state.assessed.standings.of(*index).standing {
        Standing::Stale(changed) => changed.as_slice(),
        _ => &[],
    });
    changed.map(|changed| &changed.part).collect()
}

/// The limit of a bound, without the value that was judged against it.
fn limit(bound: &Bound) -> Limit {
    let inner = match bound.side {
        Side::AtMost => bound.limit - bound.margin,
        Side::AtLeast => bound.limit + bound.margin,
    };
    Limit { side: bound.side, limit: bound.limit, inner }
}

fn waiver<'a>(design: &'a Design, id: &Id) -> Option<&'a Waiver> {
    design.waivers.iter().find(|held| held.id.value == *id).map(|held| &*held.record)
}

/// What a waiver lets through, and how far.
fn covers(waiver: &Waiver) -> impl PartialEq + use<> {
    let requirement = match &waiver.waived {
        Some(Waived::Requirement(id)) => Some(id.value.clone()),
        _ => None,
    };
    let up_to = waiver.up_to.as_ref().map(|at| at.value.clone());
    (requirement, up_to, waiver.until_before.as_ref().map(|at| at.value.clone()))
}
