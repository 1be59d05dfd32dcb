//! What an amount costs where it is cheapest.

use rust_decimal::Decimal;

use super::Missing;
use crate::design::Design;
use crate::quantity::{Dimension, Money};
use crate::record::{Id, Offer, Prices};

/// An amount at the price of one offer.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Priced {
    /// What is consumed, in the design's currency, duty and tax included.
    pub(super) amount: Decimal,
    pub(super) supplier: Id,
}

/// The cheapest of `offers` for what one order consumes; `consumed_in` says how much that is in the
/// dimension of a pack, where it can be said.
pub(super) fn cheapest(
    design: &Design,
    offers: &[Offer],
    consumed_in: impl Fn(Dimension) -> Option<Decimal>,
) -> Result<Priced, Missing> {
    let mut reason = Missing::PackUnit;
    let mut best: Option<Priced> = None;
    for offer in offers {
        let Some(consumed) = consumed_in(offer.pack.dimension) else { continue };
        match price_of(design, offer, consumed) {
            None => reason = Missing::Overflow,
            Some(amount) if best.as_ref().is_none_or(|best| amount < best.amount) => {
                best = Some(Priced { amount, supplier: offer.supplier.value.clone() });
            }
            Some(_) => {}
        }
    }
    best.ok_or(reason)
}

/// The share of the order that is consumed, at the price that the order's whole packs reach.
/// Multiplied before it is divided: the quotient alone is rounded, at 28 digits.
fn price_of(design: &Design, offer: &Offer, consumed: Decimal) -> Option<Decimal> {
    let price = landed(design, offer, unit_price(offer, fewest_units(offer, consumed)?))?;
    consumed.checked_mul(price)?.checked_div(offer.pack.exact)
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
