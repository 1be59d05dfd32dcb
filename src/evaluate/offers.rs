//! What an amount costs where it is cheapest.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::Missing;
use crate::design::Design;
use crate::quantity::{Dimension, Money};
use crate::record::{Id, Offer, Prices};

/// The price of one offer that an order reaches.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Reached {
    /// Of a unit of sale, in the design's currency, duty and tax included.
    price: Decimal,
    /// What a unit of sale holds.
    pack: Decimal,
    /// What that is measured in.
    pub(super) dimension: Dimension,
    pub(super) supplier: Id,
}

impl Reached {
    /// What the consumption of so much costs. Multiplied before it is divided: the quotient alone is
    /// rounded, at 28 digits.
    pub(super) fn cost_of(&self, consumed: Decimal) -> Option<Decimal> {
        consumed.checked_mul(self.price)?.checked_div(self.pack)
    }
}

/// The cheapest of `offers` for what one order consumes, at the price that its whole packs reach;
/// `consumed_in` says how much that is in the dimension of a pack, where it can be said.
pub(super) fn cheapest(
    design: &Design,
    offers: &[Offer],
    consumed_in: impl Fn(Dimension) -> Option<Decimal>,
) -> Result<Reached, Missing> {
    let mut reason = Missing::PackUnit;
    let mut best: Option<(Decimal, Reached)> = None;
    for offer in offers {
        let Some(consumed) = consumed_in(offer.pack.dimension) else { continue };
        let reached = reached(design, offer, consumed);
        match reached.and_then(|reached| Some((reached.cost_of(consumed)?, reached))) {
            None => reason = Missing::Overflow,
            Some(next) if best.as_ref().is_none_or(|best| next.0 < best.0) => best = Some(next),
            Some(_) => {}
        }
    }
    best.map(|(_, reached)| reached).ok_or(reason)
}

fn reached(design: &Design, offer: &Offer, consumed: Decimal) -> Option<Reached> {
    let price = landed(design, offer, unit_price(offer, fewest_units(offer, consumed)?))?;
    let (pack, dimension) = (offer.pack.exact, offer.pack.dimension);
    Some(Reached { price, pack, dimension, supplier: offer.supplier.value.clone() })
}

/// The fewest units of sale that hold `amount`: whole ones, and as many as are sold at least.
pub(super) fn fewest_units(offer: &Offer, amount: Decimal) -> Option<Decimal> {
    let least = offer.minimum_order.as_ref().map_or(1, |least| least.value);
    Some(amount.checked_div(offer.pack.exact)?.ceil().max(least.into()))
}

/// The price of one unit of sale in an order of `units`.
pub(super) fn unit_price(offer: &Offer, units: Decimal) -> Money {
    let reached = offer.breaks.iter().rev().find(|(from, _)| Decimal::from(from.value) <= units);
    reached.map_or(offer.price.value, |(_, price)| price.value)
}

/// A price with duty and, where it is net, tax, in the design's currency.
pub(super) fn landed(design: &Design, offer: &Offer, price: Money) -> Option<Decimal> {
    let supplier = design.supplier(offer.supplier.as_str())?;
    let prices = supplier.prices.as_ref().map_or(Prices::default(), |prices| prices.value);
    let tax = supplier.tax.as_ref().filter(|_| prices == Prices::Net);
    let with = |price: Decimal, share: Decimal| price.checked_mul(Decimal::ONE.checked_add(share)?);
    let duty_paid =
        with(price.amount, supplier.duty.as_ref().map_or(Decimal::ZERO, |duty| **duty))?;
    let taxed = with(duty_paid, tax.map_or(Decimal::ZERO, |tax| **tax))?;
    taxed.checked_mul(design.rate_of(price.currency)?)
}
