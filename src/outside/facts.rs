//! What the files that a design names say: from the store where it is kept, else read and kept.

use super::large;
use crate::design::{Demand, Design};
use crate::facts::{self, Facts, Kind, Table};
use crate::fileset::ContentKey;
use crate::git::{Content, Repository, Snapshot};
use crate::pointer::Pointer;
use crate::store::{Key, Store};

/// The store's folder within the git directory that all working trees share.
const FOLDER: &str = "tagworthy";

/// The largest file that is looked into: what the repository's reader holds of one object.
const MOST_BYTES: u64 = 1 << 28;

/// The facts that `design` asks for. What cannot be read here is out of reach, and no failure.
pub(super) fn known(
    design: &Design,
    snapshot: &mut Snapshot<'_>,
    repository: &Repository,
) -> Table {
    let demands = design.demands();
    if demands.is_empty() {
        return Table::default();
    }
    let mut store = Store::open(&repository.common_dir().join(FOLDER));
    let stored: Vec<(ContentKey, Kind)> =
        demands.iter().map(|demand| (demand.key, demand.kind)).collect();
    let mut found = each(&mut store, &stored, |at| {
        let facts = looked_into(&demands[at], snapshot);
        let is_lasting = !matches!(facts, Facts::OutOfReach { .. });
        (facts, is_lasting)
    });
    beyond_pointers(&mut found, &demands, &mut store, repository);
    store.flush();
    let known = stored.into_iter().zip(found);
    known.map(|((key, kind), facts)| (key, kind, facts)).collect()
}

/// Puts the facts of the content in the place of a pointer, where they can be had. They are kept by
/// the content's own digest, whatever pointer leads there.
fn beyond_pointers(
    found: &mut [Facts],
    demands: &[Demand],
    store: &mut Store,
    repository: &Repository,
) {
    let pointer = |(at, facts): (usize, &Facts)| match facts {
        Facts::Pointer(pointer) => Some((at, *pointer)),
        _ => None,
    };
    let pointers: Vec<(usize, Pointer)> = found.iter().enumerate().filter_map(pointer).collect();
    let wanted: Vec<(ContentKey, Kind)> = pointers
        .iter()
        .map(|(at, pointer)| (ContentKey::new(&pointer.digest), demands[*at].kind))
        .collect();
    let behind = each(store, &wanted, |index| {
        let (at, pointer) = &pointers[index];
        let facts = looked_behind(&demands[*at], pointer, repository);
        let is_lasting = facts.are_of_content();
        (facts, is_lasting)
    });
    for ((at, _), facts) in pointers.into_iter().zip(behind) {
        found[at] = facts;
    }
}

/// The facts about each of `wanted`: those that are kept, else what `look` finds, which is kept where
/// it says that it will always be the same.
fn each(
    store: &mut Store,
    wanted: &[(ContentKey, Kind)],
    mut look: impl FnMut(usize) -> (Facts, bool),
) -> Vec<Facts> {
    let key = |(key, kind): &(ContentKey, Kind)| Key::new(*key, &kind.to_string(), facts::VERSION);
    let keys: Vec<Key> = wanted.iter().map(key).collect();
    let kept = store.get_each::<Facts>(&keys);
    let known = keys.into_iter().zip(kept).enumerate().map(|(at, (key, kept))| {
        kept.unwrap_or_else(|| {
            let (facts, is_lasting) = look(at);
            if is_lasting {
                store.put(key, &facts);
            }
            facts
        })
    });
    known.collect()
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
