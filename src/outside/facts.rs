//! What the files that a design names say: from the store where it is kept, else read and kept.

use std::collections::BTreeMap;
use std::path::Path;

use super::large;
use crate::design::{Demand, Design};
use crate::facts::{self, Facts, Kind, Table};
use crate::fileset::ContentKey;
use crate::git::{Content, Repository, Snapshot};
use crate::pointer::Pointer;
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

    /// The facts that `design` asks for, and whether all of them could be had. What cannot be read
    /// here is out of reach, and no failure.
    pub(super) fn of_design(
        &mut self,
        design: &Design,
        snapshot: &mut Snapshot<'_>,
        repository: &Repository,
    ) -> (Table, bool) {
        let demands = design.demands();
        if demands.is_empty() {
            return (Table::default(), true);
        }
        let stored: Vec<(ContentKey, Kind)> =
            demands.iter().map(|demand| (demand.key, demand.kind)).collect();
        let mut found = self.each(&stored, |at| {
            let facts = looked_into(&demands[at], snapshot);
            let is_lasting = !matches!(facts, Facts::OutOfReach { .. });
            (facts, is_lasting)
        });
        self.look_behind_pointers(&mut found, &demands, repository);
        self.store.flush();
        let is_certain = found.iter().all(Facts::are_of_content);
        let known = stored.into_iter().zip(found);
        (known.map(|((key, kind), facts)| (key, kind, facts)).collect(), is_certain)
    }

    /// Puts the facts of the content in the place of a pointer, where they can be had. They are kept
    /// by the content's own digest, whatever pointer leads there.
    fn look_behind_pointers(
        &mut self,
        found: &mut [Facts],
        demands: &[Demand],
        repository: &Repository,
    ) {
        let pointer = |(at, facts): (usize, &Facts)| match facts {
            Facts::Pointer(pointer) => Some((at, *pointer)),
            _ => None,
        };
        let pointers: Vec<(usize, Pointer)> =
            found.iter().enumerate().filter_map(pointer).collect();
        let wanted: Vec<(ContentKey, Kind)> = pointers
            .iter()
            .map(|(at, pointer)| (ContentKey::new(&pointer.digest), demands[*at].kind))
            .collect();
        let behind = self.each(&wanted, |index| {
            let (at, pointer) = &pointers[index];
            let facts = looked_behind(&demands[*at], pointer, repository);
            let is_lasting = facts.are_of_content();
            (facts, is_lasting)
        });
        for ((at, _), facts) in pointers.into_iter().zip(behind) {
            found[at] = facts;
        }
    }

    /// The facts about each of `wanted`: those that are known, else what `look` finds, which is kept
    /// where it says that it will always be the same.
    fn each(
        &mut self,
        wanted: &[(ContentKey, Kind)],
        mut look: impl FnMut(usize) -> (Facts, bool),
    ) -> Vec<Facts> {
        let key =
            |(key, kind): &(ContentKey, Kind)| Key::new(*key, &kind.to_string(), facts::VERSION);
        let keys: Vec<Key> = wanted.iter().map(key).collect();
        self.look_up(&keys);
        let known = keys.into_iter().enumerate().map(|(at, key)| {
            if let Some(known) = self.found.get(&key) {
                return known.clone();
            }
            let (facts, is_lasting) = look(at);
            if is_lasting {
                self.store.put(key.clone(), &facts);
                self.found.insert(key, facts.clone());
            }
            facts
        });
        known.collect()
    }

    /// Takes from the store what is kept there of these, in one go.
    fn look_up(&mut self, keys: &[Key]) {
        let unknown = keys.iter().filter(|key| !self.found.contains_key(key)).cloned();
        let unknown: Vec<Key> = unknown.collect();
        if unknown.is_empty() {
            return;
        }
        let kept = self.store.get_each::<Facts>(&unknown);
        let kept = unknown.into_iter().zip(kept);
        self.found.extend(kept.filter_map(|(key, facts)| Some((key, facts?))));
    }
}

/// What the repository holds at the path.
fn looked_into(demand: &Demand, snapshot: &mut Snapshot<'_>) -> Facts {
    match snapshot.read(&demand.path, MOST_BYTES) {
        Ok(Some(Content::Bytes(bytes))) => facts::of(demand.kind, &bytes),
        Ok(Some(Content::TooLarge { bytes })) => too_large(bytes),
        Ok(None) => Facts::OutOfReach { why: "it is no regular file".to_owned() },
        Err(error) => Facts::OutOfReach { why: error.to_string() },
    }
}

/// What the content says for which a pointer stands.
fn looked_behind(demand: &Demand, pointer: &Pointer, repository: &Repository) -> Facts {
    if pointer.bytes > MOST_BYTES {
        return too_large(pointer.bytes);
    }
    match large::content(repository, &demand.path, pointer) {
        Ok(Some(content)) => facts::of(demand.kind, &content),
        Ok(None) => Facts::Pointer(*pointer),
        Err(why) => Facts::OutOfReach { why },
    }
}

/// The same whether the content is at hand or not.
fn too_large(bytes: u64) -> Facts {
    let why = format!("it has {} MB, more than is looked into", bytes / 1_000_000);
    Facts::Unreadable { why }
}
