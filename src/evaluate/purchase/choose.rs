//! The cheapest way to buy everything, each supplier's shipping included.
//!
//! Best first over what each supplier's parcel comes to: not bought from, with shipping, or without it
//! because the goods reach its limit. Given that, every ware takes its cheapest bid; only where goods
//! fall short of a limit that they were to reach, [`reach`](super::reach) looks for the cheapest bids
//! that do. The cost of the parcels that are decided and of the cheapest bids is a lower bound
//! throughout, so that the first order which is no dearer than every bound left is the cheapest there is.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use rust_decimal::Decimal;

/// Bids that are looked at before the search stops with the best order found and its bound.
const MOST_BIDS: usize = 1_000_000;

/// What is to be bought, and from whom.
#[derive(Clone, Debug, Default)]
pub(super) struct Problem {
    pub(super) suppliers: Vec<Terms>,
    pub(super) wares: Vec<Bids>,
}

/// What a supplier asks for a parcel.
#[derive(Clone, Debug, Default)]
pub(super) struct Terms {
    pub(super) shipping: Decimal,
    /// The goods from which on there is no shipping to pay.
    pub(super) free_from: Option<Decimal>,
}

/// The ways to buy a ware.
#[derive(Clone, Debug)]
pub(super) struct Bids {
    /// At least one, the cheapest first.
    pub(super) listed: Vec<Bid>,
    /// Where there are more than those listed: none of the others costs less, and each buys from all
    /// suppliers of one that is listed.
    pub(super) others_from: Option<Decimal>,
}

/// One way to buy a ware.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Bid {
    /// By supplier that something is bought from: what counts towards its limit for free shipping.
    pub(super) goods: Vec<(usize, Decimal)>,
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

impl Bids {
    /// Those that can be taken where these parcels are settled, with their places.
    pub(super) fn open<'b>(&'b self, node: &Node) -> Vec<(usize, &'b Bid)> {
        let bids = self.listed.iter().enumerate();
        bids.filter(|(_, bid)| bid.is_open(&node.parcels)).collect()
    }

    /// The least that the ware costs where no listed bid below `cost` can be taken.
    fn least(&self, cost: Decimal) -> Decimal {
        self.others_from.map_or(cost, |others| others.min(cost))
    }
}

impl Bid {
    /// What is bought from one supplier.
    pub(super) fn goods_of(&self, supplier: usize) -> Decimal {
        let goods = self.goods.iter().filter(|(from, _)| *from == supplier);
        goods.map(|(_, goods)| *goods).sum()
    }

    /// Whether nothing in it is bought from a supplier that is done without.
    fn is_open(&self, parcels: &[Parcel]) -> bool {
        self.goods.iter().all(|(supplier, _)| parcels[*supplier] != Parcel::None)
    }
}

/// The cheapest order, or the best one that was found in time; `None` where nothing is wanted.
pub(super) fn cheapest(problem: &Problem) -> Option<Choice> {
    within(problem, MOST_BIDS)
}

/// The same, looking at no more than `most_bids`.
pub(super) fn within(problem: &Problem, most_bids: usize) -> Option<Choice> {
    let mut search = Search::of(problem, most_bids);
    let root = search.relaxed(search.start())?;
    let mut best = search.with_fewer_suppliers(&root);
    // The least bound of what was not looked into to the end.
    let mut passed_over: Option<Decimal> = None;
    let mut born = 0;
    let mut open = BinaryHeap::from([Reverse((root.bound, born, root))]);
    while let Some(Reverse((bound, _, node))) = open.pop() {
        if bound >= best.total {
            break;
        }
        if search.bids_left == 0 {
            passed_over = Some(bound.min(passed_over.unwrap_or(bound)));
            break;
        }
        let children = search.branches(&node);
        if children.is_empty() && !search.settle(&node, &mut best) {
            passed_over = Some(bound.min(passed_over.unwrap_or(bound)));
        }
        for parcels in children {
            let Some(child) = search.relaxed(parcels) else { continue };
            if child.total < best.total {
                best = child.as_choice();
            }
            if child.bound < best.total && child.bound < child.total {
                born += 1;
                open.push(Reverse((child.bound, born, child)));
            }
        }
    }
    let at_least = passed_over.map_or(best.total, |bound| bound.min(best.total));
    Some(Choice { at_least, ..best })
}

/// What is settled about the parcel of a supplier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Parcel {
    Unsettled,
    /// Nothing is bought there.
    None,
    /// Shipping is paid.
    Paid,
    /// The goods reach the limit.
    Free,
}

/// Some of the parcels settled, every ware at its cheapest bid.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Node {
    /// No order with these parcels costs less.
    pub(super) bound: Decimal,
    /// What it costs as it is.
    total: Decimal,
    pub(super) picks: Vec<usize>,
    pub(super) parcels: Vec<Parcel>,
}

impl Node {
    fn as_choice(&self) -> Choice {
        Choice { picks: self.picks.clone(), total: self.total, at_least: self.bound }
    }
}

pub(super) struct Search<'a> {
    pub(super) problem: &'a Problem,
    pub(super) bids_left: usize,
    /// By supplier: whether no bid of some ware does without it.
    is_needed: Vec<bool>,
    /// By supplier: whether anything could make its shipping free.
    may_be_free: Vec<bool>,
}

impl<'a> Search<'a> {
    fn of(problem: &'a Problem, bids_left: usize) -> Self {
        let suppliers = 0..problem.suppliers.len();
        let is_needed = |supplier: usize| {
            let without = |bid: &Bid| bid.goods.iter().all(|(from, _)| *from != supplier);
            problem.wares.iter().any(|bids| !bids.listed.iter().any(without))
        };
        let may_be_free = |supplier: usize| {
            let most = |bids: &Bids| bids.listed.iter().map(|bid| bid.goods_of(supplier)).max();
            let most: Decimal = problem.wares.iter().filter_map(most).sum();
            let may_be_more = problem.wares.iter().any(|bids| bids.others_from.is_some());
            let free_from = problem.suppliers[supplier].free_from;
            free_from.is_some_and(|from| may_be_more || most >= from)
        };
        Self {
            problem,
            bids_left,
            is_needed: suppliers.clone().map(is_needed).collect(),
            may_be_free: suppliers.map(may_be_free).collect(),
        }
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
    fn relaxed(&mut self, parcels: Vec<Parcel>) -> Option<Node> {
        let mut picks = Vec::with_capacity(self.problem.wares.len());
        let mut bound = self.paid(&parcels);
        for bids in &self.problem.wares {
            let pick = bids.listed.iter().position(|bid| bid.is_open(&parcels))?;
            self.bids_left = self.bids_left.saturating_sub(pick + 1);
            bound += bids.least(bids.listed[pick].cost);
            picks.push(pick);
        }
        Some(Node { bound, total: self.total(&picks), picks, parcels })
    }

    /// The shipping that is settled.
    pub(super) fn paid(&self, parcels: &[Parcel]) -> Decimal {
        let settled = parcels.iter().zip(&self.problem.suppliers);
        let paid = settled.filter(|(parcel, _)| **parcel == Parcel::Paid);
        paid.map(|(_, terms)| terms.shipping).sum()
    }

    /// What an order costs with its shipping.
    fn total(&self, picks: &[usize]) -> Decimal {
        let picked = self.problem.wares.iter().zip(picks).map(|(bids, pick)| &bids.listed[*pick]);
        let goods = self.goods(picks);
        let shipping = goods.iter().zip(&self.problem.suppliers);
        let shipping = shipping.filter_map(|(goods, terms)| Some(terms.shipping_of((*goods)?)));
        picked.map(|bid| bid.cost).chain(shipping).sum()
    }

    /// By supplier: what is bought there; nothing where nothing is.
    fn goods(&self, picks: &[usize]) -> Vec<Option<Decimal>> {
        let mut goods = vec![None; self.problem.suppliers.len()];
        for (bids, pick) in self.problem.wares.iter().zip(picks) {
            for (supplier, more) in &bids.listed[*pick].goods {
                *goods[*supplier].get_or_insert(Decimal::ZERO) += more;
            }
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
                let found = self.relaxed(tried);
                better = found.filter(|found| found.total < least).or(better);
            }
            let Some(found) = better else { return best };
            best = found.as_choice();
            parcels = found.parcels;
        }
    }

    /// What can be settled next, in every way in which it can be: the dearest parcel that would be paid
    /// for; where goods fall short of a limit that they are to reach, any that another bid could cause.
    fn branches(&self, node: &Node) -> Vec<Vec<Parcel>> {
        let goods = self.goods(&node.picks);
        let shipping = |supplier: &usize| {
            goods[*supplier].map(|goods| self.problem.suppliers[*supplier].shipping_of(goods))
        };
        let unsettled = || (0..goods.len()).filter(|at| node.parcels[*at] == Parcel::Unsettled);
        let charged = unsettled().filter(|at| shipping(at).is_some_and(|paid| !paid.is_zero()));
        let next = charged.max_by_key(shipping).or_else(|| {
            let is_short = |supplier: usize| {
                let from = self.problem.suppliers[supplier].free_from;
                let goods = goods[supplier].unwrap_or_default();
                node.parcels[supplier] == Parcel::Free && from.is_some_and(|from| goods < from)
            };
            let any_is_short = (0..goods.len()).any(is_short);
            let may_cost = |at: &usize| !self.problem.suppliers[*at].shipping.is_zero();
            any_is_short.then(|| unsettled().find(may_cost)).flatten()
        });
        next.map_or_else(Vec::new, |supplier| self.parcels_of(node, supplier))
    }

    fn parcels_of(&self, node: &Node, supplier: usize) -> Vec<Vec<Parcel>> {
        let ways = [
            (Parcel::None, !self.is_needed[supplier]),
            (Parcel::Free, self.may_be_free[supplier]),
            (Parcel::Paid, true),
        ];
        let ways = ways.into_iter().filter(|(_, is_possible)| *is_possible);
        let settled = ways.map(|(parcel, _)| {
            let mut parcels = node.parcels.clone();
            parcels[supplier] = parcel;
            parcels
        });
        settled.collect()
    }

    /// Looks for the best order with exactly these parcels, and keeps it where it is cheaper than the
    /// `best` so far; `false` where that may not be all.
    fn settle(&mut self, node: &Node, best: &mut Choice) -> bool {
        let reached = self.reach(node, best.total);
        if let Some(picks) = reached.picks {
            let total = self.total(&picks);
            if total < best.total {
                *best = Choice { picks, total, at_least: node.bound };
            }
        }
        reached.is_exact && self.problem.wares.iter().all(|bids| bids.others_from.is_none())
    }
}
