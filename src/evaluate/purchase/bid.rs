//! The ways in which each thing that is wanted can be bought, and what suppliers ask for a parcel.

use std::collections::BTreeSet;

use rust_decimal::Decimal;

use super::super::Missing;
use super::super::offers::{fewest_units, unit_price};
use super::Line;
use super::choose::{Bid, Bids, Problem, Terms};
use super::wanted::{Wanted, Wants};
use super::ways::{Outlook, Sale, Taken, Way, ways};
use crate::design::Design;
use crate::quantity::{Dimension, Money};
use crate::record::{Id, Offer, Prices};

/// The largest amount that is reckoned with, 10^20: a million lines of it still add up.
pub(super) const MOST: Decimal = Decimal::from_parts(0x6310_0000, 0x6bc7_5e2d, 0x5, false, 0);

/// Suppliers and offers, with the problem that they pose.
pub(super) struct Market<'a> {
    design: &'a Design,
    /// Those with an offer for anything that is wanted, in the order of ids.
    pub(super) suppliers: Vec<Id>,
    /// By ware: the ways to buy it, as the problem's bids have them.
    ways: Vec<Vec<Way>>,
    pub(super) problem: Problem,
}

/// The offers of one ware in packs of one dimension.
struct Stall<'a> {
    needed: Decimal,
    /// With the ways to buy all that is needed by this offer alone.
    sales: Vec<(Sale<'a>, Vec<(Way, Bid)>)>,
}

impl<'a> Market<'a> {
    /// The market for what is wanted; what cannot be bought is taken out of it and noted as missing.
    pub(super) fn of(design: &'a Design, wants: &mut Wants) -> Self {
        let offered = wants.wanted.iter().flat_map(|wanted| wanted.ware.offers(design));
        let suppliers: BTreeSet<&Id> = offered.map(|offer| &offer.supplier.value).collect();
        let suppliers: Vec<Id> = suppliers.into_iter().cloned().collect();
        let terms: Vec<Option<Terms>> = suppliers.iter().map(|id| terms(design, id)).collect();
        let place = |offer: &Offer| {
            let place = suppliers.binary_search(&offer.supplier.value).ok()?;
            terms[place].is_some().then_some(place)
        };
        let mut wares: Vec<Vec<Stall<'_>>> = Vec::new();
        let mut kept = Vec::new();
        for wanted in std::mem::take(&mut wants.wanted) {
            match stalls(design, &wanted, place) {
                Ok(stalls) => {
                    wares.push(stalls);
                    kept.push(wanted);
                }
                Err(Some(missing)) => wants.lack(&wanted.ware, missing),
                // Nothing is needed.
                Err(None) => {}
            }
        }
        wants.wanted = kept;
        let terms: Vec<Terms> = terms.into_iter().map(Option::unwrap_or_default).collect();
        let outlook = outlook(&terms, &wares);
        let (ways, bids) = wares.into_iter().map(|stalls| bought(stalls, &outlook)).unzip();
        Self { design, suppliers, ways, problem: Problem { suppliers: terms, wares: bids } }
    }

    /// The lines of an order in which each ware is bought in the way picked, each with its supplier.
    pub(super) fn lines(&self, wants: &Wants, picks: &[usize]) -> Vec<(usize, Line)> {
        let wares = wants.wanted.iter().zip(&self.ways).zip(picks);
        wares.flat_map(|((wanted, ways), pick)| self.lines_of(wanted, &ways[*pick])).collect()
    }

    fn lines_of(&self, wanted: &Wanted, way: &Way) -> Vec<(usize, Line)> {
        let mut left = way.needed;
        let line = |taken: &Taken| {
            let offer = &wanted.ware.offers(self.design)[taken.offer];
            let bought = taken.units.saturating_mul(offer.pack.exact);
            // What the lines before bring is needed no more.
            let needed = left.min(bought);
            left -= needed;
            let line = Line {
                ware: wanted.ware.clone(),
                offer: taken.offer,
                units: taken.units,
                price: unit_price(offer, taken.units),
                needed,
                left_over: bought.saturating_sub(needed),
                more_is_cheaper: needed.is_zero() || is_more_than(offer, needed, taken.units),
                dimension: offer.pack.dimension,
                goods: taken.goods,
                cost: taken.cost,
            };
            (taken.supplier, line)
        };
        way.taken.iter().map(line).collect()
    }

    /// How long after the order a line arrives, in seconds, where the offer says so.
    pub(super) fn lead_time_s(&self, line: &Line) -> Option<f64> {
        let offers = line.ware.offers(self.design);
        offers.get(line.offer)?.lead_time.as_ref().map(|time| time.base)
    }
}

fn is_more_than(offer: &Offer, needed: Decimal, units: Decimal) -> bool {
    fewest_units(offer, needed).is_some_and(|fewest| units > fewest)
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

/// The offers that can bring what is wanted, by what their packs are measured in.
///
/// # Errors
/// Why there is none; nothing where none is needed.
fn stalls<'a>(
    design: &'a Design,
    wanted: &Wanted,
    place: impl Fn(&Offer) -> Option<usize>,
) -> Result<Vec<Stall<'a>>, Option<Missing>> {
    let mut reason = Missing::PackUnit;
    let mut stalls: Vec<(Dimension, Stall<'_>)> = Vec::new();
    for (at, offer) in wanted.ware.offers(design).iter().enumerate() {
        let dimension = offer.pack.dimension;
        let Some(needed) = wanted.needed_in(dimension) else { continue };
        if needed.is_zero() {
            return Err(None);
        }
        let sale = place(offer).map(|supplier| Sale { design, at, offer, supplier });
        let Some(found) = sale.and_then(|sale| Some((sale.alone(needed)?, sale))) else {
            reason = Missing::Overflow;
            continue;
        };
        let (alone, sale) = found;
        match stalls.iter_mut().find(|(known, _)| *known == dimension) {
            Some((_, stall)) => stall.sales.push((sale, alone)),
            None => stalls.push((dimension, Stall { needed, sales: vec![(sale, alone)] })),
        }
    }
    if stalls.is_empty() {
        return Err(Some(reason));
    }
    Ok(stalls.into_iter().map(|(_, stall)| stall).collect())
}

/// By supplier: what the choice of bids may change about its parcel.
fn outlook(terms: &[Terms], wares: &[Vec<Stall<'_>>]) -> Vec<Outlook> {
    let mut least = vec![Decimal::ZERO; terms.len()];
    let mut most = vec![Decimal::ZERO; terms.len()];
    let mut is_needed = vec![false; terms.len()];
    for stalls in wares {
        let sales = || stalls.iter().flat_map(|stall| &stall.sales);
        for (sale, alone) in sales() {
            let goods = alone.iter().flat_map(|(way, _)| &way.taken).map(|taken| taken.goods);
            let dearest = sale.dearest(alone);
            most[sale.supplier] = most[sale.supplier].saturating_add(dearest);
            if sales().count() == 1 {
                let goods = goods.min().unwrap_or_default();
                least[sale.supplier] = least[sale.supplier].saturating_add(goods);
            }
        }
        let mut suppliers = sales().map(|(sale, _)| sale.supplier);
        let first = suppliers.next();
        if let Some(only) = first.filter(|first| suppliers.all(|other| other == *first)) {
            is_needed[only] = true;
        }
    }
    let outlook = terms.iter().enumerate().map(|(at, terms)| {
        // More goods than what they save in shipping are not bought.
        let reachable = most[at].saturating_add(terms.shipping);
        let is_open = |from: Decimal| least[at] < from && from <= reachable;
        let may_become_free = !terms.shipping.is_zero() && terms.free_from.is_some_and(is_open);
        let is_certain = is_needed[at] && !may_become_free;
        let at_stake = if is_certain { Decimal::ZERO } else { terms.shipping };
        Outlook { at_stake, may_become_free }
    });
    outlook.collect()
}

/// The ways to buy a ware, and the bids that they are.
fn bought(stalls: Vec<Stall<'_>>, outlook: &[Outlook]) -> (Vec<Way>, Bids) {
    let mut listed = Vec::new();
    let mut others_from: Option<Decimal> = None;
    for Stall { needed, sales } in stalls {
        let (sales, alone): (Vec<Sale<'_>>, Vec<_>) = sales.into_iter().unzip();
        let ways = ways(&sales, needed, outlook, alone.into_iter().flatten().collect());
        listed.extend(ways.listed);
        others_from = others_from.into_iter().chain(ways.others_from).min();
    }
    listed.sort_by_key(|(_, bid): &(Way, Bid)| bid.cost);
    let (ways, listed) = listed.into_iter().unzip();
    (ways, Bids { listed, others_from })
}
