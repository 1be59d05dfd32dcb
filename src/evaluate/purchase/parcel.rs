//! Lines, brought together by supplier.

use rust_decimal::Decimal;

use super::bid::Market;
use super::{Line, Parcel, sum};

/// A parcel a supplier that anything is bought from, in the order of suppliers.
pub(super) fn parcels(market: &Market<'_>, lines: Vec<(usize, Line)>) -> Vec<Parcel> {
    let mut by_supplier: Vec<Vec<Line>> = vec![Vec::new(); market.suppliers.len()];
    for (supplier, line) in lines {
        by_supplier[supplier].push(line);
    }
    let parcels = by_supplier.into_iter().enumerate().filter(|(_, lines)| !lines.is_empty());
    parcels.map(|(supplier, lines)| parcel(market, supplier, lines)).collect()
}

fn parcel(market: &Market<'_>, supplier: usize, lines: Vec<Line>) -> Parcel {
    let terms = &market.problem.suppliers[supplier];
    let goods = sum(lines.iter().map(|line| line.goods));
    let shipping = terms.shipping_of(goods);
    let short = terms.free_from.filter(|_| !shipping.is_zero());
    let lead_times = lines.iter().filter_map(|line| market.lead_time_s(line));
    Parcel {
        supplier: market.suppliers[supplier].clone(),
        goods,
        shipping,
        total: sum(lines.iter().map(|line| line.cost)).saturating_add(shipping),
        lead_time_s: lead_times.reduce(f64::max),
        short_of_free: short.map(|limit: Decimal| limit.saturating_sub(goods)),
        lines,
    }
}
