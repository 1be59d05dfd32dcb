//! The cheapest way to buy everything, each supplier's shipping included.
//!
//! Best first over what each supplier's parcel comes to: not bought from, with shipping, or without it
//! because the goods reach its limit. Given that, every ware takes its cheapest bid; only where goods
//! fall short of a limit that they were to reach, a ware is tried with one bid after the other. The
//! cost of the parcels that are decided and of the cheapest bids is a lower bound throughout, so that
//! the first order which is no dearer than every bound left is the cheapest there is.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use rust_decimal::Decimal;

/// Bids that are looked at before the search stops with the best order found and its bound.
const MOST_BIDS: usize = 4_000_000;

/// What is to be bought, and from whom.
#[derive(Clone, Debug, Default)]
pub(super) struct Problem {
    pub(super) suppliers: Vec<Terms>,
    /// By ware: its bids, at least one, the cheapest first.
    pub(super) wares: Vec<Vec<Bid>>,
}

/// What a supplier asks for a parcel.
#[derive(Clone, Debug, Default)]
pub(super) struct Terms {
    pub(super) shipping: Decimal,
    /// The goods from which on there is no shipping to pay.
    pub(super) free_from: Option<Decimal>,
}

/// One way to buy a ware.
#[derive(Clone, Debug)]
pub(super) struct Bid {
    pub(super) supplier: usize,
    /// What counts towards the supplier's limit for free shipping.
    pub(super) goods: Decimal,
    /// What is paid, without shipping.
    pub(super) cost: Decimal,
}

/// The order that was found.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Choice {
    /// By ware: the place of its bid.
    pub(super) picks: Vec<usize>,
    pub(super) total: Decimal,
    /// No order costs less; equal to the total where it is the cheapest.
    pub(super) at_least: Decimal,
}

impl Terms {
    /// What a parcel with these goods costs to ship.
    pub(super) fn shipping_of(&self, goods: Decimal) -> Decimal {
        let is_free = self.free_from.is_some_and(|from| goods >= from);
        if is_free { Decimal::ZERO } else { self.shipping }
    }
}

/// The cheapest order, or the best one that was found in time; `None` where nothing is wanted.
pub(super) fn cheapest(problem: &Problem) -> Option<Choice> {
    within(problem, MOST_BIDS)
}

fn within(problem: &Problem, most_bids: usize) -> Option<Choice> {
    let mut search = Search::of(problem, most_bids);
    let root = search.relaxed(search.start(), vec![None; problem.wares.len()])?;
    let mut best = search.with_fewer_suppliers(&root);
    let mut born = 0;
    let mut open = BinaryHeap::from([Reverse((root.bound, born, root))]);
    while let Some(Reverse((bound, _, node))) = open.pop() {
        if bound >= best.total {
            break;
        }
        if search.bids_left == 0 {
            return Some(Choice { at_least: bound, ..best });
        }
        for (parcels, fixed) in search.branches(&node) {
            let Some(child) = search.relaxed(parcels, fixed) else { continue };
            if child.total < best.total {
                best = child.as_choice();
            }
            if child.bound < best.total && child.bound < child.total {
                born += 1;
                open.push(Reverse((child.bound, born, child)));
            }
        }
    }
    Some(Choice { at_least: best.total, ..best })
}

/// What is settled about the parcel of a supplier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Parcel {
    Unsettled,
    /// Nothing is bought there.
    None,
    /// Shipping is paid.
    Paid,
    /// The goods reach the limit.
    Free,
}

/// By ware: the bid that it is tried with; its cheapest one where there is none.
type Fixed = Vec<Option<usize>>;

/// Some of the parcels settled, every ware at its cheapest bid.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Node {
    /// No order with these parcels costs less.
    bound: Decimal,
    /// What it costs as it is.
    total: Decimal,
    picks: Vec<usize>,
    parcels: Vec<Parcel>,
    fixed: Fixed,
}

impl Node {
    fn as_choice(&self) -> Choice {
        Choice { picks: self.picks.clone(), total: self.total, at_least: self.bound }
    }
}

struct Search<'a> {
    problem: &'a Problem,
    bids_left: usize,
    /// Bids and suppliers that one order has to look at.
    bids: usize,
    /// By supplier: whether something is sold by nobody else.
    is_needed: Vec<bool>,
    /// By supplier: whether anything could make its shipping free.
    may_be_free: Vec<bool>,
}

impl<'a> Search<'a> {
    fn of(problem: &'a Problem, bids_left: usize) -> Self {
        let suppliers = problem.suppliers.len();
        let mut is_needed = vec![false; suppliers];
        let mut most = vec![Decimal::ZERO; suppliers];
        for bids in &problem.wares {
            let mut of_ware = vec![None; suppliers];
            for bid in bids {
                let goods = of_ware[bid.supplier].get_or_insert(bid.goods);
                *goods = bid.goods.max(*goods);
            }
            let sellers: Vec<usize> =
                (0..suppliers).filter(|supplier| of_ware[*supplier].is_some()).collect();
            if let [only] = *sellers {
                is_needed[only] = true;
            }
            sellers.iter().for_each(|seller| most[*seller] += of_ware[*seller].unwrap_or_default());
        }
        let terms = problem.suppliers.iter().zip(most);
        let may_be_free =
            terms.map(|(terms, most)| terms.free_from.is_some_and(|from| most >= from)).collect();
        let bids = suppliers + problem.wares.iter().map(Vec::len).sum::<usize>();
        Self { problem, bids_left, bids, is_needed, may_be_free }
    }

    /// What is settled from the beginning.
    fn start(&self) -> Vec<Parcel> {
        let suppliers = self.is_needed.iter().zip(&self.may_be_free);
        let parcel = |(is_needed, may_be_free): (&bool, &bool)| match (is_needed, may_be_free) {
            (true, false) => Parcel::Paid,
            _ => Parcel::Unsettled,
        };
        suppliers.map(parcel).collect()
    }

    /// The order with these parcels in which every ware takes its cheapest bid; `None` where there is
    /// none.
    fn relaxed(&mut self, parcels: Vec<Parcel>, fixed: Fixed) -> Option<Node> {
        self.bids_left = self.bids_left.saturating_sub(self.bids);
        let mut picks = Vec::with_capacity(fixed.len());
        let mut cost = Decimal::ZERO;
        for (bids, fixed) in self.problem.wares.iter().zip(&fixed) {
            let is_open = |pick: &usize| parcels[bids[*pick].supplier] != Parcel::None;
            let mut picked = (0..bids.len()).filter(is_open);
            let pick = match fixed {
                Some(pick) => Some(*pick).filter(is_open)?,
                None => picked.next()?,
            };
            cost += bids[pick].cost;
            picks.push(pick);
        }
        let settled = parcels.iter().zip(&self.problem.suppliers);
        let paid = settled.filter(|(parcel, _)| **parcel == Parcel::Paid);
        let bound = cost + paid.map(|(_, terms)| terms.shipping).sum::<Decimal>();
        let goods = self.goods(&picks);
        let shipping = goods.iter().zip(&self.problem.suppliers);
        let shipping = shipping.filter_map(|(goods, terms)| Some(terms.shipping_of((*goods)?)));
        let total = cost + shipping.sum::<Decimal>();
        Some(Node { bound, total, picks, parcels, fixed })
    }

    /// By supplier: what is bought there; nothing where nothing is.
    fn goods(&self, picks: &[usize]) -> Vec<Option<Decimal>> {
        let mut goods = vec![None; self.problem.suppliers.len()];
        for (bids, pick) in self.problem.wares.iter().zip(picks) {
            let bid = &bids[*pick];
            *goods[bid.supplier].get_or_insert(Decimal::ZERO) += bid.goods;
        }
        goods
    }

    /// A first order: from all suppliers, then without the one whose absence saves most, or with one
    /// again, as long as that is cheaper.
    fn with_fewer_suppliers(&mut self, root: &Node) -> Choice {
        // Half of the time is for the search itself.
        let enough = self.bids_left / 2;
        let suppliers = self.problem.suppliers.len();
        let mut parcels = vec![Parcel::Unsettled; suppliers];
        let mut best = root.as_choice();
        loop {
            let mut better: Option<Node> = None;
            for supplier in 0..suppliers {
                if self.bids_left < enough {
                    break;
                }
                let mut tried = parcels.clone();
                tried[supplier] = match tried[supplier] {
                    Parcel::None => Parcel::Unsettled,
                    _ => Parcel::None,
                };
                let least = better.as_ref().map_or(best.total, |better| better.total);
                let found = self.relaxed(tried, vec![None; best.picks.len()]);
                better = found.filter(|found| found.total < least).or(better);
            }
            let Some(found) = better else { return best };
            best = found.as_choice();
            parcels = found.parcels;
        }
    }

    /// What can be settled next, in every way in which it can be.
    fn branches(&self, node: &Node) -> Vec<(Vec<Parcel>, Fixed)> {
        let goods = self.goods(&node.picks);
        let shipping = |supplier: &usize| {
            goods[*supplier].map(|goods| self.problem.suppliers[*supplier].shipping_of(goods))
        };
        let unsettled = (0..goods.len()).filter(|at| node.parcels[*at] == Parcel::Unsettled);
        let charged = unsettled.filter(|at| shipping(at).is_some_and(|paid| !paid.is_zero()));
        if let Some(supplier) = charged.max_by_key(shipping) {
            return self.parcels_of(node, supplier);
        }
        let is_short = |supplier: &usize| {
            let goods = goods[*supplier].unwrap_or_default();
            let from = self.problem.suppliers[*supplier].free_from;
            node.parcels[*supplier] == Parcel::Free && from.is_some_and(|from| goods < from)
        };
        let short = (0..goods.len()).find(is_short);
        short.map_or_else(Vec::new, |supplier| self.bids_towards(node, supplier))
    }

    fn parcels_of(&self, node: &Node, supplier: usize) -> Vec<(Vec<Parcel>, Fixed)> {
        let may_do_without = !self.is_needed[supplier];
        let ways = [
            (Parcel::None, may_do_without),
            (Parcel::Free, self.may_be_free[supplier]),
            (Parcel::Paid, true),
        ];
        let ways = ways.into_iter().filter(|(_, is_possible)| *is_possible);
        let settled = ways.map(|(parcel, _)| {
            let mut parcels = node.parcels.clone();
            parcels[supplier] = parcel;
            (parcels, node.fixed.clone())
        });
        settled.collect()
    }

    /// A ware that could bring more goods to the supplier, with each of its bids.
    fn bids_towards(&self, node: &Node, supplier: usize) -> Vec<(Vec<Parcel>, Fixed)> {
        let brings = |bid: &Bid| if bid.supplier == supplier { bid.goods } else { Decimal::ZERO };
        let could_bring_more = |ware: &usize| {
            let bids = &self.problem.wares[*ware];
            let now = brings(&bids[node.picks[*ware]]);
            node.fixed[*ware].is_none() && bids.iter().any(|bid| brings(bid) > now)
        };
        let Some(ware) = (0..node.picks.len()).find(could_bring_more) else { return Vec::new() };
        let tried = (0..self.problem.wares[ware].len()).map(|pick| {
            let mut fixed = node.fixed.clone();
            fixed[ware] = Some(pick);
            (node.parcels.clone(), fixed)
        });
        tried.collect()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Every order, one after the other: nothing shared with the search but the question.
    fn by_brute_force(problem: &Problem) -> Decimal {
        let mut picks = vec![0; problem.wares.len()];
        let mut least: Option<Decimal> = None;
        loop {
            let mut cost = Decimal::ZERO;
            for (supplier, terms) in problem.suppliers.iter().enumerate() {
                let picked = problem.wares.iter().zip(&picks).map(|(bids, pick)| &bids[*pick]);
                let here: Vec<&Bid> = picked.filter(|bid| bid.supplier == supplier).collect();
                let goods: Decimal = here.iter().map(|bid| bid.goods).sum();
                cost += here.iter().map(|bid| bid.cost).sum::<Decimal>();
                let pays = !here.is_empty() && terms.free_from.is_none_or(|from| goods < from);
                cost += if pays { terms.shipping } else { Decimal::ZERO };
            }
            least = Some(least.map_or(cost, |least| least.min(cost)));
            let next = (0..picks.len()).find(|ware| picks[*ware] + 1 < problem.wares[*ware].len());
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

    fn bids(suppliers: usize) -> impl Strategy<Value = Vec<Bid>> {
        let bid = (0..suppliers, cents(), 0_u8..3).prop_map(|(supplier, goods, tax)| Bid {
            supplier,
            goods,
            cost: goods * (Decimal::ONE + Decimal::new(i64::from(tax), 1)),
        });
        prop::collection::vec(bid, 1..5).prop_map(|mut bids| {
            bids.sort_by_key(|bid| bid.cost);
            bids
        })
    }

    fn problem() -> impl Strategy<Value = Problem> {
        (1_usize..5).prop_flat_map(|suppliers| {
            let terms = prop::collection::vec(terms(), suppliers);
            let wares = prop::collection::vec(bids(suppliers), 1..6);
            (terms, wares).prop_map(|(suppliers, wares)| Problem { suppliers, wares })
        })
    }

    proptest! {
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
    }

    /// A hundred wares at twelve suppliers each: all orders would take longer than the universe has.
    #[test]
    fn a_large_order_ends_with_a_bound() {
        let mut seed = 1_u64;
        let mut next = |below: u64| {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % below
        };
        let suppliers = (0..12).map(|_| Terms {
            shipping: Decimal::from(next(2_000)),
            free_from: Some(Decimal::from(next(20_000))),
        });
        let suppliers: Vec<Terms> = suppliers.collect();
        let ware = |next: &mut dyn FnMut(u64) -> u64| {
            let mut bids: Vec<Bid> = (0..12)
                .map(|supplier| {
                    let goods = Decimal::from(100 + next(900));
                    Bid { supplier, goods, cost: goods }
                })
                .collect();
            bids.sort_by_key(|bid| bid.cost);
            bids
        };
        let wares = (0..100).map(|_| ware(&mut next)).collect();
        let found = cheapest(&Problem { suppliers, wares }).expect("something is wanted");
        assert!(found.at_least <= found.total && found.at_least > Decimal::ZERO);
    }
}
