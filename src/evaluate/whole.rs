//! One whole whose budgets are asked for, with what the computations of all budgets share.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::Arc;

use super::Subject;
use super::derived::{self, Derived};
use super::known::{self, Known};
use super::multiplicity::{Multiplicities, multiplicities_down_to};
use super::plan::Plan;
use super::since::Since;
use super::stand_ins::StandIns;
use super::subjects;
use super::term::Terms;
use crate::design::{Design, PartIx};
use crate::quantity::Dimension;
use crate::record::Id;

/// What follows from what assemblies hold and from what is asked alone.
#[derive(Clone, Debug)]
pub(super) struct Frame {
    /// By part: what it comes in; [`Dimension::NONE`] is pieces.
    amounts: Arc<Vec<Dimension>>,
    /// The whole product: a step says how often it is done in one of it.
    pub(super) product: Arc<Whole>,
    /// The budgets that are asked for.
    pub(super) subjects: Arc<BTreeSet<Subject>>,
    /// Every part of which a budget is asked for.
    pub(super) wholes: Arc<BTreeMap<PartIx, Arc<Whole>>>,
    /// What was measured of whole parts.
    pub(super) stand_ins: StandIns,
}

impl Frame {
    /// That of a design with the budgets that are asked for; as far as it is the same as in a state
    /// that was evaluated before, it is taken from there.
    pub(super) fn of(design: &Design, stand_ins: &StandIns, since: Option<&Since<'_>>) -> Self {
        let kept = since.and_then(|since| Some((since, since.figures.frame.as_ref()?)));
        if let Some((_, frame)) = kept.filter(|(since, _)| since.asks_for_the_same(design)) {
            return frame.clone();
        }
        Self::asked_for(design, Arc::new(subjects::all(design)), stand_ins.clone())
    }

    /// That of a design of which these budgets are asked for.
    pub(super) fn asked_for(
        design: &Design,
        subjects: Arc<BTreeSet<Subject>>,
        stand_ins: StandIns,
    ) -> Self {
        let frame = Self::without_subjects(design);
        let parts: BTreeSet<PartIx> = subjects.iter().map(|subject| subject.part).collect();
        let whole = |part: PartIx| match part == design.top {
            true => Arc::clone(&frame.product),
            false => Arc::new(Whole::of(design, part)),
        };
        let wholes = Arc::new(parts.into_iter().map(|part| (part, whole(part))).collect());
        Self { wholes, subjects, stand_ins, ..frame }
    }

    fn without_subjects(design: &Design) -> Self {
        let mut amounts = vec![Dimension::NONE; design.parts.len()];
        for link in design.links.iter().flatten() {
            amounts[link.child.index()] = link.dimension;
        }
        Self {
            amounts: Arc::new(amounts),
            product: Arc::new(Whole::of(design, design.top)),
            subjects: Arc::default(),
            wholes: Arc::default(),
            stand_ins: StandIns::default(),
        }
    }
}

/// What every budget of a design needs.
pub(super) struct Context<'a> {
    pub(super) design: &'a Design,
    pub(super) frame: Frame,
    pub(super) plan: Plan<'a>,
    pub(super) stand_ins: &'a StandIns,
    /// What formulas give that bear the name of a quantity.
    pub(super) derived: Derived,
    /// A state that was evaluated before.
    pub(super) since: Option<&'a Since<'a>>,
}

impl<'a> Context<'a> {
    /// That of a design of which nothing is known yet.
    pub(super) fn of(design: &'a Design, stand_ins: &'a StandIns) -> Self {
        Self::within(design, stand_ins, Frame::without_subjects(design), None)
    }

    /// The same with what is known of its frame, and of a state before it.
    pub(super) fn within(
        design: &'a Design,
        stand_ins: &'a StandIns,
        frame: Frame,
        since: Option<&'a Since<'a>>,
    ) -> Self {
        let plan = Plan::of(design, Arc::clone(&frame.product));
        let derived = Derived::default();
        let mut context = Self { design, frame, plan, stand_ins, derived, since };
        derived::fill(&mut context);
        context
    }

    /// The terms of a budget in the state that was evaluated before.
    pub(super) fn terms_before(
        &self,
        subject: &Subject,
        build: Build<'_>,
    ) -> Option<(&'a Since<'a>, &'a Terms)> {
        let since = self.since?;
        let budget = since.figures.budgets.get(subject)?;
        let with = budget.terms_with_options.as_ref();
        let terms = if build.with_options { with } else { Some(&budget.terms) };
        Some((since, terms?))
    }

    /// What the part itself says of the quantity, or a formula of it, or what follows from what it
    /// draws and is.
    pub(super) fn figure_of(&self, part: PartIx, quantity: &Id) -> Option<Known> {
        if derived::has_formula(self.design, part, quantity) {
            return self.derived.known(part, quantity);
        }
        known::of_part(self.design, part, quantity, self.amounts_of(part))
    }

    pub(super) fn amounts_of(&self, part: PartIx) -> Dimension {
        self.frame.amounts[part.index()]
    }
}

/// A part with everything beneath it.
#[derive(Clone, Debug)]
pub(super) struct Whole {
    pub(super) part: PartIx,
    /// Without optional parts.
    pub(super) base: Multiplicities,
    /// With all of them, where there are any.
    pub(super) with_options: Option<Multiplicities>,
}

impl Whole {
    pub(super) fn of(design: &Design, part: PartIx) -> Self {
        Self::down_to(design, part, |_| false)
    }

    /// The same without what only parts hold that `is_closed`.
    pub(super) fn down_to(
        design: &Design,
        part: PartIx,
        is_closed: impl Fn(PartIx) -> bool,
    ) -> Self {
        let base = multiplicities_down_to(design, part, false, &is_closed);
        let has_options = design.links.iter().flatten().any(|link| link.optional);
        let with = has_options.then(|| multiplicities_down_to(design, part, true, &is_closed));
        Self { part, with_options: with.filter(|with| *with != base), base }
    }

    /// Without optional parts, or with all of them.
    pub(super) fn build(&self, with_options: bool) -> Build<'_> {
        let with = self.with_options.as_ref().filter(|_| with_options);
        Build { root: self.part, counts: with.unwrap_or(&self.base), with_options }
    }
}

/// A whole without its optional parts, or with all of them.
#[derive(Clone, Copy)]
pub(super) struct Build<'a> {
    pub(super) root: PartIx,
    pub(super) counts: &'a Multiplicities,
    pub(super) with_options: bool,
}

impl<'a> Build<'a> {
    /// Every part of it, in the order of parts.
    pub(super) fn parts(self, design: &Design) -> impl Iterator<Item = PartIx> + use<'a> {
        self.parts_at(design, 0..design.parts.len())
    }

    /// Those of its parts that stand at `places`, in the order of parts.
    pub(super) fn parts_at(
        self,
        design: &Design,
        places: Range<usize>,
    ) -> impl Iterator<Item = PartIx> + use<'a> {
        let parts = design.part_indices().skip(places.start).take(places.len());
        parts.filter(move |part| self.counts.holds(*part))
    }
}
