//! `offer`, `[material.ID]`, `[supplier.ID]`.

use super::field::{figure_of, in_words, measure_of};
use super::reader::{Reader, Value, span_of};
use super::{BAD_VALUE, CONTRADICTION};
use crate::diagnostic::{At, Diagnostic, Span};
use crate::parse::field::Field;
use crate::parse::reader::Sink;
use crate::quantity::{Amount, Dimension, Kind, Money};
use crate::record::{Id, Material, Offer, Supplier};

const TIME: &[Kind] = &[Kind::of(Dimension::TIME)];
const DENSITY: &[Kind] = &[Kind::of(Dimension::DENSITY)];
const TEMPERATURE: &[Kind] = &[Kind::TEMPERATURE_POINT];

/// `offer`, of a part or a material.
pub(super) fn offers(reader: &mut Reader<'_>) -> Vec<Offer> {
    reader.tables("offer", offer)
}

fn offer(reader: &mut Reader<'_>) -> Option<Offer> {
    let supplier = reader.required("supplier");
    let code = reader.optional("code");
    let pack = reader.optional("pack");
    let price = reader.required::<Money>("price");
    let breaks = reader.read_with("breaks", what_breaks, breaks);
    let offer = Offer {
        minimum_order: reader.optional("minimum-order"),
        lead_time: reader.read_with("lead-time", || in_words(TIME), measure_of(TIME)),
        quoted: reader.optional("quoted"),
        maker: reader.optional("maker"),
        mpn: reader.optional("mpn"),
        span: reader.span(),
        pack: pack.unwrap_or(At::new(Amount::pieces(1), reader.span())),
        breaks: breaks.map(|at| at.value).unwrap_or_default(),
        supplier: supplier?,
        price: price?,
        code,
    };
    check_offer(&offer, reader);
    Some(offer)
}

fn check_offer(offer: &Offer, reader: &Reader<'_>) {
    if offer.pack.exact.is_zero() {
        let message = "a pack of zero pieces cannot be bought";
        reader.error(Diagnostic::error(BAD_VALUE, offer.pack.span, message));
    }
    let prices = std::iter::once(&offer.price).chain(offer.breaks.iter().map(|(_, price)| price));
    for price in prices {
        if price.amount.is_sign_negative() && !price.amount.is_zero() {
            let message = "the price is negative";
            reader.error(Diagnostic::error(BAD_VALUE, price.span, message));
        }
        if price.currency != offer.price.currency {
            let message = format!("the price before breaks is in {:?}", offer.price.currency);
            reader.error(Diagnostic::error(CONTRADICTION, price.span, message));
        }
    }
}

fn what_breaks() -> String {
    "prices by the number of units of sale from which they hold, such as { 5 = \"3.50 EUR\" }"
        .to_owned()
}

fn breaks(value: Value<'_>, sink: &Sink<'_>) -> Option<Vec<(At<u64>, At<Money>)>> {
    let table = Reader::of(value, sink)?;
    let mut breaks: Vec<_> = table
        .entries()
        .into_iter()
        .filter_map(|(from, span, value)| {
            let from = break_from(from, span, sink)?;
            Some((At::new(from, span), At::new(Money::read(value, sink)?, span_of(value))))
        })
        .collect();
    breaks.sort_by_key(|(from, _)| from.value);
    Some(breaks)
}

fn break_from(from: &str, span: Span, sink: &Sink<'_>) -> Option<u64> {
    let count = from.parse().ok().filter(|count| (1..=1_000_000_000).contains(count));
    if count.is_none() {
        let message = format!("`{from}` is no number of units of sale");
        sink.push(Diagnostic::error(BAD_VALUE, span, message));
    }
    count
}

pub(super) fn read_material(id: At<Id>, reader: &mut Reader<'_>) -> Option<Material> {
    Some(Material {
        id,
        title: reader.optional("title"),
        density: reader.read_with("density", || in_words(DENSITY), figure_of(DENSITY)),
        softens: reader.read_with("softens", || in_words(TEMPERATURE), figure_of(TEMPERATURE)),
        offers: offers(reader),
    })
}

pub(super) fn read_supplier(id: At<Id>, reader: &mut Reader<'_>) -> Option<Supplier> {
    Some(Supplier {
        id,
        title: reader.optional("title"),
        url: reader.optional("url"),
        prices: reader.optional("prices"),
        tax: reader.optional("tax"),
        duty: reader.optional("duty"),
        shipping: reader.optional("shipping"),
        free_over: reader.optional("free-over"),
    })
}
