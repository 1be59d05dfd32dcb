//! Facts of many files, as a plain value.

use std::collections::BTreeMap;

use super::{Facts, Kind};
use crate::fileset::ContentKey;

/// Facts by content and by what was asked of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table(BTreeMap<(ContentKey, Wanted), Facts>);

impl Table {
    /// What the content `key` says of the kind; `None` where nobody looked into it.
    #[must_use]
    pub fn get(&self, key: ContentKey, kind: Kind) -> Option<&Facts> {
        self.0.get(&(key, Wanted::of(kind)))
    }

    /// Whether all of them are of contents, and so the same wherever these are looked into.
    #[must_use]
    pub fn are_of_content(&self) -> bool {
        self.0.values().all(Facts::are_of_content)
    }
}

impl FromIterator<(ContentKey, Kind, Facts)> for Table {
    fn from_iter<I: IntoIterator<Item = (ContentKey, Kind, Facts)>>(items: I) -> Self {
        let pairs = items.into_iter().map(|(key, kind, facts)| ((key, Wanted::of(kind)), facts));
        Self(pairs.collect())
    }
}

/// A [`Kind`] that can be ordered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Wanted {
    Mesh { unit_bits: u64 },
    Step,
}

impl Wanted {
    fn of(kind: Kind) -> Self {
        match kind {
            Kind::Mesh { unit_m } => Self::Mesh { unit_bits: unit_m.to_bits() },
            Kind::Step => Self::Step,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn facts_of_one_content_are_told_apart_by_what_was_asked() {
        let key = ContentKey::new(b"a mesh");
        let facts = |why: u8| Facts::Unreadable { why: why.to_string() };
        let in_mm = Kind::Mesh { unit_m: 1e-3 };
        let table: Table =
            [(key, in_mm, facts(1)), (key, Kind::Step, facts(2))].into_iter().collect();
        assert_eq!(table.get(key, in_mm), Some(&facts(1)));
        assert_eq!(table.get(key, Kind::Step), Some(&facts(2)));
        assert_eq!(table.get(key, Kind::Mesh { unit_m: 1.0 }), None);
        assert_eq!(table.get(ContentKey::new(b"another"), in_mm), None);
    }
}
