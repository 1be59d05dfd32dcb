//! The search, against every order one after the other.

use proptest::prelude::*;
use rust_decimal::Decimal;

use super::super::choose::{Bid, Bids, Problem, Terms, cheapest, within};

/// Every order, one after the other: nothing shared with the search but the question.
fn by_brute_force(problem: &Problem) -> Decimal {
    let mut picks = vec![0; problem.wares.len()];
    let mut least: Option<Decimal> = None;
    loop {
        let picked = problem.wares.iter().zip(&picks).map(|(bids, pick)| &bids.listed[*pick]);
        let mut cost: Decimal = picked.clone().map(|bid| bid.cost).sum();
        for (supplier, terms) in problem.suppliers.iter().enumerate() {
            let goods = picked.clone().flat_map(|bid| &bid.goods);
            let here: Vec<Decimal> =
                goods.filter(|(from, _)| *from == supplier).map(|(_, goods)| *goods).collect();
            let goods: Decimal = here.iter().sum();
            let pays = !here.is_empty() && terms.free_from.is_none_or(|from| goods < from);
            cost += if pays { terms.shipping } else { Decimal::ZERO };
        }
        least = Some(least.map_or(cost, |least| least.min(cost)));
        let next =
            (0..picks.len()).find(|ware| picks[*ware] + 1 < problem.wares[*ware].listed.len());
        let Some(next) = next else { return least.unwrap_or_default() };
        picks[next] += 1;
        picks[..next].fill(0);
    }
}

fn cents() -> impl Strategy<Value = Decimal> {
    (1_i64..2_000).prop_map(|cents| Decimal::new(cents, 2))
}

fn terms() -> impl Strategy<Value = Terms> {
    let free_from = prop::option::of((1_i64..6_000).prop_map(|cents| Decimal::new(cents, 2)));
    (0_i64..1_500, free_from)
        .prop_map(|(cents, free_from)| Terms { shipping: Decimal::new(cents, 2), free_from })
}

/// From one supplier, or from two: what the second one sends may make its parcel free.
fn bid(suppliers: usize) -> impl Strategy<Value = Bid> {
    let taken = (0..suppliers, cents(), 0_u8..3);
    prop::collection::vec(taken, 1..3).prop_map(|taken| {
        let cost = |(_, goods, tax): &(usize, Decimal, u8)| {
            goods * (Decimal::ONE + Decimal::new(i64::from(*tax), 1))
        };
        let cost = taken.iter().map(cost).sum();
        Bid { goods: taken.into_iter().map(|(from, goods, _)| (from, goods)).collect(), cost }
    })
}

fn bids(suppliers: usize) -> impl Strategy<Value = Bids> {
    prop::collection::vec(bid(suppliers), 1..5).prop_map(|mut listed| {
        listed.sort_by_key(|bid| bid.cost);
        Bids { listed, others_from: None }
    })
}

fn problem() -> impl Strategy<Value = Problem> {
    (1_usize..5).prop_flat_map(|suppliers| {
        let terms = prop::collection::vec(terms(), suppliers);
        let wares = prop::collection::vec(bids(suppliers), 1..6);
        (terms, wares).prop_map(|(suppliers, wares)| Problem { suppliers, wares })
    })
}

/// The same with few bids of each ware listed: one of those beside each that is not buys from no other
/// suppliers.
fn with_few_listed(problem: &Problem, most: usize) -> Problem {
    let mut problem = problem.clone();
    for bids in &mut problem.wares {
        let (mut listed, mut others): (Vec<Bid>, Vec<Bid>) = Default::default();
        for bid in std::mem::take(&mut bids.listed) {
            let sells = |from: &usize| bid.goods.iter().any(|(other, _)| from == other);
            let stands_in = |listed: &Bid| listed.goods.iter().all(|(from, _)| sells(from));
            let is_left_out = listed.len() >= most && listed.iter().any(stands_in);
            if is_left_out { others.push(bid) } else { listed.push(bid) }
        }
        *bids = Bids { listed, others_from: others.iter().map(|bid| bid.cost).min() };
    }
    problem
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn no_order_of_all_is_cheaper(problem in problem()) {
        let found = cheapest(&problem).expect("something is wanted");
        prop_assert_eq!(found.total, by_brute_force(&problem));
        prop_assert_eq!(found.at_least, found.total);
    }

    #[test]
    fn where_time_is_short_the_bound_holds(problem in problem(), most_bids in 0_usize..60) {
        let found = within(&problem, most_bids).expect("something is wanted");
        let least = by_brute_force(&problem);
        prop_assert!(found.at_least <= least && least <= found.total);
    }

    #[test]
    fn where_not_every_bid_is_listed_the_bound_holds(problem in problem(), most in 1_usize..4) {
        let whole = by_brute_force(&problem);
        let found = cheapest(&with_few_listed(&problem, most)).expect("something is wanted");
        prop_assert!(found.at_least <= whole, "{} <= {whole}", found.at_least);
    }
}

/// A hundred wares at twelve suppliers each: all orders would take longer than the universe has.
#[test]
fn a_large_order_ends_with_a_bound() {
    let mut seed = 1_u64;
    let mut next = |below: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % below
    };
    let suppliers = (0..12).map(|_| Terms {
        shipping: Decimal::from(next(2_000)),
        free_from: Some(Decimal::from(next(20_000))),
    });
    let suppliers: Vec<Terms> = suppliers.collect();
    let ware = |next: &mut dyn FnMut(u64) -> u64| {
        let bid = |supplier| {
            let goods = Decimal::from(100 + next(900));
            Bid { goods: vec![(supplier, goods)], cost: goods }
        };
        let mut listed: Vec<Bid> = (0..12).map(bid).collect();
        listed.sort_by_key(|bid| bid.cost);
        Bids { listed, others_from: None }
    };
    let wares = (0..100).map(|_| ware(&mut next)).collect();
    let found = cheapest(&Problem { suppliers, wares }).expect("something is wanted");
    assert!(found.at_least <= found.total && found.at_least > Decimal::ZERO);
}
