//! The way up: which assemblies hold a part, and on which way one gets down to it.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use crate::design::{Design, PartIx};

/// Where every part of a design is used.
#[derive(Clone, Debug)]
pub struct WhereUsed {
    /// By part: the assemblies that contain it directly, in the order of ids.
    holders: Vec<Vec<PartIx>>,
    /// By part: the assembly before it on a shortest way from the top; `None` for the top and for
    /// parts that it does not hold.
    before: Vec<Option<PartIx>>,
}

impl WhereUsed {
    /// Looks at every line of every assembly once.
    #[must_use]
    pub fn of(design: &Design) -> Self {
        let mut holders = vec![Vec::new(); design.parts.len()];
        for assembly in design.part_indices() {
            for link in &design.links[assembly.index()] {
                holders[link.child.index()].push(assembly);
            }
        }
        let mut before = vec![None; design.parts.len()];
        let below = |assembly: PartIx| design.links[assembly.index()].iter().map(|link| link.child);
        for (part, assembly) in nearest_first(design.top, below).1 {
            before[part.index()] = Some(assembly);
        }
        Self { holders, before }
    }

    /// Every assembly that holds `part`, directly or through others.
    #[must_use]
    pub fn climb(&self, part: PartIx) -> Climb {
        let above = |part: PartIx| self.holders[part.index()].iter().copied();
        let (assemblies, down) = nearest_first(part, above);
        Climb { part, assemblies, down }
    }

    /// A shortest path from the top down to `part`, both ends included; `part` alone where the top
    /// does not hold it.
    #[must_use]
    pub fn from_top(&self, part: PartIx) -> Vec<PartIx> {
        let mut path: Vec<PartIx> =
            std::iter::successors(Some(part), |at| self.before[at.index()]).collect();
        path.reverse();
        path
    }

    /// A shortest path from the top through `assembly` down to the part that was climbed from; it
    /// begins with the assembly where the top does not hold that.
    #[must_use]
    pub fn through(&self, assembly: PartIx, climb: &Climb) -> Vec<PartIx> {
        let mut path = self.from_top(assembly);
        path.extend(climb.down_from(assembly).skip(1));
        path
    }
}

/// The assemblies above one part.
#[derive(Clone, Debug)]
pub struct Climb {
    /// The part that was climbed from.
    pub part: PartIx,
    /// The assemblies that hold it, nearest first, in the order of ids within a level.
    pub assemblies: Vec<PartIx>,
    /// By assembly: what comes next on a shortest way down to the part.
    down: BTreeMap<PartIx, PartIx>,
}

impl Climb {
    /// Whether `part` is the part itself or holds it.
    #[must_use]
    pub fn passes(&self, part: PartIx) -> bool {
        part == self.part || self.down.contains_key(&part)
    }

    /// A shortest way from `assembly` down to the part, both ends included.
    fn down_from(&self, assembly: PartIx) -> impl Iterator<Item = PartIx> {
        std::iter::successors(Some(assembly), |at| self.down.get(at).copied())
    }
}

/// All that is reached from `start` without itself, nearest first; and by what is reached, the
/// step before it on a shortest way.
fn nearest_first<I: Iterator<Item = PartIx>>(
    start: PartIx,
    next: impl Fn(PartIx) -> I,
) -> (Vec<PartIx>, BTreeMap<PartIx, PartIx>) {
    let mut reached = vec![start];
    let mut before = BTreeMap::new();
    let mut done = 0;
    while let Some(at) = reached.get(done).copied() {
        done += 1;
        for there in next(at) {
            if let Entry::Vacant(slot) = before.entry(there) {
                slot.insert(at);
                reached.push(there);
            }
        }
    }
    reached.remove(0);
    (reached, before)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::design;

    /// `screw` lies two levels down through `lid` and three through `head`; `jig` is no part of the
    /// product.
    const SCANNER: &str = r#"
        [part.scanner]
        origin = "assembled"
        contains = { head = 1, lid = 1 }
        [part.head]
        origin = "assembled"
        contains = { gate = 1 }
        [part.gate]
        origin = "assembled"
        contains = { screw = 4 }
        [part.lid]
        origin = "assembled"
        contains = { screw = 2 }
        [part.jig]
        origin = "assembled"
        contains = { screw = 6 }
        [part.screw]
        origin = "bought"
    "#;

    fn check(part: &str, expected: &[&str]) {
        let design = design(SCANNER);
        let used = WhereUsed::of(&design);
        let climb = used.climb(design.part(part).expect("a part"));
        let shown = |path: Vec<PartIx>| {
            path.iter().map(|ix| design.id(*ix).as_str()).collect::<Vec<_>>().join(" → ")
        };
        let paths = climb.assemblies.iter().map(|assembly| used.through(*assembly, &climb));
        assert_eq!(paths.map(shown).collect::<Vec<_>>(), expected);
    }

    #[test]
    fn every_assembly_above_is_reached_by_its_shortest_path() {
        check(
            "screw",
            &[
                "scanner → head → gate → screw",
                "jig → screw",
                "scanner → lid → screw",
                "scanner → head → gate → screw",
                "scanner → lid → screw",
            ],
        );
        check("gate", &["scanner → head → gate", "scanner → head → gate"]);
        check("scanner", &[]);
    }

    #[derive(serde::Deserialize)]
    struct Case {
        contains: Vec<Vec<usize>>,
        /// By part: the assemblies that hold it, and how far below each it lies.
        above: Vec<BTreeMap<usize, usize>>,
    }

    /// Assemblies and distances by networkx; tests/fixtures/where_used.py wrote them.
    #[test]
    fn where_a_part_is_used_and_how_far_down_is_as_networkx_has_it() {
        let text = include_str!("../../tests/fixtures/where_used.json");
        let cases: Vec<Case> = serde_json::from_str(text).expect("cases");
        for case in cases {
            let id = |at: usize| if at == 0 { "scanner".to_owned() } else { format!("p{at:02}") };
            let record = |(at, parts): (usize, &Vec<usize>)| {
                let parts: Vec<String> =
                    parts.iter().map(|part| format!("{} = 1", id(*part))).collect();
                let parts = parts.join(", ");
                format!("[part.{}]\norigin = \"assembled\"\ncontains = {{ {parts} }}\n", id(at))
            };
            let design = design(&case.contains.iter().enumerate().map(record).collect::<String>());
            let used = WhereUsed::of(&design);
            for (at, above) in case.above.iter().enumerate() {
                let part = design.part(&id(at)).expect("a part");
                let climb = used.climb(part);
                let found: BTreeMap<&str, usize> = climb
                    .assemblies
                    .iter()
                    .map(|assembly| {
                        (design.id(*assembly).as_str(), climb.down_from(*assembly).count() - 1)
                    })
                    .collect();
                let ids: Vec<(String, usize)> =
                    above.iter().map(|(assembly, far)| (id(*assembly), *far)).collect();
                let expected: BTreeMap<&str, usize> =
                    ids.iter().map(|(assembly, far)| (assembly.as_str(), *far)).collect();
                assert_eq!(found, expected, "{}", id(at));
                let from_top = above.get(&0).map_or(1, |far| far + 1);
                assert_eq!(used.from_top(part).len(), from_top, "{}", id(at));
            }
        }
    }
}
