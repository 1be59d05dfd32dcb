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
use super::term::{self, Combine, Term, Terms};
use super::whole::{Build, Context, Whole};
use super::{Budget, Missing, Subject, own};
use crate::design::PartIx;
use crate::quantity::Basis;
use crate::record::{Allowance, Id};

/// The quantity that this file computes.
const COST: &str = "cost";

/// The cost of one build of `whole`, in an order for the subject's builds.
pub(super) fn budget(context: &Context<'_>, whole: &Whole, subject: &Subject) -> Budget {
    let terms = |build| costs(context, build, subject.builds).terms;
    let with_options = whole.with_options.is_some().then(|| terms(whole.build(true)));
    let mut budget = term::budget(terms(whole.build(false)), with_options, Combine::Money);
    let stated = context.figure_of(whole.part, &Id::from(COST));
    let stated = stated.filter(|_| is_assembly(context.design, whole.part));
    budget.own = stated.map(|stated| own::beside_roll_up(context.design, &stated, &budget));
    budget
}

/// What one build costs, part by part, in an order for `builds`.
pub(super) fn costs(context: &Context<'_>, build: Build<'_>, builds: u64) -> Costs {
    Order { context, build, builds: builds.into() }.costs()
}

/// The costs of one build, in the order of parts.
#[derive(Default)]
pub(super) struct Costs {
    pub(super) terms: Terms,
    /// Who supplies what, the cheapest offer of each part taken.
    pub(super) suppliers: Vec<(PartIx, Id)>,
    basic: Decimal,
    predicted: Decimal,
}

impl Order<'_> {
    fn costs(&self) -> Costs {
        let mut costs = Costs::default();
        let needs = self.needs();
        let materials = Materials::of(self, needs.iter().filter_map(|(_, need)| need.as_ref()));
        for (part, need) in &needs {
            let cost = need
                .as_ref()
                .ok_or(Missing::Overflow)
                .and_then(|need| Ok((need, self.cost(need, &materials)?)));
            if let Err(missing) = cost.and_then(|(need, cost)| self.add(&mut costs, need, cost)) {
                costs.terms.missing.push((*part, missing));
            }
        }
        costs
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
        let priced = cheapest(design, offers, |pack| (pack == amounts).then_some(need.consumed))?;
        Ok(Cost {
            amount: priced.amount,
            u: 0.0,
            basis: Basis::Stated,
            // A quote is what will be paid.
            uncertain: true,
            supplier: Some(priced.supplier),
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
            supplier: None,
            lacks_machine_time: false,
        };
        Some(amount.map(cost).ok_or(Missing::Overflow))
    }

    fn add(&self, costs: &mut Costs, need: &Need, cost: Cost) -> Result<(), Missing> {
        let term = self.term(need, &cost).ok_or(Missing::Overflow)?;
        let (basic, predicted) =
            term.basic.to_decimal().zip(term.predicted.to_decimal()).ok_or(Missing::Overflow)?;
        let sums = costs.basic.checked_add(basic).zip(costs.predicted.checked_add(predicted));
        (costs.basic, costs.predicted) = sums.ok_or(Missing::Overflow)?;
        costs.terms.terms.push(term);
        if cost.lacks_machine_time {
            costs.terms.missing.push((need.part, Missing::Figure));
        }
        costs.suppliers.extend(cost.supplier.map(|supplier| (need.part, supplier)));
        Ok(())
    }

    fn term(&self, need: &Need, cost: &Cost) -> Option<Term> {
        let basic = cost.amount.checked_div(self.builds)?;
        let allowance = allowance(self.context.design, need.part, &Id::from(COST), cost.basis);
        let growth = match allowance {
            None => Decimal::ZERO,
            Some(Allowance::Share(share)) => basic.abs().checked_mul(*share)?,
            Some(Allowance::Amount(amount)) => amount.exact?.checked_mul(need.multiplicity)?,
        };
        Some(Term {
            part: need.part,
            multiplicity: need.multiplicity,
            each: Number::Exact(basic.checked_div(need.multiplicity)?),
            basic: Number::Exact(basic),
            predicted: Number::Exact(basic.checked_add(growth)?),
            u: cost.u / Number::Exact(self.builds).to_f64(),
            basis: cost.basis,
            uncertain: cost.uncertain,
        })
    }
}
