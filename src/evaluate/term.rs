//! The terms of a budget, and how they come together.

use super::number::Number;
use super::{Budget, Contribution, Missing, Total};
use crate::design::PartIx;
use crate::quantity::Basis;
use crate::record::RollUp;
use rust_decimal::Decimal;

/// What one part adds to a budget, not yet rounded to floats.
#[derive(Clone, Debug)]
pub(super) struct Term {
    pub(super) part: PartIx,
    pub(super) multiplicity: Decimal,
    pub(super) each: Number,
    pub(super) basic: Number,
    pub(super) predicted: Number,
    pub(super) u: f64,
    pub(super) basis: Basis,
    pub(super) uncertain: bool,
}

/// The terms of one build, in the order of parts, and the parts that have none.
#[derive(Clone, Debug, Default)]
pub(super) struct Terms {
    pub(super) terms: Vec<Term>,
    pub(super) missing: Vec<(PartIx, Missing)>,
}

/// How terms come to a total.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Combine {
    RollUp(RollUp),
    /// A sum of exact money.
    Money,
}

/// The budget of terms without optional parts, and of those with all of them.
pub(super) fn budget(base: Terms, with_options: Option<Terms>, combine: Combine) -> Budget {
    let contribution = |term: &Term| contribution(term, combine == Combine::Money);
    let total = total(&base.terms, combine);
    let with_total = with_options.as_ref().map(|with| self::total(&with.terms, combine));
    let with_options = with_options.unwrap_or_default();
    let mut missing_options = with_options.missing;
    missing_options.retain(|missing| !base.missing.contains(missing));
    let optional = with_options.terms.iter().filter_map(|with| {
        let place = base.terms.binary_search_by_key(&with.part, |term| term.part);
        added(&contribution(with), place.ok().map(|place| contribution(&base.terms[place])))
    });
    Budget {
        optional: optional.collect(),
        contributions: base.terms.iter().map(contribution).collect(),
        without_uncertainty: base.terms.iter().filter(|term| !term.uncertain).count(),
        empty: base.terms.is_empty(),
        own: None,
        missing: base.missing,
        missing_options,
        total,
        with_options: with_total,
    }
}

/// What a part adds with all options beyond what it adds without them; nothing where that is the
/// same.
fn added(with: &Contribution, without: Option<Contribution>) -> Option<Contribution> {
    let Some(without) = without else { return Some(with.clone()) };
    if with.multiplicity == without.multiplicity && with.total == without.total {
        return None;
    }
    let money = with.total.money.zip(without.total.money);
    let total = Total {
        basic: with.total.basic - without.total.basic,
        predicted: with.total.predicted - without.total.predicted,
        // One figure, shared by all of its pieces.
        u: (with.total.u - without.total.u).abs(),
        money: money.and_then(|(with, without)| {
            Some((with.0.checked_sub(without.0)?, with.1.checked_sub(without.1)?))
        }),
    };
    let multiplicity = with.multiplicity - without.multiplicity;
    Some(Contribution { multiplicity, total, ..with.clone() })
}

fn contribution(term: &Term, is_money: bool) -> Contribution {
    Contribution {
        part: term.part,
        multiplicity: term.multiplicity,
        each: term.each.to_f64(),
        total: as_total(term.basic, term.predicted, term.u, is_money),
        basis: term.basis,
        uncertain: term.uncertain,
    }
}

fn as_total(basic: Number, predicted: Number, u: f64, is_money: bool) -> Total {
    let money = basic.to_decimal().zip(predicted.to_decimal()).filter(|_| is_money);
    Total { basic: basic.to_f64(), predicted: predicted.to_f64(), u, money }
}

fn total(terms: &[Term], combine: Combine) -> Total {
    match combine {
        Combine::Money => sum_of_money(terms),
        Combine::RollUp(RollUp::Max) => extreme(terms, |a, b| a > b),
        Combine::RollUp(RollUp::Min) => extreme(terms, |a, b| a < b),
        Combine::RollUp(RollUp::RootSumSquare) => root_sum_square(terms),
        Combine::RollUp(RollUp::Sum | RollUp::None) => sum(terms),
    }
}

/// Different parts are independent: their uncertainties add as squares (JCGM 100:2008, 5.1.2).
fn sum(terms: &[Term]) -> Total {
    let basic = terms.iter().fold(Number::ZERO, |sum, term| sum.plus(term.basic));
    let predicted = terms.iter().fold(Number::ZERO, |sum, term| sum.plus(term.predicted));
    as_total(basic, predicted, root_of_squares(terms.iter().map(|term| term.u)), false)
}

/// A sum that stays decimal: shares that do not end were rounded at 28 digits, and so is their sum.
/// [`super::cost`] leaves out terms beyond what a decimal holds.
fn sum_of_money(terms: &[Term]) -> Total {
    let sum = |of: fn(&Term) -> Number| {
        let amounts = terms.iter().filter_map(|term| of(term).to_decimal());
        amounts.fold(Decimal::ZERO, Decimal::saturating_add)
    };
    let (basic, predicted) = (sum(|term| term.basic), sum(|term| term.predicted));
    let u = root_of_squares(terms.iter().map(|term| term.u));
    as_total(Number::Exact(basic), Number::Exact(predicted), u, true)
}

/// The term that goes beyond all others; of basic and predicted value each for itself, with the
/// larger uncertainty of the two that govern.
fn extreme(terms: &[Term], beyond: fn(f64, f64) -> bool) -> Total {
    let pick = |of: fn(&Term) -> Number| {
        terms.iter().reduce(|best, term| {
            let (best_value, value) = (of(best).to_f64(), of(term).to_f64());
            let wins = beyond(value, best_value) || (value == best_value && term.u > best.u);
            if wins { term } else { best }
        })
    };
    match (pick(|term| term.basic), pick(|term| term.predicted)) {
        (Some(basic), Some(predicted)) => {
            as_total(basic.basic, predicted.predicted, basic.u.max(predicted.u), false)
        }
        _ => Total::default(),
    }
}

/// y = √Σx², and by the law of propagation u = √Σ(x·u)² / y.
fn root_sum_square(terms: &[Term]) -> Total {
    let basic = root_of_squares(terms.iter().map(|term| term.basic.to_f64()));
    let predicted = root_of_squares(terms.iter().map(|term| term.predicted.to_f64()));
    let u = if basic == 0.0 {
        root_of_squares(terms.iter().map(|term| term.u))
    } else {
        root_of_squares(terms.iter().map(|term| term.basic.to_f64() * term.u)) / basic
    };
    Total { basic, predicted, u, money: None }
}

/// Values are at most 10^30, counts 10^29: the squares stay far below what a float holds.
pub(super) fn root_of_squares(values: impl Iterator<Item = f64>) -> f64 {
    values.map(|value| value * value).sum::<f64>().sqrt()
}
