//! One quantity of one part, rolled up from what is beneath it.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::known::{self, Known, allowance, grown, is_assembly};
use super::number::Number;
use super::stand_ins::StandIn;
use super::term::{self, Combine, Found, Term, Terms};
use super::whole::{Build, Context, Whole};
use super::{Budget, Missing, OwnFigure, Subject, cost, counted, derived, own, printed, purchase};
use crate::design::{PartIx, Quantity, Source};
use crate::record::{Id, RollUp};

/// Work that is done at a part and comes on top of what it contains.
const ASSEMBLY_TIME: &str = "assembly-time";

/// What a mesh gives of a printed part.
const MASS: &str = "mass";

/// The budget of `subject`, which `whole` is the part of; `None` for what is not computed.
pub(super) fn of(context: &Context<'_>, whole: &Whole, subject: &Subject) -> Option<Budget> {
    let name = &subject.quantity;
    let Some(quantity) = context.design.quantities.get(name) else {
        return named_value(context, whole.part, name);
    };
    match quantity.source {
        Source::Figures => Some(of_figures(context, whole, subject, quantity)),
        Source::Cost => Some(cost::budget(context, whole, subject)),
        Source::Counted => Some(counted::budget(context, whole, subject)),
        Source::OrderCost => Some(purchase::budget(context, whole, subject)),
        Source::Centre => None,
    }
}

/// What a part weighs by itself: one that holds no others, or one that was weighed with all that it
/// holds. `None` where that is nothing, or follows from what it holds.
///
/// # Errors
/// Why its mass is not known, where it must have one.
pub(super) fn own_mass(context: &Context<'_>, part: PartIx) -> Result<Option<Known>, Missing> {
    let name = Id::from(MASS);
    let quantity = &context.design.quantities[&name];
    let stand_ins = context.stand_ins.of(&name);
    let asked = Asked { context, name: &name, quantity, stand_ins };
    if let Some(stand_in) = asked.stand_in(part) {
        return Ok(Some(stand_in.known()));
    }
    if is_assembly(context.design, part) { Ok(None) } else { asked.figure(part, false) }
}

/// A further figure of the part counts by itself: no roll-up, no allowance.
fn named_value(context: &Context<'_>, part: PartIx, name: &Id) -> Option<Budget> {
    let known = known::named_value(context.design, part, name)?;
    let term = Term {
        part,
        multiplicity: Decimal::ONE,
        each: known.value,
        basic: known.value,
        predicted: known.value,
        u: known.u,
        basis: known.basis,
        uncertain: known.uncertain,
        density: known.density,
    };
    let terms = Terms::of(Combine::RollUp(RollUp::None), vec![term], Vec::new());
    Some(term::budget(terms, None))
}

fn of_figures(
    context: &Context<'_>,
    whole: &Whole,
    subject: &Subject,
    quantity: &Quantity,
) -> Budget {
    let name = &subject.quantity;
    let stand_ins = context.stand_ins.of(name);
    let asked = Asked { context, name, quantity, stand_ins };
    let closed = stand_ins
        .map(|of| Whole::down_to(context.design, whole.part, |part| of.contains_key(&part)));
    let whole = closed.as_ref().unwrap_or(whole);
    let terms = |build| asked.terms(subject, build);
    let with_options = whole.with_options.is_some().then(|| terms(whole.build(true)));
    let mut budget = term::budget(terms(whole.build(false)), with_options);
    budget.own = asked.own_figure(whole.part, &budget);
    budget
}

/// A quantity that is made of figures.
struct Asked<'a> {
    context: &'a Context<'a>,
    name: &'a Id,
    quantity: &'a Quantity,
    /// Results that count for a part and all that it holds.
    stand_ins: Option<&'a BTreeMap<PartIx, StandIn>>,
}

impl Asked<'_> {
    fn terms(&self, subject: &Subject, build: Build<'_>) -> Terms {
        let found = |part| match self.counts(part, build.root) {
            true => Found::from(self.term(part, build)),
            false => Found::default(),
        };
        let combine = Combine::RollUp(self.quantity.roll_up);
        let before = self.context.terms_before(subject, build);
        Terms::gathered((self.context.design, build), combine, before, found)
    }

    /// Whether the part's own figure is a term: that of a part that holds no others.
    fn counts(&self, part: PartIx, root: PartIx) -> bool {
        match self.quantity.roll_up {
            RollUp::None => part == root,
            _ => {
                self.name.as_str() == ASSEMBLY_TIME
                    || !is_assembly(self.context.design, part)
                    || self.stand_in(part).is_some()
            }
        }
    }

    fn stand_in(&self, part: PartIx) -> Option<&StandIn> {
        self.stand_ins?.get(&part)
    }

    fn term(&self, part: PartIx, build: Build<'_>) -> Result<Option<Term>, Missing> {
        let design = self.context.design;
        if let Some(stand_in) = self.stand_in(part) {
            let multiplicity = build.counts.of(part).ok_or(Missing::Overflow)?;
            let of = (part, self.name);
            return Ok(Some(stand_in.term(design, of, multiplicity, self.weight(multiplicity))));
        }
        let Some(known) = self.figure(part, build.with_options)? else { return Ok(None) };
        let multiplicity = build.counts.of(part).ok_or(Missing::Overflow)?;
        let count = self.weight(multiplicity);
        let basic = known.value.times(count);
        let allowance = allowance(design, part, self.name, known.basis);
        Ok(Some(Term {
            part,
            multiplicity,
            each: known.value,
            basic,
            predicted: grown(allowance, basic, count),
            u: known.u * count.to_f64(),
            basis: known.basis,
            uncertain: known.uncertain,
            density: known.density.map(|density| density.times(count.to_f64())),
        }))
    }

    /// What is known of the part; nothing of one that need not state it.
    fn figure(&self, part: PartIx, with_options: bool) -> Result<Option<Known>, Missing> {
        let design = self.context.design;
        let known = self.known(part, with_options);
        let is_expected = self.quantity.expected.contains(&design.record(part).origin)
            || derived::has_formula(design, part, self.name);
        let is_missing = known.is_none() && is_expected && !is_assembly(design, part);
        if is_missing { Err(self.lacking(part)) } else { Ok(known) }
    }

    fn known(&self, part: PartIx, with_options: bool) -> Option<Known> {
        let work = || self.context.plan.work(part, with_options);
        let is_work = self.name.as_str() == ASSEMBLY_TIME;
        is_work.then(work).flatten().or_else(|| self.own(part))
    }

    /// Why a part has no figure of its own.
    fn lacking(&self, part: PartIx) -> Missing {
        if derived::has_formula(self.context.design, part, self.name) {
            return Missing::Formula;
        }
        let printed = || printed::mass(self.context.design, part)?.err();
        let is_mass = self.name.as_str() == MASS;
        is_mass.then(printed).flatten().map_or(Missing::Figure, Missing::Mesh)
    }

    fn own(&self, part: PartIx) -> Option<Known> {
        self.context.figure_of(part, self.name)
    }

    /// How often the figure of one counts where the whole holds `multiplicity` of it: equal,
    /// independent sources of noise add as squares.
    fn weight(&self, multiplicity: Decimal) -> Number {
        let all = Number::Exact(multiplicity);
        match self.quantity.roll_up {
            RollUp::Sum => all,
            RollUp::RootSumSquare => Number::Float(all.to_f64().sqrt()),
            RollUp::Max | RollUp::Min | RollUp::None => Number::ONE,
        }
    }

    /// The figure that an assembly states of itself, beside its roll-up; that of work beside the
    /// steps that take it.
    fn own_figure(&self, part: PartIx, budget: &Budget) -> Option<OwnFigure> {
        let design = self.context.design;
        let own = self.own(part)?;
        if self.name.as_str() == ASSEMBLY_TIME {
            let work = self.context.plan.work(part, false)?;
            return Some(own::compared(design, &own, work.value.to_f64(), work.u, true));
        }
        let is_compared = is_assembly(design, part) && self.quantity.roll_up != RollUp::None;
        is_compared.then(|| own::beside_roll_up(design, &own, budget))
    }
}
