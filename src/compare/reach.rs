//! What a part's change reaches: the assemblies above it, and the requirements on the way.

use std::collections::{BTreeMap, BTreeSet};

use crate::design::{Design, PartIx};
use crate::interchange::WhereUsed;
use crate::record::Id;

/// The most paths that are named for one part.
const MOST_PATHS: usize = 50;

/// Where the parts of one design are used, and what is required of them.
pub struct Reach<'a> {
    design: &'a Design,
    used: WhereUsed,
    required: BTreeMap<&'a str, Vec<&'a Id>>,
}

/// What a change of one part reaches.
#[derive(Clone, Debug, Default)]
pub struct Reached {
    /// Paths down to the part that together lead through every assembly which holds it.
    pub paths: Vec<Vec<Id>>,
    /// Requirements of the part and of those assemblies, in the order of ids.
    pub requirements: Vec<Id>,
}

impl<'a> Reach<'a> {
    /// What is needed to say it of any part of `design`.
    #[must_use]
    pub fn of(design: &'a Design) -> Self {
        let mut required: BTreeMap<&str, Vec<&Id>> = BTreeMap::new();
        for held in &design.requirements {
            if let Some(part) = &held.part {
                required.entry(part.as_str()).or_default().push(&held.id.value);
            }
        }
        Self { design, used: WhereUsed::of(design), required }
    }

    /// What a change of the part `id` reaches in this design.
    #[must_use]
    pub fn from(&self, id: &Id) -> Reached {
        let Some(part) = self.design.part(id.as_str()) else { return Reached::default() };
        let climb = self.used.climb(part);
        let mut passed: BTreeSet<PartIx> = BTreeSet::new();
        let mut paths = Vec::new();
        for assembly in &climb.assemblies {
            if paths.len() < MOST_PATHS && !passed.contains(assembly) {
                let path = self.used.through(*assembly, &climb);
                passed.extend(&path);
                paths.push(path.iter().map(|ix| self.design.id(*ix).clone()).collect());
            }
        }
        let above = climb.assemblies.iter().chain([&part]);
        let required = above.filter_map(|ix| self.required.get(self.design.id(*ix).as_str()));
        let mut requirements: Vec<Id> = required.flatten().map(|id| (*id).clone()).collect();
        requirements.sort();
        Reached { paths, requirements }
    }
}
