//! From records to the total, against every order that there is, one after the other.

use std::collections::BTreeSet;
use std::fmt::Write;

use proptest::prelude::*;
use rust_decimal::Decimal;

use crate::evaluate::purchase::purchase;
use crate::fixture;

/// An offer in whole cents.
#[derive(Clone, Debug)]
struct Quote {
    shop: usize,
    pack: u64,
    cents: u64,
    from: u64,
    cents_from: u64,
    fewest: u64,
}

/// A shop: cents of shipping, cents of goods from which on there is none, percent of tax on both.
type Shop = (u64, u64, u64);

/// Any offer: more may cost more each, and so little that there are more mixes than are tried.
fn any_quote() -> impl Strategy<Value = Quote> {
    (0_usize..3, 1_u64..20, 40_u64..500, 2_u64..7, 40_u64..500, 1_u64..4).prop_map(
        |(shop, pack, cents, from, cents_from, fewest)| Quote {
            shop,
            pack,
            cents,
            from,
            cents_from,
            fewest,
        },
    )
}

/// An offer of which few are bought, and more cost less each (common practice): of two there are fewer
/// mixes than are tried.
fn quote() -> impl Strategy<Value = Quote> {
    (any_quote(), 3_u64..20, 100_u64..500, 50_u64..=100).prop_map(
        |(quote, pack, cents, percent)| Quote {
            pack,
            cents,
            cents_from: cents * percent / 100,
            ..quote
        },
    )
}

/// What is needed of a part, and from whom it can be had.
type Wares = Vec<(u64, Vec<Quote>)>;

fn wares(most: u64, quote: impl Strategy<Value = Quote>) -> impl Strategy<Value = Wares> {
    prop::collection::vec((1..most, prop::collection::vec(quote, 1..3)), 1..3)
}

fn shops(most_shipping: u64) -> impl Strategy<Value = Vec<Shop>> {
    prop::collection::vec((0..most_shipping, 1_u64..1_600, 0_u64..25), 3)
}

fn written(parts: &[(u64, Vec<Quote>)], shops: &[Shop]) -> String {
    let mut text = String::from("[part.scanner]\norigin = \"assembled\"\n");
    let money = |cents: u64| format!("\"{}.{:02} EUR\"", cents / 100, cents % 100);
    for (at, (count, quotes)) in parts.iter().enumerate() {
        let _ = writeln!(text, "[part.scanner.contains.p{at}]\ncount = {count}");
        let _ = writeln!(text, "[part.p{at}]\norigin = \"bought\"");
        for Quote { shop, pack, cents, from, cents_from, fewest } in quotes {
            let (price, later) = (money(*cents), money(*cents_from));
            let _ = writeln!(
                text,
                "[[part.p{at}.offer]]\nsupplier = \"s{shop}\"\npack = {pack}\nprice = {price}\n\
                 breaks = {{ {from} = {later} }}\nminimum-order = {fewest}"
            );
        }
    }
    for (at, (shipping, free, tax)) in shops.iter().enumerate() {
        let (shipping, free) = (money(*shipping), money(*free));
        let _ = writeln!(
            text,
            "[supplier.s{at}]\nprices = \"net\"\nshipping = {shipping}\nfree-over = {free}\n\
             tax = \"{tax} %\""
        );
    }
    text
}

/// Every mix of offers that holds what is needed, as goods in cents by shop: of each offer none, or as
/// many as are sold at least and more, until the offer alone holds all and reaches its break and the
/// limit of its shop: beyond that, more is never better.
fn mixes(count: u64, quotes: &[Quote], shops: &[Shop]) -> BTreeSet<Vec<u64>> {
    let mut mixes = BTreeSet::from([(0, vec![0; shops.len()])]);
    for quote in quotes {
        let least_price = quote.cents.min(quote.cents_from);
        let to_limit = shops[quote.shop].1.div_ceil(least_price);
        let most = count.div_ceil(quote.pack).max(quote.from).max(quote.fewest).max(to_limit);
        let with = |(held, goods): &(u64, Vec<u64>)| {
            let units = std::iter::once(0).chain(quote.fewest..=most);
            let add = |units: u64| {
                let price = if units >= quote.from { quote.cents_from } else { quote.cents };
                let mut goods = goods.clone();
                goods[quote.shop] += units * price;
                ((held + units * quote.pack).min(count), goods)
            };
            units.map(add).collect::<Vec<_>>()
        };
        mixes = mixes.iter().flat_map(with).collect();
    }
    mixes.into_iter().filter(|(held, _)| *held == count).map(|(_, goods)| goods).collect()
}

/// The least that any order costs: all ways to buy all parts, in whole numbers of ten thousandths.
fn least_of_all(parts: &[(u64, Vec<Quote>)], shops: &[Shop]) -> Decimal {
    let mut orders = BTreeSet::from([vec![0; shops.len()]]);
    for (count, quotes) in parts {
        let mixes = mixes(*count, quotes, shops);
        let with = |order: &Vec<u64>| {
            let add =
                |more: &Vec<u64>| order.iter().zip(more).map(|(so, more)| so + more).collect();
            mixes.iter().map(add).collect::<Vec<Vec<u64>>>()
        };
        orders = orders.iter().flat_map(with).collect();
    }
    let cost = |order: &Vec<u64>| -> u64 {
        let shops = order.iter().zip(shops).filter(|(goods, _)| **goods > 0);
        let parcel = |(goods, (shipping, free, tax)): (&u64, &Shop)| {
            let shipping = if goods >= free { 0 } else { *shipping };
            (goods + shipping) * (100 + tax)
        };
        shops.map(parcel).sum()
    };
    let least = orders.iter().map(cost).min().unwrap_or_default();
    Decimal::new(i64::try_from(least).expect("it is small"), 4)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// From records to total, against whole numbers that share no code with it.
    #[test]
    fn no_other_order_of_the_records_is_cheaper(parts in wares(40, quote()), shops in shops(600)) {
        let order = purchase(&fixture::design(&written(&parts, &shops)), 1, false);
        let least = least_of_all(&parts, &shops);
        prop_assert_eq!((order.total, order.at_least), (least, least));
    }

    /// Where not all can be tried it is said what no order costs less than.
    #[test]
    fn no_order_of_the_records_is_below_the_bound(parts in wares(60, any_quote()), shops in shops(900)) {
        let order = purchase(&fixture::design(&written(&parts, &shops)), 1, false);
        let least = least_of_all(&parts, &shops);
        prop_assert!(order.at_least <= least && least <= order.total, "{order:?}, {least}");
    }
}
