//! `offer`, `[material.ID]`, `[supplier.ID]`.

use std::collections::BTreeSet;

use super::field::Field;
use super::reader::{Reader, Value, span_of};
use super::sink::Sink;
use super::wanted::{DENSITY, TEMPERATURE, TIME};
use super::{BAD_VALUE, CONTRADICTION};
use crate::diagnostic::{At, Diagnostic, Span};
use crate::quantity::{Amount, Money};
use crate::record::{Id, Material, Offer, Supplier};

/// `offer`, of a part or a material.
pub(super) fn offers(reader: &mut Reader<'_>) -> Vec<Offer> {
    let offers = reader.tables("offer", offer);
    let mut taken = BTreeSet::new();
    for offer in &offers {
        let Some(code) = &offer.code else { continue };
        if !taken.insert((&offer.supplier.value, &code.value)) {
            let supplier = offer.supplier.as_str();
            let message = format!("`{supplier}` offers `{}` twice", code.value);
            let hint = "prices of larger orders go into `breaks`";
            reader.error(Diagnostic::error(CONTRADICTION, code.span, message).with_hint(hint));
        }
    }
    offers
}

fn offer(reader: &mut Reader<'_>) -> Option<Offer> {
    let supplier = reader.required("supplier");
    let code = reader.optional("code");
    let pack = reader.optional("pack");
    let price = reader.required::<Money>("price");
    let breaks = reader.read_with("breaks", what_breaks, breaks);
    let offer = Offer {
        minimum_order: reader.optional("minimum-order"),
        lead_time: reader.measure("lead-time", &TIME),
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
        if price.currency != offer.price.currency {
            let code = offer.price.currency.code();
            let message = format!("the price without breaks is in {code}, so this must be too");
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
    for pair in breaks.windows(2) {
        if pair[0].0.value == pair[1].0.value {
            let message = format!("there are two prices from {} units of sale on", pair[1].0.value);
            sink.push(Diagnostic::error(CONTRADICTION, pair[1].0.span, message));
        }
    }
    Some(breaks)
}

fn break_from(from: &str, span: Span, sink: &Sink<'_>) -> Option<u64> {
    let count = from.parse().ok().filter(|count| (1..=1_000_000_000).contains(count));
    if count.is_none() {
        let message = format!("`{from}` is no number of units of sale");
        let hint = "a whole number from 1 on, as in { 5 = \"3.50 EUR\" }";
        sink.push(Diagnostic::error(BAD_VALUE, span, message).with_hint(hint));
    }
    count
}

pub(super) fn read_material(id: At<Id>, reader: &mut Reader<'_>) -> Option<Material> {
    Some(Material {
        id,
        title: reader.optional("title"),
        density: reader.figure("density", &DENSITY),
        softens: reader.figure("softens", &TEMPERATURE),
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
