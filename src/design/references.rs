//! Words that name records → places, with the nearest name for those that name nothing.

use std::sync::Arc;

use super::Held;
use super::findings::Findings;
use crate::diagnostic::{At, Code, Diagnostic};
use crate::fileset::RepoPath;
use crate::record::Id;

/// A reference to nothing.
pub const DANGLING: Code = Code("dangling-reference");
/// Two records of one kind with one id.
pub const DUPLICATE: Code = Code("duplicate-id");

/// What parts are called in messages.
pub(super) const PART: &str = "part";

/// The ids of one kind with their places, in the order of ids.
pub(super) struct Table<'a>(Vec<(&'a str, usize)>);

impl<'a> Table<'a> {
    /// The ids of `records`, whose places are theirs.
    pub(super) fn of<T: 'a>(
        records: impl IntoIterator<Item = &'a Held<T>>,
        id: impl Fn(&T) -> &At<Id>,
    ) -> Self {
        let place = |(index, held): (usize, &'a Held<T>)| (id(&held.record).as_str(), index);
        Self::sorted(records.into_iter().enumerate().map(place).collect())
    }

    /// Of two places of one id, the later one.
    fn sorted(mut places: Vec<(&'a str, usize)>) -> Self {
        places.sort_by_key(|(id, _)| *id);
        places.dedup_by(|later, kept| {
            let is_same = later.0 == kept.0;
            if is_same {
                kept.1 = later.1;
            }
            is_same
        });
        Self(places)
    }

    /// The ids of both tables; places keep their meaning within each.
    pub(super) fn with(&self, other: &Self) -> Self {
        Self::sorted([&*self.0, &other.0].concat())
    }

    /// The same with one more word.
    pub(super) fn and(mut self, word: &'a str) -> Self {
        self.0.push((word, usize::MAX));
        Self::sorted(self.0)
    }

    /// The place of `id`, or a diagnostic in the file `by` that calls it a `kind`.
    pub(super) fn find(
        &self,
        id: &At<Id>,
        kind: &str,
        by: &RepoPath,
        findings: &mut Findings,
    ) -> Option<usize> {
        let found = self.get(id.as_str());
        if found.is_none() {
            findings.dangling(by, id, kind, self.0.iter().map(|(id, _)| *id));
        }
        found
    }

    /// The place of `id`.
    pub(super) fn get(&self, id: &str) -> Option<usize> {
        let place = self.0.binary_search_by_key(&id, |(id, _)| *id).ok()?;
        Some(self.0[place].1)
    }

    /// Reports each of `ids` that names nothing.
    pub(super) fn check<'i>(
        &self,
        ids: impl IntoIterator<Item = &'i At<Id>>,
        kind: &str,
        by: &RepoPath,
        findings: &mut Findings,
    ) {
        for id in ids {
            self.find(id, kind, by, findings);
        }
    }
}

/// Records of one kind from all files, sorted by id; later ones with a taken id are reported.
pub(super) fn gather<'a, T: 'a>(
    kind: &str,
    files: impl Iterator<Item = (&'a RepoPath, &'a [Arc<T>])>,
    id: impl Fn(&T) -> &At<Id>,
    findings: &mut Findings,
) -> Vec<Held<T>> {
    let mut all: Vec<Held<T>> = files
        .flat_map(|(path, records)| {
            let held = |record| Held { record: Arc::clone(record), path: path.clone() };
            records.iter().map(held)
        })
        .collect();
    all.sort_by(|a, b| id(a).as_str().cmp(id(b).as_str()));
    all.dedup_by(|later, first| {
        let (taken, other) = (id(later), id(first));
        let same = taken.value == other.value;
        if same {
            let message = format!("there is another {kind} `{}`", taken.as_str());
            let hint = format!("it stands in {}", first.path);
            let diagnostic = Diagnostic::error(DUPLICATE, taken.span, message).with_hint(hint);
            findings.push(&later.path, diagnostic);
        }
        same
    });
    all
}
