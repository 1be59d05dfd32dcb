//! What a state of a design has in common with one that was evaluated before it.

use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;

use super::{Figures, StandIns, subjects};
use crate::design::{Design, Held, PartIx};

/// A state that was evaluated, beside which only parts are others: their records and figures, but not
/// what they hold, and nothing of what all parts stand on.
pub(super) struct Since<'a> {
    pub(super) design: &'a Design,
    pub(super) figures: &'a Figures,
    /// The parts that are others now, and those with a formula, which may follow from others; in the
    /// order of parts.
    pub(super) changed: Vec<PartIx>,
}

impl<'a> Since<'a> {
    /// `None` where more than parts is another.
    pub(super) fn of(
        (before, figures): (&'a Design, &'a Figures),
        after: &Design,
        stand_ins: &StandIns,
    ) -> Option<Self> {
        let measured = &figures.frame.as_ref()?.stand_ins;
        let has_same_ground = measured == stand_ins && has_same_ground(before, after);
        let changed = has_same_ground.then(|| changed(before, after))?;
        Some(Self { design: before, figures, changed })
    }

    /// Those that are others now of the parts at these places.
    pub(super) fn changed_at(&self, places: &Range<usize>) -> &[PartIx] {
        let [from, to] = [places.start, places.end]
            .map(|place| self.changed.partition_point(|part| part.index() < place));
        &self.changed[from..to]
    }

    /// Whether the same budgets are asked for.
    pub(super) fn asks_for_the_same(&self, after: &Design) -> bool {
        let asks = |part: &PartIx| {
            subjects::asked_by(self.design, *part) == subjects::asked_by(after, *part)
        };
        self.changed.iter().all(asks)
    }
}

/// Whether the same assemblies hold the same, and whatever the figures of parts stand on is the same.
fn has_same_ground(before: &Design, after: &Design) -> bool {
    Arc::ptr_eq(&before.manifest, &after.manifest)
        && before.is_surely_built_as(after)
        && Arc::ptr_eq(&before.quantities, &after.quantities)
        && (Arc::ptr_eq(&before.facts, &after.facts) || before.facts == after.facts)
        && before.top == after.top
        && before.variant == after.variant
        && are_same(&before.nodes, &after.nodes)
        && are_same(&before.rails, &after.rails)
        && are_same(&before.materials, &after.materials)
        && are_same(&before.suppliers, &after.suppliers)
        && are_same(&before.requirements, &after.requirements)
        && are_same(&before.steps, &after.steps)
}

/// Whether the records are the very same ones.
fn are_same<T>(before: &[Held<T>], after: &[Held<T>]) -> bool {
    before.len() == after.len()
        && before.iter().zip(after).all(|(was, is)| Arc::ptr_eq(&was.record, &is.record))
}

fn changed(before: &Design, after: &Design) -> Vec<PartIx> {
    let is_changed = |part: &PartIx| {
        let at = part.index();
        !Arc::ptr_eq(&before.parts[at].record, &after.parts[at].record)
            || !has_same_files(before, after, at)
    };
    let changed = after.parts_apart(before).filter(is_changed);
    let all: BTreeSet<PartIx> = changed.chain(after.with_formulas.iter().copied()).collect();
    all.into_iter().collect()
}

fn has_same_files(before: &Design, after: &Design, at: usize) -> bool {
    let (was, is) = (&before.files[at], &after.files[at]);
    Arc::ptr_eq(was, is) || was.mean_the_same(is)
}
