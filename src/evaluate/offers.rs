//! What an amount costs where it is cheapest.

use rust_decimal::Decimal;

use super::Missing;
use crate::design::{Design, PartIx};
use crate::quantity::{Dimension, Money};
use crate::record::{Id, Offer, Prices};

/// The price of one offer that an order reaches.
#[derive(Clone, Debug, PartialEq)]
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

/// Whole units of sale of one part from one supplier, with no regard to what else is bought.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoughtAlone {
    /// Who sells it.
    pub supplier: Id,
    /// The supplier's order code.
    pub code: Option<String>,
    /// Units of sale.
    pub units: Decimal,
    /// What they cost in the design's currency, duty and tax included, without shipping.
    pub cost: Decimal,
}

/// The cheapest way of buying at least `amount` of `part` alone, in whole units of sale, at the price
/// that so many of them reach; `None` where nobody offers it in what it is counted in.
#[must_use]
pub fn bought_alone(design: &Design, part: PartIx, amount: Decimal) -> Option<BoughtAlone> {
    let dimension = design.amounts[part.index()];
    let offers = design.record(part).offers.iter();
    let whole = |offer: &Offer| {
        let units = fewest_units(offer, amount)?;
        let cost = units.checked_mul(landed(design, offer, unit_price(offer, units))?)?;
        let code = offer.code.as_ref().map(|code| code.value.clone());
        Some(BoughtAlone { supplier: offer.supplier.value.clone(), code, units, cost })
    };
    let fitting = offers.filter(|offer| offer.pack.dimension == dimension);
    // Of equal costs the first offer counts.
    fitting.filter_map(whole).min_by(|one, other| one.cost.cmp(&other.cost))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::design;

    /// The price breaks of a textbook's example of order quantities: below 100 at 51.50, from 100 at
    /// 49.50, from 200 at 48, from 500 at 47.
    #[test]
    fn so_many_units_cost_what_they_reach() {
        let design = design(
            r#"
            [part.scanner]
            origin = "bought"
            [[part.scanner.offer]]
            supplier = "shop"
            price = "51.50 EUR"
            breaks = { 100 = "49.50 EUR", 200 = "48 EUR", 500 = "47 EUR" }
            [supplier.shop]
            "#,
        );
        let cost = |amount: u64| {
            let found = bought_alone(&design, design.top, amount.into()).expect("an offer");
            (found.units.to_string(), found.cost.normalize().to_string())
        };
        let pair = |units: &str, cost: &str| (units.to_owned(), cost.to_owned());
        assert_eq!(cost(99), pair("99", "5098.5"));
        assert_eq!(cost(100), pair("100", "4950"));
        assert_eq!(cost(200), pair("200", "9600"));
        assert_eq!(cost(500), pair("500", "23500"));
    }

    /// Worked out by hand: 11 pieces are 3 packs of 4, and at least 5 packs are sold.
    #[test]
    fn whole_units_of_sale_are_bought_where_they_cost_least() {
        let design = design(
            r#"
            [part.scanner]
            origin = "bought"
            [[part.scanner.offer]]
            supplier = "by-five"
            pack = 4
            minimum-order = 5
            price = "1 EUR"
            [[part.scanner.offer]]
            supplier = "by-one"
            pack = 4
            code = "4"
            price = "1.50 EUR"
            [[part.scanner.offer]]
            supplier = "by-length"
            pack = "1 m"
            price = "0.01 EUR"
            [supplier.by-five]
            [supplier.by-one]
            prices = "net"
            tax = "10 %"
            [supplier.by-length]
            "#,
        );
        let found = bought_alone(&design, design.top, 11.into()).expect("an offer");
        assert_eq!((found.supplier.as_str(), found.units), ("by-one", 3.into()));
        assert_eq!(
            (found.code.as_deref(), found.cost.normalize().to_string()),
            (Some("4"), "4.95".into())
        );
        let none = crate::fixture::design("[part.scanner]\norigin = \"bought\"\n");
        assert_eq!(bought_alone(&none, none.top, 1.into()), None);
    }
}
