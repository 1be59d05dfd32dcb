//! What one build consumes, at the prices that the order for all builds reaches.
//!
//! Money is decimal throughout. Every product comes before the division that it ends in; where a
//! quotient does not end it is rounded at 28 digits, and to minor units only when it is shown.

use rust_decimal::Decimal;

use super::known::{allowance, is_assembly};
use super::made::{Materials, made};
use super::number::Number;
use super::offers::cheapest;
use super::order::{Cost, Need, Order};
use super::term::{self, Combine, Found, Term, Terms};
use super::whole::{Build, Context, Whole};
use super::{Budget, Missing, Subject, own};
use crate::design::PartIx;
use crate::quantity::Basis;
use crate::record::{Allowance, Id};

/// The quantity that this file computes.
const COST: &str = "cost";

/// The most that one part can cost: no sum over the records of a design goes beyond what a decimal
/// holds.
const MOST: Decimal = Decimal::from_parts(0, 0, 1 << 12, false, 0);

/// The cost of one build of `whole`, in an order for the subject's builds.
pub(super) fn budget(context: &Context<'_>, whole: &Whole, subject: &Subject) -> Budget {
    let terms = |build| Order { context, build, builds: subject.builds.into() }.terms(subject);
    let with_options = whole.with_options.is_some().then(|| terms(whole.build(true)));
    let mut budget = term::budget(terms(whole.build(false)), with_options);
    let stated = context.figure_of(whole.part, &Id::from(COST));
    let stated = stated.filter(|_| is_assembly(context.design, whole.part));
    budget.own = stated.map(|stated| own::beside_roll_up(context.design, &stated, &budget));
    budget
}

/// Who supplies what, in the order of parts.
#[derive(Default)]
pub(super) struct Suppliers {
    pub(super) known: Vec<(PartIx, Id)>,
    pub(super) missing: Vec<(PartIx, Missing)>,
}

/// Who supplies the parts of one build in an order for `builds`, the cheapest offer of each taken.
pub(super) fn suppliers(context: &Context<'_>, build: Build<'_>, builds: u64) -> Suppliers {
    let order = Order { context, build, builds: builds.into() };
    let materials = Materials::of(&order, None);
    let mut suppliers = Suppliers::default();
    for (part, need) in order.needs() {
        let cost = need.ok_or(Missing::Overflow).and_then(|need| order.cost(&need, &materials));
        match cost {
            Ok(cost) => suppliers.known.extend(cost.supplier.map(|supplier| (part, supplier))),
            Err(lacks) => suppliers.missing.push((part, lacks)),
        }
    }
    suppliers
}

impl Order<'_> {
    /// What one build costs, part by part.
    fn terms(&self, subject: &Subject) -> Terms {
        let Self { context, build, .. } = *self;
        let before = context.terms_before(subject, build);
        let known = before.and_then(|(since, terms)| Some((since, terms.materials()?)));
        let materials = Materials::of(self, known);
        // Where an order reaches other prices, all that is made of a material costs something else.
        let before = before.filter(|_| known.is_some_and(|(_, was)| was.cost_the_same(&materials)));
        let found = |part| self.found(part, &materials);
        Terms::gathered((context.design, build), Combine::Money, before, found).made_of(materials)
    }

    fn found(&self, part: PartIx, materials: &Materials) -> Found {
        if !self.costs_something(part) {
            return Found::default();
        }
        let need = self.need(part).ok_or(Missing::Overflow);
        let found = need.and_then(|need| {
            let cost = self.cost(&need, materials)?;
            Ok((self.term(&need, &cost).ok_or(Missing::Overflow)?, cost.lacks_machine_time))
        });
        match found {
            Ok((term, lacks_time)) => {
                Found { term: Some(term), missing: lacks_time.then_some(Missing::Figure) }
            }
            Err(missing) => Found { term: None, missing: Some(missing) },
        }
    }

    /// By the part's own offers, else by what it is made of, else by the cost that it states.
    fn cost(&self, need: &Need, materials: &Materials) -> Result<Cost, Missing> {
        let design = self.context.design;
        let offers = &design.record(need.part).offers;
        if offers.is_empty() {
            return made(self, need, materials)
                .or_else(|missing| self.stated_cost(need).unwrap_or(Err(missing)));
        }
        let amounts = self.context.amounts_of(need.part);
        let reached = cheapest(design, offers, |pack| (pack == amounts).then_some(need.consumed))?;
        Ok(Cost {
            amount: reached.cost_of(need.consumed).ok_or(Missing::Overflow)?,
            u: 0.0,
            basis: Basis::Stated,
            // A quote is what will be paid.
            uncertain: true,
            density: None,
            supplier: Some(reached.supplier),
            lacks_machine_time: false,
        })
    }

    /// What the part states that it costs, for the whole order.
    pub(super) fn stated_cost(&self, need: &Need) -> Option<Result<Cost, Missing>> {
        let stated = self.context.figure_of(need.part, &Id::from(COST))?;
        let each = stated.value.to_decimal();
        let amount = each.and_then(|each| need.consumed.checked_mul(each));
        let cost = |amount| Cost {
            amount,
            u: stated.u * Number::Exact(need.consumed).to_f64(),
            basis: stated.basis,
            uncertain: stated.uncertain,
            density: None,
            supplier: None,
            lacks_machine_time: false,
        };
        Some(amount.map(cost).ok_or(Missing::Overflow))
    }

    fn term(&self, need: &Need, cost: &Cost) -> Option<Term> {
        let basic = cost.amount.checked_div(self.builds)?;
        let allowance = allowance(self.context.design, need.part, &Id::from(COST), cost.basis);
        let growth = match allowance {
            None => Decimal::ZERO,
            Some(Allowance::Share(share)) => basic.abs().checked_mul(*share)?,
            Some(Allowance::Amount(amount)) => amount.exact?.checked_mul(need.multiplicity)?,
        };
        let predicted = basic.checked_add(growth)?;
        if basic.abs().max(predicted.abs()) > MOST {
            return None;
        }
        let a_build = 1.0 / Number::Exact(self.builds).to_f64();
        Some(Term {
            part: need.part,
            multiplicity: need.multiplicity,
            each: Number::Exact(basic.checked_div(need.multiplicity)?),
            basic: Number::Exact(basic),
            predicted: Number::Exact(predicted),
            u: cost.u * a_build,
            basis: cost.basis,
            uncertain: cost.uncertain,
            density: cost.density.map(|density| density.times(a_build)),
        })
    }
}
