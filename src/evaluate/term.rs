//! The terms of a budget, and how they come together.

use std::ops::Range;
use std::sync::Arc;

use rust_decimal::Decimal;

use super::made::Materials;
use super::number::Number;
use super::since::Since;
use super::whole::Build;
use super::{Budget, Contribution, Missing, Total};
use crate::design::{Design, PartIx};
use crate::quantity::Basis;
use crate::record::RollUp;

/// How many neighbours stand in one piece.
const PARTS_OF_A_PIECE: usize = 32;

/// What one part adds to a budget, not yet rounded to floats.
#[derive(Clone, Copy, Debug, PartialEq)]
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

/// What is known of one part: its term, or why it has none, or why there is more to it.
#[derive(Clone, Debug, Default)]
pub(super) struct Found {
    pub(super) term: Option<Term>,
    pub(super) missing: Option<Missing>,
}

impl From<Result<Option<Term>, Missing>> for Found {
    fn from(found: Result<Option<Term>, Missing>) -> Self {
        match found {
            Ok(term) => Self { term, missing: None },
            Err(missing) => Self { term: None, missing: Some(missing) },
        }
    }
}

/// How terms come to a total.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) enum Combine {
    RollUp(RollUp),
    /// A sum of exact money.
    #[default]
    Money,
}

/// The terms of one build, in the order of parts, and the parts that have none.
///
/// They lie in pieces of neighbours, each with what it comes to: two states of a design share the
/// pieces in which no part changed, and a total is taken anew from what the pieces come to.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Terms {
    pieces: Vec<Arc<Piece>>,
    combine: Combine,
    /// Of a cost: what the order pays for materials.
    materials: Option<Arc<Materials>>,
}

/// The terms of neighbours.
#[derive(Clone, Debug, Default, PartialEq)]
struct Piece {
    terms: Vec<Term>,
    missing: Vec<(PartIx, Missing)>,
    sum: Sum,
}

/// What terms come to where they are added.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sum {
    basic: Number,
    predicted: Number,
    /// Different parts are independent: their uncertainties add as squares (JCGM 100:2008, 5.1.2).
    squares_of_u: f64,
    /// How many do not say how sure they are.
    without_uncertainty: usize,
}

impl Default for Sum {
    fn default() -> Self {
        Self {
            basic: Number::ZERO,
            predicted: Number::ZERO,
            squares_of_u: 0.0,
            without_uncertainty: 0,
        }
    }
}

impl Terms {
    /// Those of the parts of a build, each by what is `found` of it alone. What was found `before` in
    /// a state since which the part is the same is not sought again.
    pub(super) fn gathered(
        (design, build): (&Design, Build<'_>),
        combine: Combine,
        before: Option<(&Since<'_>, &Self)>,
        found: impl Fn(PartIx) -> Found,
    ) -> Self {
        let piece = |(number, places): (usize, Range<usize>)| {
            let was = before.and_then(|(since, terms)| Some((since, terms.pieces.get(number)?)));
            if let Some((since, was)) = was
                && !since.is_any_changed(&places)
            {
                return Arc::clone(was);
            }
            let mut piece = Piece::default();
            for part in build.parts_at(design, places) {
                let kept = was.filter(|(since, _)| !since.is_changed(part));
                piece.add(part, kept.map_or_else(|| found(part), |(_, was)| was.of(part)));
            }
            Arc::new(piece.summed(combine))
        };
        Self {
            pieces: pieces(design.parts.len()).enumerate().map(piece).collect(),
            combine,
            materials: None,
        }
    }

    /// The same with what the order pays for materials.
    pub(super) fn made_of(self, materials: Materials) -> Self {
        Self { materials: Some(Arc::new(materials)), ..self }
    }

    /// What the order pays for materials.
    pub(super) fn materials(&self) -> Option<&Materials> {
        self.materials.as_deref()
    }

    /// `terms` and `missing`, both in the order of parts.
    pub(super) fn of(combine: Combine, terms: Vec<Term>, missing: Vec<(PartIx, Missing)>) -> Self {
        let piece = Piece { terms, missing, sum: Sum::default() };
        Self { pieces: vec![Arc::new(piece.summed(combine))], combine, materials: None }
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = &Term> {
        self.pieces.iter().flat_map(|piece| &piece.terms)
    }

    pub(super) fn missing(&self) -> Vec<(PartIx, Missing)> {
        self.pieces.iter().flat_map(|piece| &piece.missing).cloned().collect()
    }

    /// The contributions, in the order of parts.
    pub(super) fn contributions(&self) -> impl Iterator<Item = Contribution> {
        self.iter().map(|term| self.contribution(term))
    }

    /// The contributions that are not plainly the same as in `other`, in both of them.
    pub(super) fn apart(&self, other: &Self) -> [Vec<Contribution>; 2] {
        let is_shared = |at: usize, other: &Self| {
            let pair = self.pieces.get(at).zip(other.pieces.get(at));
            pair.is_some_and(|(one, other)| Arc::ptr_eq(one, other))
        };
        let of = |terms: &Self| {
            let own = terms.pieces.iter().enumerate().filter(|(at, _)| !is_shared(*at, other));
            let own = own.flat_map(|(_, piece)| &piece.terms);
            own.map(|term| terms.contribution(term)).collect()
        };
        [of(self), of(other)]
    }

    fn contribution(&self, term: &Term) -> Contribution {
        Contribution {
            part: term.part,
            multiplicity: term.multiplicity,
            each: term.each.to_f64(),
            total: self.as_total(term.basic, term.predicted, term.u),
            basis: term.basis,
            uncertain: term.uncertain,
        }
    }

    fn as_total(&self, basic: Number, predicted: Number, u: f64) -> Total {
        let is_money = self.combine == Combine::Money;
        let money = basic.to_decimal().zip(predicted.to_decimal()).filter(|_| is_money);
        Total { basic: basic.to_f64(), predicted: predicted.to_f64(), u, money }
    }

    fn total(&self) -> Total {
        match self.combine {
            Combine::RollUp(RollUp::Max) => self.extreme(|a, b| a > b),
            Combine::RollUp(RollUp::Min) => self.extreme(|a, b| a < b),
            Combine::RollUp(RollUp::RootSumSquare) => self.root_sum_square(),
            Combine::RollUp(RollUp::Sum | RollUp::None) | Combine::Money => self.sum(),
        }
    }

    fn sum(&self) -> Total {
        let all = self.added();
        self.as_total(all.basic, all.predicted, all.squares_of_u.sqrt())
    }

    fn added(&self) -> Sum {
        let sums = self.pieces.iter().map(|piece| piece.sum);
        sums.fold(Sum::default(), |sum, next| sum.plus(next, self.combine))
    }

    /// The term that goes beyond all others; of basic and predicted value each for itself, with the
    /// larger uncertainty of the two that govern.
    fn extreme(&self, beyond: fn(f64, f64) -> bool) -> Total {
        let pick = |of: fn(&Term) -> Number| {
            self.iter().reduce(|best, term| {
                let (best_value, value) = (of(best).to_f64(), of(term).to_f64());
                let wins = beyond(value, best_value) || (value == best_value && term.u > best.u);
                if wins { term } else { best }
            })
        };
        match (pick(|term| term.basic), pick(|term| term.predicted)) {
            (Some(basic), Some(predicted)) => {
                self.as_total(basic.basic, predicted.predicted, basic.u.max(predicted.u))
            }
            _ => Total::default(),
        }
    }

    /// y = √Σx², and by the law of propagation u = √Σ(x·u)² / y.
    fn root_sum_square(&self) -> Total {
        let basic = root_of_squares(self.iter().map(|term| term.basic.to_f64()));
        let predicted = root_of_squares(self.iter().map(|term| term.predicted.to_f64()));
        let u = if basic == 0.0 {
            root_of_squares(self.iter().map(|term| term.u))
        } else {
            root_of_squares(self.iter().map(|term| term.basic.to_f64() * term.u)) / basic
        };
        Total { basic, predicted, u, money: None }
    }
}

/// The places of all parts, in pieces.
pub(super) fn pieces(parts: usize) -> impl Iterator<Item = Range<usize>> {
    let starts = (0..parts).step_by(PARTS_OF_A_PIECE);
    starts.map(move |start| start..parts.min(start + PARTS_OF_A_PIECE))
}

impl Piece {
    fn add(&mut self, part: PartIx, found: Found) {
        self.terms.extend(found.term);
        self.missing.extend(found.missing.map(|missing| (part, missing)));
    }

    /// What was found of a part.
    fn of(&self, part: PartIx) -> Found {
        let term = self.terms.binary_search_by_key(&part, |term| term.part);
        let missing = self.missing.iter().find(|(lacking, _)| *lacking == part);
        Found {
            term: term.ok().map(|place| self.terms[place]),
            missing: missing.map(|(_, missing)| missing.clone()),
        }
    }

    fn summed(mut self, combine: Combine) -> Self {
        let one = |term: &Term| Sum {
            basic: term.basic,
            predicted: term.predicted,
            squares_of_u: term.u * term.u,
            without_uncertainty: usize::from(!term.uncertain),
        };
        self.sum =
            self.terms.iter().map(one).fold(Sum::default(), |sum, term| sum.plus(term, combine));
        self
    }
}

impl Sum {
    fn plus(self, other: Self, combine: Combine) -> Self {
        let plus = if combine == Combine::Money { Number::plus_money } else { Number::plus };
        Self {
            basic: plus(self.basic, other.basic),
            predicted: plus(self.predicted, other.predicted),
            squares_of_u: self.squares_of_u + other.squares_of_u,
            without_uncertainty: self.without_uncertainty + other.without_uncertainty,
        }
    }
}

/// The budget of terms without optional parts, and of those with all of them.
pub(super) fn budget(base: Terms, with_options: Option<Terms>) -> Budget {
    let (missing, all) = (base.missing(), base.added());
    let mut missing_options = with_options.as_ref().map(Terms::missing).unwrap_or_default();
    missing_options.retain(|lacking| !missing.contains(lacking));
    let is_empty = base.iter().next().is_none();
    Budget {
        total: base.total(),
        with_options: with_options.as_ref().map(Terms::total),
        optional: with_options.as_ref().map(|with| added(with, &base)).unwrap_or_default(),
        without_uncertainty: all.without_uncertainty,
        empty: is_empty,
        own: None,
        missing,
        missing_options,
        terms: base,
        terms_with_options: with_options,
    }
}

/// What parts add with all options beyond what they add without them.
fn added(with: &Terms, without: &Terms) -> Vec<Contribution> {
    let mut base = without.iter().peekable();
    let added = with.iter().filter_map(|term| {
        while base.next_if(|base| base.part < term.part).is_some() {}
        let base = base.next_if(|base| base.part == term.part);
        if base.is_some_and(|base| base == term) {
            return None;
        }
        beyond(with.contribution(term), base.map(|base| without.contribution(base)))
    });
    added.collect()
}

/// What a part adds beyond what it adds otherwise; nothing where that is the same.
fn beyond(with: Contribution, without: Option<Contribution>) -> Option<Contribution> {
    let Some(without) = without else { return Some(with) };
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
    Some(Contribution { multiplicity, total, ..with })
}

/// Values are at most 10^30, counts 10^29: the squares stay far below what a float holds.
pub(super) fn root_of_squares(values: impl Iterator<Item = f64>) -> f64 {
    values.map(|value| value * value).sum::<f64>().sqrt()
}
