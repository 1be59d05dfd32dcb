//! The ways in which each thing that is wanted can be bought, and what suppliers ask for a parcel.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::super::Missing;
use super::super::offers::{fewest_units, landed, unit_price};
use super::Line;
use super::choose::{Bid, Problem, Terms};
use super::wanted::{Wanted, Wants};
use crate::design::Design;
use crate::quantity::Money;
use crate::record::{Id, Offer, Prices};

/// The largest amount that is reckoned with, 10^20: a million lines of it still add up.
pub(super) const MOST: Decimal = Decimal::from_parts(0x6310_0000, 0x6bc7_5e2d, 0x5, false, 0);

/// One way to buy what is wanted of one ware.
struct Way {
    offer: usize,
    units: Decimal,
    needed: Decimal,
}

/// Suppliers and offers, with the problem that they pose.
pub(super) struct Market<'a> {
    design: &'a Design,
    /// Those with an offer for anything that is wanted, in the order of ids.
    pub(super) suppliers: Vec<Id>,
    /// By ware: the ways to buy it, as the problem's bids have them.
    ways: Vec<Vec<Way>>,
    pub(super) problem: Problem,
}

impl<'a> Market<'a> {
    /// The market for what is wanted; what cannot be bought is taken out of it and noted as missing.
    pub(super) fn of(design: &'a Design, wants: &mut Wants) -> Self {
        let offered = wants.wanted.iter().flat_map(|wanted| wanted.ware.offers(design));
        let mut suppliers: Vec<Id> = offered.map(|offer| offer.supplier.value.clone()).collect();
        suppliers.sort();
        suppliers.dedup();
        let terms: Vec<Option<Terms>> = suppliers.iter().map(|id| terms(design, id)).collect();
        let places: BTreeMap<&Id, usize> = suppliers.iter().zip(0..).collect();
        let mut ways = Vec::new();
        let mut bids = Vec::new();
        let mut kept = Vec::new();
        for wanted in std::mem::take(&mut wants.wanted) {
            let place = |offer: &Offer| {
                let place = *places.get(&offer.supplier.value)?;
                terms[place].is_some().then_some(place)
            };
            match ways_to_buy(design, &wanted, place) {
                Ok(found) => {
                    let (of_ware, bids_of_ware): (Vec<_>, Vec<_>) = found.into_iter().unzip();
                    ways.push(of_ware);
                    bids.push(bids_of_ware);
                    kept.push(wanted);
                }
                Err(Some(missing)) => wants.lack(&wanted.ware, missing),
                // Nothing is needed.
                Err(None) => {}
            }
        }
        wants.wanted = kept;
        let terms = terms.into_iter().map(Option::unwrap_or_default).collect();
        Self { design, suppliers, ways, problem: Problem { suppliers: terms, wares: bids } }
    }

    /// The lines of an order in which each ware is bought in the way picked, each with its bid.
    pub(super) fn lines(&self, wants: &Wants, picks: &[usize]) -> Vec<(Bid, Line)> {
        let wares = wants.wanted.iter().zip(picks).enumerate();
        wares.map(|(ware, (wanted, pick))| self.line(ware, wanted, *pick)).collect()
    }

    fn line(&self, ware: usize, wanted: &Wanted, pick: usize) -> (Bid, Line) {
        let (way, bid) = (&self.ways[ware][pick], &self.problem.wares[ware][pick]);
        let offer = &wanted.ware.offers(self.design)[way.offer];
        let bought = way.units.saturating_mul(offer.pack.exact);
        let line = Line {
            ware: wanted.ware.clone(),
            offer: way.offer,
            units: way.units,
            price: unit_price(offer, way.units),
            needed: way.needed,
            left_over: bought.saturating_sub(way.needed),
            dimension: offer.pack.dimension,
            cost: bid.cost,
        };
        (bid.clone(), line)
    }

    /// How long after the order a line arrives, in seconds, where the offer says so.
    pub(super) fn lead_time_s(&self, line: &Line) -> Option<f64> {
        let offers = line.ware.offers(self.design);
        offers.get(line.offer)?.lead_time.as_ref().map(|time| time.base)
    }
}

/// What the supplier asks for a parcel; `None` beyond [`MOST`].
fn terms(design: &Design, id: &Id) -> Option<Terms> {
    let Some(supplier) = design.supplier(id.as_str()) else { return Some(Terms::default()) };
    let tax = supplier.tax.as_ref().map_or(Decimal::ZERO, |tax| tax.value);
    let taxed = Decimal::ONE.checked_add(tax)?;
    let converted = |money: &Money| money.amount.checked_mul(design.rate_of(money.currency)?);
    let shipping = match &supplier.shipping {
        Some(shipping) => converted(shipping)?.checked_mul(taxed)?,
        None => Decimal::ZERO,
    };
    // Goods are added up at the prices asked, and the limit is one of goods before tax.
    let has_tax_within = supplier.prices.as_ref().map_or(Prices::default(), |prices| prices.value);
    let within = if has_tax_within == Prices::Gross { taxed } else { Decimal::ONE };
    let free_from = match &supplier.free_over {
        Some(limit) => Some(converted(limit)?.checked_mul(within)?),
        None => None,
    };
    (shipping <= MOST).then_some(Terms { shipping, free_from })
}

/// Every way to buy what is wanted, the cheapest first.
///
/// # Errors
/// Why there is none; nothing where none is needed.
fn ways_to_buy(
    design: &Design,
    wanted: &Wanted,
    place: impl Fn(&Offer) -> Option<usize>,
) -> Result<Vec<(Way, Bid)>, Option<Missing>> {
    let mut reason = Missing::PackUnit;
    let mut ways: Vec<(Way, Bid)> = Vec::new();
    for (at, offer) in wanted.ware.offers(design).iter().enumerate() {
        let Some(needed) = wanted.needed_in(offer.pack.dimension) else { continue };
        if needed.is_zero() {
            return Err(None);
        }
        let found =
            place(offer).and_then(|supplier| of_offer(design, (at, offer), needed, supplier));
        match found {
            Some(found) => ways.extend(found),
            None => reason = Missing::Overflow,
        }
    }
    ways.sort_by_key(|(_, bid)| bid.cost);
    if ways.is_empty() { Err(Some(reason)) } else { Ok(ways) }
}

/// The fewest units of sale that hold what is needed, and as many as each further price break asks
/// for; `None` beyond what is reckoned with.
fn of_offer(
    design: &Design,
    (at, offer): (usize, &Offer),
    needed: Decimal,
    supplier: usize,
) -> Option<Vec<(Way, Bid)>> {
    let least = fewest_units(offer, needed)?;
    let breaks = offer.breaks.iter().map(|(from, _)| Decimal::from(from.value));
    let rate = design.rate_of(offer.price.currency)?;
    let way = |units: Decimal| {
        let price = unit_price(offer, units);
        let amount = price.amount.checked_mul(units)?;
        let goods = amount.checked_mul(rate)?;
        let cost = landed(design, offer, Money { amount, ..price })?;
        let bid = Bid { supplier, goods, cost };
        (cost <= MOST).then_some((Way { offer: at, units, needed }, bid))
    };
    let more = breaks.filter(|from| *from > least).filter_map(way);
    Some(std::iter::once(way(least)?).chain(more).collect())
}
