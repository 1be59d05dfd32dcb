//! Which manifests of two states are those of one design, wherever they lie.

use super::{Failure, Loader, manifests};
use crate::fileset::{ContentKey, RepoPath};
use crate::git::Snapshot;
use crate::record::Id;

/// Where a design's manifest lies.
pub struct Paths {
    /// Before; `None` where the design is new.
    pub before: Option<RepoPath>,
    /// After.
    pub after: RepoPath,
}

impl Loader<'_> {
    /// Where the manifest of each design lies that is there after, and those that are gone. One that
    /// is gone and a new one of the same content, else of the same name, are a design that was moved.
    ///
    /// # Errors
    /// [`Failure`] where git could not read a manifest.
    pub fn pairs(
        &mut self,
        before: Option<&mut Snapshot<'_>>,
        after: &mut Snapshot<'_>,
    ) -> Result<(Vec<Paths>, Vec<RepoPath>), Failure> {
        let known = before.as_ref().map(|before| manifests(before.entries()));
        let (known, now) = (known.unwrap_or_default(), manifests(after.entries()));
        let mut gone: Vec<RepoPath> =
            known.iter().filter(|path| !now.contains(path)).cloned().collect();
        let mut pairs: Vec<Paths> = now
            .into_iter()
            .map(|after| Paths { before: known.contains(&after).then(|| after.clone()), after })
            .collect();
        let Some(before) = before else { return Ok((pairs, gone)) };
        for key in [content, name] {
            let is_new = |pair: &Paths| pair.before.is_none();
            if gone.is_empty() || !pairs.iter().any(is_new) {
                break;
            }
            let known = gone.iter().map(|path| key(before, path, self));
            let mut known = known.collect::<Result<Vec<_>, Failure>>()?;
            for pair in pairs.iter_mut().filter(|pair| is_new(pair)) {
                let Some(key) = key(after, &pair.after, self)? else { continue };
                if let Some(at) = known.iter().position(|known| known.as_ref() == Some(&key)) {
                    known.remove(at);
                    pair.before = Some(gone.remove(at));
                }
            }
        }
        Ok((pairs, gone))
    }

    /// Where the manifest of a design lay in the state before it was moved to `manifest`.
    pub(super) fn former(
        &mut self,
        before: &mut Snapshot<'_>,
        after: &mut Snapshot<'_>,
        manifest: &RepoPath,
    ) -> Result<Option<RepoPath>, Failure> {
        let mut pairs = self.pairs(Some(before), after)?.0.into_iter();
        let was = pairs.find(|pair| pair.after == *manifest).and_then(|pair| pair.before);
        Ok(was.filter(|was| was != manifest))
    }
}

/// By what a design is known again at another place.
#[derive(PartialEq, Eq)]
enum Key {
    Content(ContentKey),
    Name(Id),
}

fn content(
    snapshot: &mut Snapshot<'_>,
    manifest: &RepoPath,
    _: &mut Loader<'_>,
) -> Result<Option<Key>, Failure> {
    Ok(snapshot.entries().get(manifest).map(|entry| Key::Content(entry.key)))
}

fn name(
    snapshot: &mut Snapshot<'_>,
    manifest: &RepoPath,
    loader: &mut Loader<'_>,
) -> Result<Option<Key>, Failure> {
    let rules = loader.rules(snapshot, manifest)?;
    Ok(rules.design.name.as_ref().map(|name| Key::Name(name.value.clone())))
}
