//! The ways in which one ware can be bought: so many units of sale of one of its offers, or of several.
//!
//! All mixes that could belong to a cheapest order are listed, as long as there are not too many. A mix
//! holds no more than is needed, but for what a unit of sale, a minimum order or a price break brings
//! along, and but for more that is bought where it may save the shipping. One that costs so much more
//! than the cheapest that no shipping makes up for it is none, nor is one that brings no more goods
//! towards a limit than a cheaper one.

use rust_decimal::{Decimal, RoundingStrategy};

use super::super::offers::{fewest_units, landed, unit_price};
use super::bid::MOST;
use super::choose::Bid;
use crate::design::Design;
use crate::quantity::Money;
use crate::record::Offer;

/// Mixes of one ware that are tried.
const MOST_MIXES: usize = 1_000;

/// Offers of one ware that are mixed.
const MOST_OFFERS: usize = 12;

/// So many units of sale of one offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Taken {
    /// The place of the offer among those of the ware.
    pub(super) offer: usize,
    pub(super) supplier: usize,
    pub(super) units: Decimal,
    /// What counts towards the supplier's limit for free shipping.
    pub(super) goods: Decimal,
    /// What is paid for them, without shipping.
    pub(super) cost: Decimal,
}

/// One way to buy what is needed of a ware.
#[derive(Clone, Debug, Default)]
pub(super) struct Way {
    /// At least one.
    pub(super) taken: Vec<Taken>,
    /// How much is needed, in the dimension of the offers' packs.
    pub(super) needed: Decimal,
}

/// What a supplier's parcel may come to, which decides what is worth considering.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Outlook {
    /// The shipping that the choice of bids may cause or save.
    pub(super) at_stake: Decimal,
    /// Whether more goods may make the parcel free, and it is not free anyhow.
    pub(super) may_become_free: bool,
}

/// An offer from which a ware can be bought.
pub(super) struct Sale<'a> {
    pub(super) design: &'a Design,
    /// The place of the offer among those of the ware.
    pub(super) at: usize,
    pub(super) offer: &'a Offer,
    pub(super) supplier: usize,
}

/// All that can be bought of a ware.
pub(super) struct Ways {
    /// The cheapest first.
    pub(super) listed: Vec<(Way, Bid)>,
    /// Where there are more than those listed: none of the others costs less.
    pub(super) others_from: Option<Decimal>,
}

impl Sale<'_> {
    /// So many units; `None` beyond [`MOST`].
    fn taken(&self, units: Decimal) -> Option<Taken> {
        let price = unit_price(self.offer, units);
        let amount = price.amount.checked_mul(units)?;
        let goods = amount.checked_mul(self.design.rate_of(price.currency)?)?;
        let cost = landed(self.design, self.offer, Money { amount, ..price })?;
        let Self { at: offer, supplier, .. } = *self;
        (cost <= MOST).then_some(Taken { offer, supplier, units, goods, cost })
    }

    /// The fewest units of sale that hold `amount`; [`MOST`] beyond it.
    fn fewest(&self, amount: Decimal) -> Decimal {
        fewest_units(self.offer, amount).unwrap_or(MOST)
    }

    fn breaks(&self) -> impl Iterator<Item = Decimal> {
        self.offer.breaks.iter().map(|(from, _)| Decimal::from(from.value))
    }

    /// The fewest units of sale that hold what is `needed`, and as many as each further price break asks
    /// for; `None` beyond what is reckoned with.
    pub(super) fn alone(&self, needed: Decimal) -> Option<Vec<(Way, Bid)>> {
        let least = fewest_units(self.offer, needed)?;
        let way = |units: Decimal| {
            let taken = self.taken(units)?;
            let bid = Bid { goods: vec![(self.supplier, taken.goods)], cost: taken.cost };
            Some((Way { taken: vec![taken], needed }, bid))
        };
        let more = self.breaks().filter(|from| *from > least).filter_map(way);
        Some(std::iter::once(way(least)?).chain(more).collect())
    }

    /// The most goods that are bought of it where none are bought to save shipping: at any price as many
    /// as are needed, or as a price break asks for.
    pub(super) fn dearest(&self, alone: &[(Way, Bid)]) -> Decimal {
        let goods = |(way, _): &(Way, Bid)| way.taken.iter().map(|taken| taken.goods).max();
        let first = alone.first().and_then(|(way, _)| way.taken.first());
        let at_any_price = self.breaks().chain([Decimal::ONE]).filter_map(|units| {
            let each = self.taken(units)?.goods.checked_div(units)?;
            first?.units.checked_mul(each)
        });
        alone.iter().filter_map(goods).chain(at_any_price).max().unwrap_or_default()
    }

    /// The least that a unit of sale costs in any order.
    fn least_price(&self) -> Option<Decimal> {
        let prices = self.offer.breaks.iter().map(|(_, price)| price.value);
        let prices = std::iter::once(self.offer.price.value).chain(prices);
        prices.filter_map(|price| landed(self.design, self.offer, price)).min()
    }

    /// The least that a unit of what is needed costs.
    fn least_each(&self) -> Decimal {
        let each = self.least_price().and_then(|price| price.checked_div(self.offer.pack.exact));
        // A bound stays one where it is rounded down.
        let rounded = |each: Decimal| each.round_dp_with_strategy(20, RoundingStrategy::ToZero);
        each.map_or(Decimal::ZERO, rounded)
    }
}

/// Every way to buy what is `needed` from `sales`, at least one, that could belong to a cheapest order;
/// where there are too many, those from one offer `alone`.
pub(super) fn ways(
    sales: &[Sale<'_>],
    needed: Decimal,
    outlook: &[Outlook],
    alone: Vec<(Way, Bid)>,
) -> Ways {
    let mixes = Mixes::of(sales, needed, outlook, &alone);
    let each = mixes.each_from.first().copied().unwrap_or_default();
    let (listed, others_from) = match mixes.all() {
        Some(all) => (all, None),
        None => (alone, Some(each.saturating_mul(needed))),
    };
    Ways { listed: without_worse(listed, outlook), others_from }
}

/// The mixes of a ware's offers.
struct Mixes<'a> {
    sales: &'a [Sale<'a>],
    outlook: &'a [Outlook],
    needed: Decimal,
    /// By sale: what a unit of what is needed costs at least, from it on.
    each_from: Vec<Decimal>,
    /// No mix that costs more belongs to a cheapest order.
    most_cost: Decimal,
    found: Vec<(Way, Bid)>,
    tried: usize,
}

/// The offers that are taken so far, and what they leave to buy.
#[derive(Clone, Default)]
struct Mix {
    taken: Vec<Taken>,
    goods: Vec<(usize, Decimal)>,
    cost: Decimal,
    left: Decimal,
}

impl<'a> Mixes<'a> {
    fn of(
        sales: &'a [Sale<'a>],
        needed: Decimal,
        outlook: &'a [Outlook],
        alone: &[(Way, Bid)],
    ) -> Self {
        let mut each_from: Vec<Decimal> = Vec::with_capacity(sales.len());
        for sale in sales.iter().rev() {
            let each = sale.least_each();
            each_from.push(each_from.last().map_or(each, |later| each.min(*later)));
        }
        each_from.reverse();
        let mut suppliers: Vec<usize> = sales.iter().map(|sale| sale.supplier).collect();
        suppliers.sort_unstable();
        suppliers.dedup();
        // In the place of a mix, the cheapest one changes what is paid for these parcels alone.
        let shipping = suppliers.iter().map(|supplier| outlook[*supplier].at_stake);
        let cheapest = alone.iter().map(|(_, bid)| bid.cost).min().unwrap_or_default();
        let most_cost = shipping.fold(cheapest, Decimal::saturating_add);
        Self { sales, outlook, needed, each_from, most_cost, found: Vec::new(), tried: 0 }
    }

    /// All of them; `None` where there are too many.
    fn all(mut self) -> Option<Vec<(Way, Bid)>> {
        let nothing = Mix { left: self.needed, ..Mix::default() };
        let is_whole = self.sales.len() <= MOST_OFFERS && self.from(0, &nothing);
        is_whole.then_some(self.found)
    }

    /// Goes on with the sale at a place; `false` once too many are tried.
    fn from(&mut self, at: usize, mix: &Mix) -> bool {
        let Some(sale) = self.sales.get(at) else {
            let Mix { taken, goods, cost, .. } = mix.clone();
            let way = Way { taken, needed: self.needed };
            self.found.push((way, Bid { goods, cost }));
            return true;
        };
        let is_last = at + 1 == self.sales.len();
        let may_do_without = !is_last || mix.left <= Decimal::ZERO;
        if may_do_without && !self.from(at + 1, mix) {
            return false;
        }
        for units in self.units(sale, mix, is_last) {
            self.tried += 1;
            if self.tried > MOST_MIXES {
                return false;
            }
            let Some(next) = mix.with(sale, units) else { continue };
            if self.may_be_cheap(at + 1, &next) && !self.from(at + 1, &next) {
                return false;
            }
        }
        true
    }

    fn may_be_cheap(&self, at: usize, mix: &Mix) -> bool {
        let left = mix.left.max(Decimal::ZERO);
        match self.each_from.get(at) {
            Some(each) => mix.cost.saturating_add(left.saturating_mul(*each)) <= self.most_cost,
            None => left.is_zero() && mix.cost <= self.most_cost,
        }
    }

    /// How many units of a sale are worth trying beside what is taken: as many as are needed, or fewer
    /// where others bring the rest; more where that reaches a price break, or may save the shipping.
    fn units(&self, sale: &Sale<'_>, mix: &Mix, is_last: bool) -> Vec<Decimal> {
        let fewest_sold = sale.fewest(Decimal::ZERO);
        let is_open = mix.left > Decimal::ZERO;
        let enough = if is_open { sale.fewest(mix.left) } else { Decimal::ZERO };
        let from = if is_last && is_open { enough } else { fewest_sold };
        let affordable = self.affordable(sale, mix);
        let is_topped_up = self.outlook[sale.supplier].may_become_free;
        let to = if is_topped_up { affordable } else { enough.min(affordable) };
        let next = |units: &Decimal| units.checked_add(Decimal::ONE);
        let counted = std::iter::successors(Some(from), next).take_while(|units| *units <= to);
        let breaks = sale.breaks().filter(|from| is_open && *from > to && *from <= affordable);
        // One more than may be tried tells that there are too many.
        counted.chain(breaks).take(MOST_MIXES + 1).collect()
    }

    /// The most units that do not cost too much at any price.
    fn affordable(&self, sale: &Sale<'_>, mix: &Mix) -> Decimal {
        let left = self.most_cost.saturating_sub(mix.cost);
        let units = sale.least_price().and_then(|price| left.checked_div(price));
        units.map_or(MOST, |units| units.floor())
    }
}

impl Mix {
    /// With so many units of a sale.
    fn with(&self, sale: &Sale<'_>, units: Decimal) -> Option<Self> {
        let taken = sale.taken(units)?;
        let mut next = self.clone();
        next.taken.push(taken);
        next.cost = next.cost.checked_add(taken.cost)?;
        next.left = next.left.checked_sub(units.checked_mul(sale.offer.pack.exact)?)?;
        match next.goods.iter_mut().find(|(supplier, _)| *supplier == sale.supplier) {
            Some((_, goods)) => *goods = goods.checked_add(taken.goods)?,
            None => next.goods.push((sale.supplier, taken.goods)),
        }
        Some(next)
    }
}

/// The cheapest first, without those that are never better than one before them.
fn without_worse(mut ways: Vec<(Way, Bid)>, outlook: &[Outlook]) -> Vec<(Way, Bid)> {
    let units = |way: &Way| way.taken.iter().map(|taken| taken.units).sum::<Decimal>();
    ways.sort_by_cached_key(|(way, bid)| (bid.cost, way.taken.len(), units(way)));
    let is_no_worse = |one: &Bid, other: &Bid| {
        let mut sellers = one.goods.iter().map(|(supplier, _)| *supplier);
        let mut counted =
            other.goods.iter().filter(|(supplier, _)| outlook[*supplier].may_become_free);
        sellers.all(|seller| other.goods.iter().any(|(supplier, _)| *supplier == seller))
            && counted.all(|(supplier, goods)| one.goods_of(*supplier) >= *goods)
    };
    let mut kept: Vec<(Way, Bid)> = Vec::new();
    for (way, bid) in ways {
        if !kept.iter().any(|(_, better)| is_no_worse(better, &bid)) {
            kept.push((way, bid));
        }
    }
    kept
}
