//! The terms of a budget, and how they come together.

use std::borrow::Borrow;
use std::ops::Range;
use std::sync::Arc;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::known::ByDensity;
use super::made::Materials;
use super::number::{Number, root_of_squares};
use super::since::Since;
use super::whole::Build;
use super::{Budget, Contribution, Missing, Total};
use crate::design::{Design, PartIx, pieces};
use crate::late::Late;
use crate::quantity::Basis;
use crate::record::RollUp;

/// What one part adds to a budget, not yet rounded to floats.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Term {
    pub(super) part: PartIx,
    pub(super) multiplicity: Decimal,
    pub(super) each: Number,
    pub(super) basic: Number,
    pub(super) predicted: Number,
    pub(super) u: f64,
    pub(super) basis: Basis,
    pub(super) uncertain: bool,
    /// What of `u` it shares with others of the same material.
    pub(super) density: Option<ByDensity>,
}

impl Term {
    /// Whether the other says the very same of the same part.
    fn is_same(&self, other: &Self) -> bool {
        let Self { part, multiplicity, each, basic, predicted, u, basis, uncertain, density } =
            *self;
        let numbers = [Number::Exact(multiplicity), each, basic, predicted];
        let of_other =
            [Number::Exact(other.multiplicity), other.each, other.basic, other.predicted];
        part == other.part
            && numbers.into_iter().zip(of_other).all(|(one, other)| one.is_same(other))
            && u.to_bits() == other.u.to_bits()
            && (basis, uncertain, density) == (other.basis, other.uncertain, other.density)
    }
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
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
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
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(super) struct Terms {
    pieces: Vec<Arc<Piece>>,
    combine: Combine,
    /// Of a cost: what the order pays for materials.
    materials: Option<Arc<Materials>>,
}

/// The terms of neighbours.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Piece {
    terms: Late<Vec<Term>>,
    missing: Vec<(PartIx, Missing)>,
    sum: Sum,
}

/// What terms come to where they are added.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
struct Sum {
    basic: Number,
    predicted: Number,
    /// Different parts are independent: their uncertainties add as squares (JCGM 100:2008, 5.1.2).
    squares_of_u: f64,
    /// What comes from the density of one material adds as it is (ibid., 5.2.2, note 1); by the place of
    /// the material.
    by_density: Vec<(usize, f64)>,
    /// How many do not say how sure they are.
    without_uncertainty: usize,
}

impl Default for Sum {
    fn default() -> Self {
        Self {
            basic: Number::ZERO,
            predicted: Number::ZERO,
            squares_of_u: 0.0,
            by_density: Vec::new(),
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
            let was = before.and_then(|(since, terms)| {
                Some((since.changed_at(&places), terms.pieces.get(number)?))
            });
            let mut piece = Piece::default();
            match was {
                Some(([], was)) => return Arc::clone(was),
                Some((changed, was)) => {
                    piece = Piece::clone(was);
                    let changed = changed.iter().filter(|part| build.counts.holds(**part));
                    changed.for_each(|part| piece.exchange(*part, found(*part)));
                }
                None => {
                    let parts = build.parts_at(design, places);
                    parts.for_each(|part| piece.add(part, found(part)));
                }
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
        let piece = Piece { terms: terms.into(), missing, sum: Sum::default() };
        Self { pieces: vec![Arc::new(piece.summed(combine))], combine, materials: None }
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = &Term> {
        self.pieces.iter().flat_map(|piece| piece.terms.iter())
    }

    pub(super) fn missing(&self) -> Vec<(PartIx, Missing)> {
        self.pieces.iter().flat_map(|piece| &piece.missing).cloned().collect()
    }

    /// The contributions, in the order of parts.
    pub(super) fn contributions(&self) -> impl Iterator<Item = Contribution> {
        self.iter().map(|term| self.contribution(term))
    }

    /// The contributions that are not plainly the same as in `other`, in both of them; `alike` says that
    /// a place is that of the same part in both.
    pub(super) fn apart(&self, other: &Self, alike: bool) -> [Vec<Contribution>; 2] {
        let of = |terms: &Self, others: &Self| {
            let own = terms.pieces.iter().enumerate().flat_map(|(at, piece)| {
                let other = others.pieces.get(at);
                let is_shared = other.is_some_and(|other| Arc::ptr_eq(piece, other));
                let other = other.filter(|_| alike);
                let is_same =
                    move |place, term| other.is_some_and(|other| other.holds(place, term));
                let own = if is_shared { &[][..] } else { &**piece.terms };
                let own = own.iter().enumerate();
                own.filter(move |(place, term)| !is_same(*place, term)).map(|(_, term)| term)
            });
            own.map(|term| terms.contribution(term)).collect()
        };
        [of(self, other), of(other, self)]
    }

    fn contribution(&self, term: &Term) -> Contribution {
        Contribution {
            part: term.part,
            multiplicity: term.multiplicity,
            each: term.each.to_f64(),
            total: self.as_total(term.basic, term.predicted, term.u),
            basis: term.basis,
            uncertain: term.uncertain,
            density: term.density,
        }
    }

    fn as_total(&self, basic: Number, predicted: Number, u: f64) -> Total {
        let is_money = self.combine == Combine::Money;
        let money = basic.to_decimal().zip(predicted.to_decimal()).filter(|_| is_money);
        Total { basic: basic.to_f64(), predicted: predicted.to_f64(), u, money }
    }

    /// What comes of them, of which the sum is known.
    fn total(&self, sum: &Sum) -> Total {
        match self.combine {
            Combine::RollUp(RollUp::Max) => self.extreme(|a, b| a > b),
            Combine::RollUp(RollUp::Min) => self.extreme(|a, b| a < b),
            Combine::RollUp(RollUp::RootSumSquare) => self.root_sum_square(),
            Combine::RollUp(RollUp::Sum | RollUp::None) | Combine::Money => {
                self.as_total(sum.basic, sum.predicted, sum.u())
            }
        }
    }

    fn added(&self) -> Sum {
        Sum::of_all(self.pieces.iter().map(|piece| &piece.sum), self.combine)
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

impl Piece {
    fn add(&mut self, part: PartIx, found: Found) {
        self.terms.extend(found.term);
        self.missing.extend(found.missing.map(|missing| (part, missing)));
    }

    /// Puts what is found of a part where stood what was found of it before.
    fn exchange(&mut self, part: PartIx, found: Found) {
        match (self.terms.binary_search_by_key(&part, |term| term.part), found.term) {
            (Ok(place), Some(term)) => self.terms[place] = term,
            (Ok(place), None) => drop(self.terms.remove(place)),
            (Err(place), Some(term)) => self.terms.insert(place, term),
            (Err(_), None) => {}
        }
        self.missing.retain(|(lacking, _)| *lacking != part);
        let place = self.missing.partition_point(|(lacking, _)| *lacking < part);
        self.missing.splice(place..place, found.missing.map(|missing| (part, missing)));
    }

    /// Whether the very same term is among its own; mostly it is at the `place` where it is elsewhere.
    fn holds(&self, place: usize, term: &Term) -> bool {
        let there = self.terms.get(place).filter(|there| there.part == term.part);
        let sought = || {
            let place = self.terms.binary_search_by_key(&term.part, |term| term.part).ok()?;
            self.terms.get(place)
        };
        there.or_else(sought).is_some_and(|own| own.is_same(term))
    }

    fn summed(mut self, combine: Combine) -> Self {
        self.sum = Sum::of_all(self.terms.iter().map(Sum::of), combine);
        self
    }
}

impl Sum {
    fn of(term: &Term) -> Self {
        let alone = term.density.map_or(term.u, |density| density.rest);
        Self {
            basic: term.basic,
            predicted: term.predicted,
            squares_of_u: alone * alone,
            by_density: term.density.iter().map(|density| (density.material, density.u)).collect(),
            without_uncertainty: usize::from(!term.uncertain),
        }
    }

    /// The sum of all.
    fn of_all(sums: impl Iterator<Item = impl Borrow<Self>>, combine: Combine) -> Self {
        let mut all = Self::default();
        sums.for_each(|sum| all.add(sum.borrow(), combine));
        all
    }

    fn add(&mut self, other: &Self, combine: Combine) {
        let plus = if combine == Combine::Money { Number::plus_money } else { Number::plus };
        // Without an allowance both are one sum.
        let is_one = [&*self, other].iter().all(|sum| sum.basic.is_same(sum.predicted));
        self.basic = plus(self.basic, other.basic);
        let predicted = || plus(self.predicted, other.predicted);
        self.predicted = if is_one { self.basic } else { predicted() };
        self.squares_of_u += other.squares_of_u;
        self.without_uncertainty += other.without_uncertainty;
        for (material, u) in &other.by_density {
            match self.by_density.binary_search_by_key(material, |(known, _)| *known) {
                Ok(at) => self.by_density[at].1 += u,
                Err(at) => self.by_density.insert(at, (*material, *u)),
            }
        }
    }

    fn u(&self) -> f64 {
        let shared = self.by_density.iter().map(|(_, u)| u * u);
        (self.squares_of_u + shared.sum::<f64>()).sqrt()
    }
}

/// The budget of terms without optional parts, and of those with all of them.
pub(super) fn budget(base: Terms, with_options: Option<Terms>) -> Budget {
    let (missing, all) = (base.missing(), base.added());
    let mut missing_options = with_options.as_ref().map(Terms::missing).unwrap_or_default();
    missing_options.retain(|lacking| !missing.contains(lacking));
    let is_empty = base.iter().next().is_none();
    Budget {
        total: base.total(&all),
        with_options: with_options.as_ref().map(|with| with.total(&with.added())),
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
    let density = with.density.map(|with| without.density.map_or(with, |less| with.minus(less)));
    let multiplicity = with.multiplicity - without.multiplicity;
    Some(Contribution { multiplicity, total, density, ..with })
}
