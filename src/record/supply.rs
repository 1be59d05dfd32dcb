//! `offer`, `[material.ID]`, `[supplier.ID]`: where things come from and what they cost.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::{Date, Id};
use crate::diagnostic::{At, Span};
use crate::quantity::{Amount, Figure, Measure, Money};

/// An offer of a supplier for a part or a material.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Offer {
    /// Who offers it.
    pub supplier: At<Id>,
    /// The supplier's order code.
    pub code: Option<At<String>>,
    /// What one unit of sale holds; a single piece where not given.
    pub pack: At<Amount>,
    /// Of one unit of sale.
    pub price: At<Money>,
    /// Prices from a number of units of sale on, ascending.
    pub breaks: Vec<(At<u64>, At<Money>)>,
    /// Fewest units of sale in one order.
    pub minimum_order: Option<At<u64>>,
    /// Time from order to delivery, in seconds.
    pub lead_time: Option<At<Measure>>,
    /// The day of the quote.
    pub quoted: Option<At<Date>>,
    /// Maker, where it is an equal part of another make.
    pub maker: Option<At<String>>,
    /// Part number of that maker.
    pub mpn: Option<At<String>>,
    /// The whole offer.
    pub span: Span,
}

/// A material that parts are made of.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Material {
    /// Its name in the design.
    pub id: At<Id>,
    /// What people call it.
    pub title: Option<At<String>>,
    /// In kg/m³.
    pub density: Option<At<Figure>>,
    /// Temperature from which on it gives way.
    pub softens: Option<At<Figure>>,
    /// Where it can be bought.
    pub offers: Vec<Offer>,
}

/// Whether a supplier's prices hold the tax already.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum Prices {
    Net,
    #[default]
    Gross,
}

impl Prices {
    /// Both with their word in a record.
    pub const WORDS: [(&'static str, Self); 2] = [("net", Self::Net), ("gross", Self::Gross)];
}

/// Who sells.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Supplier {
    /// Its name in the design.
    pub id: At<Id>,
    /// What people call it.
    pub title: Option<At<String>>,
    /// Where it is found.
    pub url: Option<At<String>>,
    /// Whether prices hold the tax already.
    pub prices: Option<At<Prices>>,
    /// Share of the price, 0.19 for 19 %.
    pub tax: Option<At<Decimal>>,
    /// Share of the price, before tax.
    pub duty: Option<At<Decimal>>,
    /// Of one order, before tax.
    pub shipping: Option<At<Money>>,
    /// Value of goods before tax from which on shipping is free.
    pub free_over: Option<At<Money>>,
}
