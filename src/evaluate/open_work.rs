//! The open items as a plan: in which order they can be done, how much work is left, and the longest
//! chain of those that wait for each other.

use std::collections::{BTreeMap, BTreeSet};

use super::known::of_figure;
use super::number::root_of_squares;
use crate::design::{Design, in_turn};
use crate::quantity::Unit;
use crate::record::Id;

/// What is left to do.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenWork {
    /// Places in [`Design::items`], in an order in which they can be done: those that are due first
    /// before others.
    pub order: Vec<usize>,
    /// All of it.
    pub all: Work,
    /// The chain of items, each after the one before it, that takes longest.
    pub chain: Vec<usize>,
    /// What it takes: nothing can be ready sooner, however many hands there are.
    pub longest: Work,
    /// The unit of the largest effort; `d` where none is given.
    pub unit: Unit,
}

/// The efforts of some items together.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Work {
    /// In seconds, of those that have an effort.
    pub effort_s: f64,
    /// Its standard uncertainty.
    pub u_s: f64,
    /// How many have none.
    pub without: usize,
}

impl Work {
    /// Both, one after the other; efforts are known independently.
    fn and(self, other: Self) -> Self {
        Self {
            effort_s: self.effort_s + other.effort_s,
            u_s: root_of_squares([self.u_s, other.u_s].into_iter()),
            without: self.without + other.without,
        }
    }
}

/// The open items that `is_meant`, with all open ones that come before them.
#[must_use]
pub fn open_work(design: &Design, is_meant: impl Fn(usize) -> bool) -> OpenWork {
    let first = open_before(design);
    let mut included: BTreeSet<usize> = BTreeSet::new();
    let mut asked: Vec<usize> = (0..design.items.len()).filter(|at| is_meant(*at)).collect();
    while let Some(at) = asked.pop() {
        let is_open = design.items[at].closed.is_none();
        if is_open && included.insert(at) {
            asked.extend(&first[at]);
        }
    }
    let places: Vec<usize> = included.into_iter().collect();
    let place = |item: usize| places.binary_search(&item).ok();
    let edges: Vec<(usize, usize)> = places
        .iter()
        .enumerate()
        .flat_map(|(at, item)| {
            first[*item].iter().filter_map(move |first| Some((place(*first)?, at)))
        })
        .collect();
    let rank = |at: usize| {
        let item = &design.items[places[at]];
        (item.due.as_ref().map(|due| due.value.clone()), at)
    };
    let order = in_turn(places.len(), &edges, rank);
    // The items of a linked design wait for each other in no circle.
    let order: Vec<usize> = order.unwrap_or_default().iter().map(|at| places[*at]).collect();
    let (chain, longest) = longest_chain(design, &order, &first);
    let all = order.iter().map(|item| work(design, *item)).fold(Work::default(), Work::and);
    OpenWork { all, chain, longest, unit: unit(design, &order), order }
}

/// By item: the open ones that come first.
fn open_before(design: &Design) -> Vec<Vec<usize>> {
    let items = &design.items;
    let place = |id: &Id| items.binary_search_by(|item| item.id.value.cmp(id)).ok();
    let before = items.iter().map(|item| {
        let first = item.after.iter().filter_map(|first| place(&first.value));
        first.filter(|first| items[*first].closed.is_none()).collect()
    });
    before.collect()
}

/// The chain that takes longest; of equal ones the one that ends first.
fn longest_chain(design: &Design, order: &[usize], first: &[Vec<usize>]) -> (Vec<usize>, Work) {
    let mut until: BTreeMap<usize, (Work, Option<usize>)> = BTreeMap::new();
    let mut longest: Option<(usize, Work)> = None;
    let is_longer =
        |one: Work, other: Work| (one.effort_s, one.without) > (other.effort_s, other.without);
    for item in order {
        let mut before: Option<(usize, Work)> = None;
        for at in &first[*item] {
            let Some((work, _)) = until.get(at) else { continue };
            if before.is_none_or(|(_, known)| is_longer(*work, known)) {
                before = Some((*at, *work));
            }
        }
        let start = before.map_or_else(Work::default, |(_, work)| work);
        let end = start.and(work(design, *item));
        until.insert(*item, (end, before.map(|(at, _)| at)));
        if longest.is_none_or(|(_, known)| is_longer(end, known)) {
            longest = Some((*item, end));
        }
    }
    let Some((last, work)) = longest else { return (Vec::new(), Work::default()) };
    let back = |at: &usize| until.get(at).and_then(|(_, before)| *before);
    let mut chain: Vec<usize> = std::iter::successors(Some(last), back).collect();
    chain.reverse();
    (chain, work)
}

fn work(design: &Design, item: usize) -> Work {
    match &design.items[item].effort {
        None => Work { without: 1, ..Work::default() },
        Some(effort) => {
            let known = of_figure(design, effort);
            Work { effort_s: known.value.to_f64(), u_s: known.u, without: 0 }
        }
    }
}

fn unit(design: &Design, order: &[usize]) -> Unit {
    let efforts = order.iter().filter_map(|item| design.items[*item].effort.as_ref());
    let largest = efforts.max_by(|one, other| one.measure.base.total_cmp(&other.measure.base));
    let day = || Unit::parse("d").expect("a unit of the table");
    largest.map_or_else(day, |effort| effort.measure.unit.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    /// The order, the days left, the longest chain with its days.
    fn told(items: &str) -> (String, f64, String, f64) {
        let design = fixture::design(&format!("[part.scanner]\norigin = \"bought\"\n{items}"));
        let work = open_work(&design, |_| true);
        let ids = |items: &[usize]| {
            let ids = items.iter().map(|item| design.items[*item].id.as_str());
            ids.collect::<Vec<_>>().join(" ")
        };
        let days = |work: Work| work.effort_s / 86_400.0;
        (ids(&work.order), days(work.all), ids(&work.chain), days(work.longest))
    }

    /// By hand: B D F G take 14; A D F G take 13, and A C E G 9.
    #[test]
    fn the_longest_chain_is_the_critical_path() {
        let items = r#"
            [item.a]
            effort = "3 d"
            [item.b]
            effort = "4 d"
            [item.c]
            effort = "2 d"
            after = ["a"]
            [item.d]
            effort = "5 d"
            after = ["a", "b"]
            [item.e]
            effort = "1 d"
            after = ["c"]
            [item.f]
            effort = "2 d"
            after = ["d"]
            [item.g]
            effort = "3 d"
            after = ["e", "f"]
        "#;
        assert_eq!(told(items), ("a b c d e f g".into(), 20.0, "b d f g".into(), 14.0));
    }

    #[derive(serde::Deserialize)]
    struct Case {
        days: Vec<u32>,
        after: Vec<Vec<usize>>,
        order: Vec<usize>,
        longest: f64,
    }

    /// Orders and lengths by networkx; tests/fixtures/chains.py wrote them.
    #[test]
    fn orders_and_longest_chains_are_those_of_networkx() {
        let text = include_str!("../../tests/fixtures/chains.json");
        let cases: Vec<Case> = serde_json::from_str(text).expect("cases");
        for case in cases {
            let item = |(at, days): (usize, &u32)| {
                let after = case.after[at].iter().map(|first| format!("\"i{first:02}\""));
                let after = after.collect::<Vec<_>>().join(", ");
                format!("[item.i{at:02}]\neffort = \"{days} d\"\nafter = [{after}]\n")
            };
            let items: String = case.days.iter().enumerate().map(item).collect();
            let (order, _, chain, longest) = told(&items);
            let ids = case.order.iter().map(|at| format!("i{at:02}"));
            assert_eq!(order, ids.collect::<Vec<_>>().join(" "));
            assert_eq!(longest, case.longest, "{chain}");
        }
    }

    #[test]
    fn what_is_due_first_comes_first_and_what_is_closed_is_done() {
        let items = r#"
            [item.late]
            due = "2.0.0"
            [item.soon]
            due = "1.0.0"
            after = ["trial", "done"]
            effort = "6 h"
            [item.trial]
            due = "1.1.0"
            [item.done]
            closed = 2026-10-20
            result = "gone"
        "#;
        assert_eq!(told(items), ("trial soon late".into(), 0.25, "trial soon".into(), 0.25));
    }

    #[test]
    fn only_what_is_meant_and_what_it_waits_for_counts() {
        let design = fixture::design(
            "[part.scanner]\norigin = \"bought\"\n[item.a]\n[item.b]\nafter = [\"a\"]\n[item.c]\n",
        );
        let work = open_work(&design, |at| design.items[at].id.as_str() == "b");
        assert_eq!((work.order, work.all.without), (vec![0, 1], 2));
        assert_eq!(open_work(&design, |_| false).order, [0_usize; 0]);
    }

    /// JCGM 100:2008, 5.1.2: independent uncertainties add as squares; 3 and 4 come to 5.
    #[test]
    fn uncertainties_of_efforts_add_as_squares() {
        let design = fixture::design(
            "[part.scanner]\norigin = \"bought\"\n[item.a]\neffort = \"9 h ± 3 h\"\n\
             [item.b]\neffort = \"9 h ± 4 h\"\n",
        );
        let all = open_work(&design, |_| true).all;
        assert!((all.u_s * 2.0 - 5.0 * 3600.0).abs() < 1e-6);
    }
}
