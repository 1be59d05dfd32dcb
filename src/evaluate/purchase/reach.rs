//! The cheapest bids whose goods reach the limits for free shipping that are to be reached.
//!
//! Ware after ware, every order of the wares so far that may still become the cheapest: one that costs
//! no less than another and brings no more goods towards any limit is left out. What the rest costs at
//! least is what its cheapest bids cost, and what the goods that they leave short cost where they come
//! cheapest.

use std::cmp::Reverse;

use rust_decimal::{Decimal, RoundingStrategy};

use super::choose::{Bid, Node, Parcel, Search};

/// Orders of the wares so far that are kept beside each other.
const MOST_ORDERS: usize = 1_000;

/// What came of looking for the limits.
#[derive(Default)]
pub(super) struct Reached {
    /// By ware: the place of its bid; nothing where no order is cheap enough.
    pub(super) picks: Option<Vec<usize>>,
    /// Whether every listed order was considered.
    pub(super) is_exact: bool,
}

/// A limit that goods have to reach.
struct Limit {
    supplier: usize,
    from: Decimal,
}

/// The bids of a ware that can be taken, with their places.
type Open<'a> = Vec<(usize, &'a Bid)>;

/// An order of the wares so far.
struct Partial {
    /// No order that begins like this costs less.
    least: Decimal,
    cost: Decimal,
    /// By limit: the goods so far, up to the limit.
    goods: Vec<Decimal>,
    /// The place of its last step among the steps.
    last: Option<usize>,
}

/// An order's bid for one ware.
struct Step {
    pick: usize,
    before: Option<usize>,
}

/// What the wares from one on come to.
#[derive(Clone)]
struct Rest {
    /// With their cheapest bids.
    cost: Decimal,
    /// By limit: the goods of these bids.
    goods: Vec<Decimal>,
    /// By limit: what more goods cost at least, each; nothing where there are no more.
    dearer: Vec<Option<Decimal>>,
}

impl Rest {
    /// What an order of the wares before costs at least; `None` where it cannot reach all limits.
    fn least(&self, cost: Decimal, goods: &[Decimal], limits: &[Limit]) -> Option<Decimal> {
        let mut more = Decimal::ZERO;
        for (at, limit) in limits.iter().enumerate() {
            let short = limit.from - goods[at] - self.goods[at];
            if short > Decimal::ZERO {
                more = more.max(short * self.dearer[at]?);
            }
        }
        Some(cost + self.cost + more)
    }

    /// The same with one more ware before them.
    fn with(&self, open: &Open<'_>, limits: &[Limit]) -> Self {
        let mut rest = self.clone();
        let Some((_, cheapest)) = open.first() else { return rest };
        rest.cost += cheapest.cost;
        for (at, limit) in limits.iter().enumerate() {
            let goods = cheapest.goods_of(limit.supplier);
            rest.goods[at] += goods;
            let dearer = open.iter().filter_map(|(_, bid)| {
                let more = bid.goods_of(limit.supplier) - goods;
                let each = (more > Decimal::ZERO).then(|| (bid.cost - cheapest.cost) / more)?;
                // A bound stays one where it is rounded down.
                Some(each.round_dp_with_strategy(20, RoundingStrategy::ToZero))
            });
            rest.dearer[at] = dearer.chain(rest.dearer[at]).min();
        }
        rest
    }
}

impl Search<'_> {
    /// The cheapest order with these parcels that costs less than `below`.
    pub(super) fn reach(&mut self, node: &Node, below: Decimal) -> Reached {
        let limits = self.limits(node);
        let wares: Vec<Open<'_>> = self.problem.wares.iter().map(|bids| bids.open(node)).collect();
        let rests = rests(&wares, &limits);
        let goods = vec![Decimal::ZERO; limits.len()];
        let cost = self.paid(&node.parcels);
        let mut steps = Vec::new();
        let mut orders = vec![Partial { least: node.bound, cost, goods, last: None }];
        let mut is_exact = true;
        for (open, rest) in wares.iter().zip(&rests[1..]) {
            let bids = orders.len() * open.len();
            if bids > self.bids_left {
                self.bids_left = 0;
                return Reached::default();
            }
            self.bids_left -= bids;
            orders = extended(&orders, open, &limits, rest, below, &mut steps);
            is_exact &= orders.len() <= MOST_ORDERS;
            orders.truncate(MOST_ORDERS);
        }
        let picks = orders.first().map(|order| picks(order, &steps));
        Reached { picks, is_exact }
    }

    fn limits(&self, node: &Node) -> Vec<Limit> {
        let suppliers = self.problem.suppliers.iter().enumerate();
        let free = suppliers.filter(|(supplier, _)| node.parcels[*supplier] == Parcel::Free);
        let limits =
            free.filter_map(|(supplier, terms)| Some(Limit { supplier, from: terms.free_from? }));
        limits.collect()
    }
}

/// By ware: what those from it on come to; after the last one, nothing.
fn rests(wares: &[Open<'_>], limits: &[Limit]) -> Vec<Rest> {
    let goods = vec![Decimal::ZERO; limits.len()];
    let mut rests = vec![Rest { cost: Decimal::ZERO, goods, dearer: vec![None; limits.len()] }];
    for open in wares.iter().rev() {
        let rest = rests[rests.len() - 1].with(open, limits);
        rests.push(rest);
    }
    rests.reverse();
    rests
}

/// The orders with one more ware that may become the cheapest, those that promise most first.
fn extended(
    orders: &[Partial],
    open: &Open<'_>,
    limits: &[Limit],
    rest: &Rest,
    below: Decimal,
    steps: &mut Vec<Step>,
) -> Vec<Partial> {
    let mut more = Vec::new();
    for order in orders {
        for (pick, bid) in open {
            let cost = order.cost + bid.cost;
            let goods = limits.iter().zip(&order.goods);
            let goods =
                goods.map(|(limit, goods)| (*goods + bid.goods_of(limit.supplier)).min(limit.from));
            let goods: Vec<Decimal> = goods.collect();
            let Some(least) = rest.least(cost, &goods, limits) else { continue };
            if least < below {
                more.push((order.last, *pick, Partial { least, cost, goods, last: None }));
            }
        }
    }
    more.sort_by(|(.., one), (.., other)| one.rank().cmp(&other.rank()));
    let mut kept: Vec<Partial> = Vec::new();
    for (before, pick, order) in more {
        if kept.len() > MOST_ORDERS {
            break;
        }
        if !kept.iter().any(|better| better.is_no_worse(&order)) {
            let last = Some(steps.len());
            steps.push(Step { pick, before });
            kept.push(Partial { last, ..order });
        }
    }
    kept
}

impl Partial {
    fn rank(&self) -> (Decimal, Decimal, Reverse<&[Decimal]>) {
        (self.least, self.cost, Reverse(&self.goods))
    }

    fn is_no_worse(&self, other: &Self) -> bool {
        let mut goods = self.goods.iter().zip(&other.goods);
        self.cost <= other.cost && goods.all(|(here, there)| here >= there)
    }
}

/// By ware: the place of the bid that the order takes.
fn picks(order: &Partial, steps: &[Step]) -> Vec<usize> {
    let steps = std::iter::successors(order.last.map(|last| &steps[last]), |step| {
        step.before.map(|before| &steps[before])
    });
    let mut picks: Vec<usize> = steps.map(|step| step.pick).collect();
    picks.reverse();
    picks
}
