//! What to order where.

use std::collections::BTreeSet;

use serde::Serialize;

use super::super::shown::Shown;
use crate::design::Design;
use crate::evaluate::Number;
use crate::evaluate::purchase::{Line, Parcel, Purchase, Ware};
use crate::quantity::{Dimension, Unit, show_price};
use crate::record::{Id, Offer};

/// The order at one supplier.
#[derive(Clone, Debug, Serialize)]
pub struct ParcelRow {
    /// The supplier.
    pub supplier: Id,
    /// What people call the supplier.
    pub title: Option<String>,
    /// Where the supplier is found.
    pub url: Option<String>,
    /// What is ordered: parts in the order of ids, then materials.
    pub lines: Vec<LineRow>,
    /// The goods at the prices asked, in the design's currency.
    pub goods: Shown,
    /// Shipping, with its tax.
    pub shipping: Shown,
    /// Duty and tax on the goods that their prices do not hold.
    pub tax_and_duty: Shown,
    /// All of it.
    pub total: Shown,
    /// Until the last line arrives, of those that say so.
    pub lead_time: Option<Shown>,
    /// More goods for this much, and there is no shipping to pay.
    pub short_of_free: Option<Shown>,
}

/// A line of an order.
#[derive(Clone, Debug, Serialize)]
pub struct LineRow {
    /// The part or the material.
    pub what: Id,
    /// What people call it.
    pub title: Option<String>,
    /// The supplier's order code.
    pub code: Option<String>,
    /// Units of sale; exact.
    pub units: String,
    /// What one of them holds.
    pub pack: Shown,
    /// What one of them costs, as quoted.
    pub price: String,
    /// The whole line, duty and tax included, in the design's currency.
    pub cost: Shown,
    /// What all builds take, waste and spares included.
    pub needed: Shown,
    /// What is left over.
    pub left_over: Shown,
    /// Whether fewer units would hold what is needed, and all together would cost more.
    pub more_is_cheaper: bool,
    /// The day of the quote.
    pub quoted: Option<String>,
    /// Suppliers who offer it too; the order as a whole is cheaper without their offers.
    pub also_at: Vec<Id>,
    /// The release from which on the part is planned to be gone.
    pub phased_out: Option<String>,
}

/// A row a parcel.
pub(in crate::report) fn parcels(
    design: &Design,
    purchase: &Purchase,
    money: &Unit,
) -> Vec<ParcelRow> {
    let row = |parcel| row(design, parcel, (purchase, money));
    purchase.parcels.iter().map(row).collect()
}

fn row(design: &Design, parcel: &Parcel, (purchase, money): (&Purchase, &Unit)) -> ParcelRow {
    let supplier = design.supplier(parcel.supplier.as_str());
    let lines = parcel.lines.iter();
    let besides = parcel.total.saturating_sub(parcel.goods).saturating_sub(parcel.shipping);
    ParcelRow {
        supplier: parcel.supplier.clone(),
        title: supplier.and_then(|known| known.title.as_ref()).map(|title| title.value.clone()),
        url: supplier.and_then(|known| known.url.as_ref()).map(|url| url.value.clone()),
        lines: lines.filter_map(|line| line_row(design, line, (purchase, money))).collect(),
        goods: Shown::money(parcel.goods, money),
        shipping: Shown::money(parcel.shipping, money),
        tax_and_duty: Shown::money(besides, money),
        total: Shown::money(parcel.total, money),
        lead_time: parcel.lead_time_s.map(|time_s| Shown::measure(time_s, &days())),
        short_of_free: parcel.short_of_free.map(|short| Shown::money(short, money)),
    }
}

fn line_row(
    design: &Design,
    line: &Line,
    (purchase, money): (&Purchase, &Unit),
) -> Option<LineRow> {
    let offer: &Offer = line.ware.offers(design).get(line.offer)?;
    let (what, title, phased_out) = match &line.ware {
        Ware::Part(part) => {
            let part = design.record(*part);
            (part.id.value.clone(), part.title.as_ref(), part.phased_out.as_ref())
        }
        Ware::Material(id) => {
            let material = design.material(id.as_str());
            (id.clone(), material.and_then(|material| material.title.as_ref()), None)
        }
    };
    let amount = |amount| {
        let shown = Shown::measure(Number::Exact(amount).to_f64(), &offer.pack.unit);
        match line.dimension {
            Dimension::NONE => Shown { text: amount.normalize().to_string(), ..shown },
            _ => shown,
        }
    };
    Some(LineRow {
        what,
        title: title.map(|title| title.value.clone()),
        code: offer.code.as_ref().map(|code| code.value.clone()),
        units: line.units.normalize().to_string(),
        pack: amount(offer.pack.exact),
        price: show_price(line.price.amount, line.price.currency),
        cost: Shown::money(line.cost, money),
        needed: amount(line.needed),
        left_over: amount(line.left_over),
        more_is_cheaper: line.more_is_cheaper,
        quoted: offer.quoted.as_ref().map(|day| day.value.to_string()),
        also_at: also_at(design, line, purchase),
        phased_out: phased_out.map(|version| version.value.to_string()),
    })
}

/// Suppliers of the ware that nothing of it is bought from, in the order of ids.
fn also_at(design: &Design, line: &Line, purchase: &Purchase) -> Vec<Id> {
    let sells = |supplier: &Id| {
        let parcels = purchase.parcels.iter().filter(|parcel| parcel.supplier == *supplier);
        parcels.flat_map(|parcel| &parcel.lines).any(|bought| bought.ware == line.ware)
    };
    let offers = line.ware.offers(design).iter().map(|offer| &offer.supplier.value);
    let others: BTreeSet<&Id> = offers.filter(|supplier| !sells(supplier)).collect();
    others.into_iter().cloned().collect()
}

fn days() -> Unit {
    Unit::parse("d").expect("a unit of the table")
}
