//! What the files that a design names say: from the store where it is kept, else read and kept.

use std::path::Path;

use crate::design::{Demand, Design};
use crate::facts::{self, Facts, Table};
use crate::git::{Content, Snapshot};
use crate::store::{Key, Store};

/// The store's folder within the git directory that all working trees share.
const FOLDER: &str = "tagworthy";

/// The largest file that is looked into: what the repository's reader holds of one object.
const MOST_BYTES: u64 = 1 << 28;

/// The facts that `design` asks for. What cannot be read here is unreadable, and no failure.
pub(super) fn known(design: &Design, snapshot: &mut Snapshot<'_>, common_dir: &Path) -> Table {
    let demands = design.demands();
    if demands.is_empty() {
        return Table::default();
    }
    let mut store = Store::open(&common_dir.join(FOLDER));
    let keys: Vec<Key> = demands.iter().map(key).collect();
    let kept = store.get_each::<Facts>(&keys);
    let mut known = Vec::with_capacity(demands.len());
    for ((demand, key), kept) in demands.iter().zip(keys).zip(kept) {
        let facts = kept.unwrap_or_else(|| {
            let (facts, may_be_kept) = looked_into(demand, snapshot);
            if may_be_kept {
                store.put(key, &facts);
            }
            facts
        });
        known.push((demand.key, demand.kind, facts));
    }
    store.flush();
    known.into_iter().collect()
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
