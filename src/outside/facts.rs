//! What the files that a design names say: from the store where it is kept, else read and kept.

use std::collections::BTreeMap;
use std::path::Path;

use crate::design::{Demand, Design};
use crate::facts::{self, Facts, Table};
use crate::git::{Content, Snapshot};
use crate::store::{Key, Store};

/// The store's folder within the git directory that all working trees share.
pub(super) const FOLDER: &str = "tagworthy";

/// The largest file that is looked into: what the repository's reader holds of one object.
const MOST_BYTES: u64 = 1 << 28;

/// What files were found to say, in the store and since this began.
pub(super) struct Known {
    store: Store,
    found: BTreeMap<Key, Facts>,
}

impl Known {
    /// Nothing yet but what is in the store below `common_dir`.
    pub(super) fn of(common_dir: &Path) -> Self {
        Self { store: Store::open(&common_dir.join(FOLDER)), found: BTreeMap::new() }
    }

    /// The facts that `design` asks for, and whether every clone would say the same. What cannot be
    /// read here is unreadable, and no failure.
    pub(super) fn of_design(
        &mut self,
        design: &Design,
        snapshot: &mut Snapshot<'_>,
    ) -> (Table, bool) {
        let demands = design.demands();
        let keys: Vec<Key> = demands.iter().map(key).collect();
        let unknown = keys.iter().filter(|key| !self.found.contains_key(key)).cloned();
        let unknown: Vec<Key> = unknown.collect();
        if !unknown.is_empty() {
            let kept = self.store.get_each::<Facts>(&unknown);
            let kept = unknown.into_iter().zip(kept);
            self.found.extend(kept.filter_map(|(key, facts)| Some((key, facts?))));
        }
        let (mut table, mut is_certain) = (Vec::with_capacity(demands.len()), true);
        for (demand, key) in demands.iter().zip(keys) {
            let facts = match self.found.get(&key) {
                Some(facts) => facts.clone(),
                None => {
                    let (facts, may_be_kept) = looked_into(demand, snapshot);
                    is_certain &= may_be_kept;
                    if may_be_kept {
                        self.store.put(key.clone(), &facts);
                        self.found.insert(key, facts.clone());
                    }
                    facts
                }
            };
            table.push((demand.key, demand.kind, facts));
        }
        self.store.flush();
        (table.into_iter().collect(), is_certain)
    }
}

fn key(demand: &Demand) -> Key {
    Key::new(demand.key, &demand.kind.to_string(), facts::VERSION)
}

/// What the file says, and whether it will always say the same.
fn looked_into(demand: &Demand, snapshot: &mut Snapshot<'_>) -> (Facts, bool) {
    let refused = |why: String| (Facts::Unreadable { why }, false);
    match snapshot.read(&demand.path, MOST_BYTES) {
        Ok(Some(Content::Bytes(bytes))) => (facts::of(demand.kind, &bytes), true),
        Ok(Some(Content::TooLarge { bytes })) => {
            refused(format!("it has {} MB, more than is looked into", bytes / 1_000_000))
        }
        Ok(None) => refused("it is no regular file".to_owned()),
        Err(error) => refused(error.to_string()),
    }
}
