//! An order in which everything waits for what comes first, and for nothing else.

use std::collections::{BTreeMap, BTreeSet};

use super::{Design, Held};
use crate::record::Step;

/// An order of `0..count` in which every edge leads from an earlier to a later one, and of those that
/// wait for nothing more the one of the lowest rank comes first; `None` where edges lead in a circle.
#[must_use]
pub fn in_turn<K: Ord>(
    count: usize,
    edges: &[(usize, usize)],
    rank: impl Fn(usize) -> K,
) -> Option<Vec<usize>> {
    let mut waits = vec![0_usize; count];
    let mut then = vec![Vec::new(); count];
    for (first, next) in edges {
        waits[*next] += 1;
        then[*first].push(*next);
    }
    let free = (0..count).filter(|at| waits[*at] == 0);
    let mut free: BTreeSet<(K, usize)> = free.map(|at| (rank(at), at)).collect();
    let mut order = Vec::with_capacity(count);
    while let Some((_, at)) = free.pop_first() {
        order.push(at);
        for next in &then[at] {
            waits[*next] -= 1;
            if waits[*next] == 0 {
                free.insert((rank(*next), *next));
            }
        }
    }
    (order.len() == count).then_some(order)
}

/// The steps in the order in which they are done: after those that come first, and after what they
/// use is made, as far as the two agree; otherwise in the order of ids. Unchanged where they wait for
/// each other.
pub(super) fn steps(design: &Design) -> Vec<Held<Step>> {
    let steps = &design.steps;
    let place = |id: &str| steps.binary_search_by(|step| step.id.as_str().cmp(id)).ok();
    let after = steps.iter().enumerate().flat_map(|(at, step)| {
        step.after.iter().filter_map(move |first| Some((place(first.as_str())?, at)))
    });
    let after: Vec<(usize, usize)> = after.collect();
    // Where records lie says nothing: they may be moved and split.
    let rank = |at: usize| at;
    let all = [after.as_slice(), &made_before(steps)].concat();
    let order = in_turn(steps.len(), &all, rank).or_else(|| in_turn(steps.len(), &after, rank));
    let order = order.unwrap_or_else(|| (0..steps.len()).collect());
    order.into_iter().map(|at| steps[at].clone()).collect()
}

/// From each step that makes something to those that use it.
fn made_before(steps: &[Held<Step>]) -> Vec<(usize, usize)> {
    let mut makers: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (at, step) in steps.iter().enumerate() {
        for (made, _) in &step.makes {
            makers.entry(made.as_str()).or_default().push(at);
        }
    }
    let uses = steps.iter().enumerate().flat_map(|(at, step)| {
        let makers = step.uses.iter().filter_map(|(used, _)| makers.get(used.as_str()));
        makers.flatten().map(move |maker| (*maker, at))
    });
    uses.collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fixture;

    fn order(text: &str) -> Vec<String> {
        let design = fixture::design(&format!("[part.scanner]\norigin = \"assembled\"\n{text}"));
        design.steps.iter().map(|step| step.id.value.to_string()).collect()
    }

    #[test]
    fn steps_are_in_the_order_of_ids_where_nothing_comes_first() {
        assert_eq!(order("[step.z]\n[step.a]\n[step.m]\n"), ["a", "m", "z"]);
    }

    #[test]
    fn what_comes_first_comes_first_and_the_rest_stays() {
        let text = "[step.a]\nafter = [\"m\"]\n[step.b]\n[step.m]\n[step.n]\n";
        assert_eq!(order(text), ["b", "m", "a", "n"]);
    }

    #[test]
    fn what_is_used_was_made_before() {
        let parts = "contains = { unit = 1 }\n[part.unit]\norigin = \"assembled\"\n";
        let text = format!("{parts}[step.fit]\nuses.unit = 1\n[step.make]\nmakes.unit = 1\n");
        assert_eq!(order(&text), ["make", "fit"]);
        let contrary = text.replace("makes", "after = [\"fit\"]\nmakes");
        assert_eq!(order(&contrary), ["fit", "make"], "what is said counts before what follows");
    }

    proptest! {
        #[test]
        fn every_edge_leads_forward(
            pairs in prop::collection::vec((0_usize..12, 0_usize..12), 0..30)
        ) {
            let forward = |(a, b): &(usize, usize)| (*a.min(b), *a.max(b));
            let edges: Vec<_> = pairs.iter().filter(|(a, b)| a != b).map(forward).collect();
            let order = in_turn(12, &edges, |at| 12 - at).expect("no circle");
            let place = |node| order.iter().position(|at| *at == node);
            prop_assert!(edges.iter().all(|(a, b)| place(*a) < place(*b)));
        }
    }

    #[test]
    fn a_circle_has_no_order() {
        assert_eq!(in_turn(3, &[(0, 1), (1, 0)], |at| at), None);
    }
}
