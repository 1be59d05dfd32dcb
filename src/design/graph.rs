//! Order and cycles: the only room that names petgraph.

use petgraph::algo::{kosaraju_scc, toposort};
use petgraph::graph::{DiGraph, NodeIndex};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// Orders the nodes `0..count` so that every edge leads from an earlier node to a later one.
///
/// # Errors
/// The cycles where there are any: of each knot of nodes a shortest one, first node repeated at the
/// end, in the order of their smallest nodes.
pub(super) fn order(count: usize, edges: &[(usize, usize)]) -> Result<Vec<usize>, Vec<Vec<usize>>> {
    let mut graph = DiGraph::<(), ()>::with_capacity(count, edges.len());
    let nodes: Vec<NodeIndex> = (0..count).map(|_| graph.add_node(())).collect();
    for (from, to) in edges {
        graph.add_edge(nodes[*from], nodes[*to], ());
    }
    if let Ok(sorted) = toposort(&graph, None) {
        return Ok(sorted.into_iter().map(NodeIndex::index).collect());
    }
    let mut cycles: Vec<Vec<usize>> =
        kosaraju_scc(&graph).into_iter().filter_map(|knot| cycle_within(&graph, &knot)).collect();
    cycles.sort();
    Err(cycles)
}

/// A shortest cycle through the smallest node of a strongly connected `knot`, if it holds any.
fn cycle_within(graph: &DiGraph<(), ()>, knot: &[NodeIndex]) -> Option<Vec<usize>> {
    let start = *knot.iter().min()?;
    let knot: BTreeSet<NodeIndex> = knot.iter().copied().collect();
    let mut came_from = BTreeMap::new();
    let mut queue = VecDeque::from([start]);
    while let Some(node) = queue.pop_front() {
        for next in graph.neighbors(node).filter(|next| knot.contains(next)) {
            if next == start {
                let back = std::iter::successors(Some(node), |at| came_from.get(at).copied());
                let mut cycle: Vec<usize> = back.map(NodeIndex::index).collect();
                cycle.reverse();
                cycle.push(start.index());
                return Some(cycle);
            }
            if let std::collections::btree_map::Entry::Vacant(slot) = came_from.entry(next) {
                slot.insert(node);
                queue.push_back(next);
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::order;

    #[test]
    fn an_order_puts_assemblies_before_what_they_contain() {
        let sorted = order(4, &[(2, 0), (0, 1), (2, 3), (3, 1)]).expect("no cycle");
        let place = |node| sorted.iter().position(|at| *at == node);
        assert!(place(2) < place(0) && place(0) < place(1) && place(3) < place(1));
    }

    #[test]
    fn every_cycle_is_named_as_a_path() {
        let cycles = order(6, &[(0, 1), (1, 2), (2, 0), (3, 3), (4, 5)]).expect_err("two cycles");
        assert_eq!(cycles, [vec![0, 1, 2, 0], vec![3, 3]]);
    }
}
