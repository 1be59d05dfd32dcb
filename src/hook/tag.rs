//! Judges a release tag: whether its design is ready at what the tag names, and whether the version in
//! its name is the one that was prepared there.

use std::collections::BTreeMap;
use std::sync::Arc;

use semver::Version;

use super::{change, guard};
use crate::diagnostic::Span;
use crate::fileset::RepoPath;
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Manner, Outcome, State, World, manifests};
use crate::record::{DesignTable, Event, Manifest};
use crate::release::is_prepared;
use crate::render::layout;
use crate::render::text::text;
use crate::report::{self, Moment, Refusal};

/// What manifests say, by their paths.
pub(super) type Rules = BTreeMap<RepoPath, Arc<Manifest>>;

/// By what tags are judged.
pub(super) struct Court<'a> {
    /// The repository that the tags are in, or will be.
    pub repository: &'a Repository,
    /// The rules of a shared repository; those that stand at the tagged revision without it.
    pub shared: Option<&'a Rules>,
    /// How it is told.
    pub manner: &'a Manner,
    /// The day.
    pub world: &'a World,
}

/// A design that a tag releases.
struct Release {
    manifest: RepoPath,
    /// By whose tags its releases are told.
    rules: DesignTable,
    version: Version,
    guard: Vec<Event>,
}

/// Judges the tag `name`, which will name `object`. A tag whose name has the shape of no design's
/// releases, and one that leads to no commit, is none of our business.
///
/// # Errors
/// [`Failure`] where git could not read what it names.
pub(super) fn judge(
    (name, object): (&str, &str),
    moment: &Moment,
    court: &Court<'_>,
) -> Result<Outcome, Failure> {
    let mut outcome = Outcome::default();
    let Some(commit) = court.repository.commit_behind(object)? else { return Ok(outcome) };
    let at = At::Revision(object.to_owned());
    let mut snapshot = court.repository.snapshot(&at)?;
    let mut loader = Loader::new(court.repository).comparing_seals();
    let mut released = Vec::new();
    for manifest in manifests(snapshot.entries()) {
        let rules = loader.rules(&mut snapshot, &manifest)?;
        released.extend(release(name, manifest, &rules, court.shared));
    }
    for release in outermost(released) {
        let mut state = loader.design(&mut snapshot, &release.manifest, &at, court.world)?;
        loader.look_back(&mut state, &at, &release.version)?;
        let refusal = match overtaken(&release, (name, &commit), moment, court.repository)? {
            Some(refusal) => Some(refusal),
            None => refusal(&release, name, &state, moment),
        };
        if let Some(refusal) = refusal {
            let notice = text(&layout::refusal(&refusal), court.manner.width);
            change::add(&mut outcome, Outcome { notice, refused: true, ..Outcome::default() });
        }
    }
    Ok(outcome)
}

/// What the tag `name` releases of the design at `manifest`, where its name has the shape.
fn release(
    name: &str,
    manifest: RepoPath,
    own: &Manifest,
    shared: Option<&Rules>,
) -> Option<Release> {
    let rules = shared.and_then(|shared| shared.get(&manifest)).map_or(own, |rules| rules);
    let guard = match shared {
        None => guard::tag(own),
        Some(shared) => on_a_server(shared.get(&manifest).map(AsRef::as_ref)),
    };
    let version = rules.design.release_of(name)?;
    Some(Release { manifest, rules: rules.design.clone(), version, guard })
}

/// What a shared repository refuses of a tag; by what is usual where it does not know the design.
fn on_a_server(rules: Option<&Manifest>) -> Vec<Event> {
    let guard = guard::receive(rules.unwrap_or(&Manifest::default()));
    match guard.contains(&Event::NotReadyTag) {
        true => vec![Event::Unreadable, Event::NotReady],
        false => Vec::new(),
    }
}

/// Designs in the folder of another one with the same tags came along with it.
fn outermost(released: Vec<Release>) -> Vec<Release> {
    let manifests: Vec<RepoPath> =
        released.iter().map(|release| release.manifest.clone()).collect();
    let is_within = |inner: &RepoPath| {
        let mut others = manifests.iter().filter(|outer| *outer != inner);
        others.any(|outer| inner.below(&outer.folder()).is_some())
    };
    released.into_iter().filter(|release| !is_within(&release.manifest)).collect()
}

/// Why the release is refused by what its revision says, if it is.
fn refusal(release: &Release, name: &str, state: &State, moment: &Moment) -> Option<Refusal> {
    let Some(design) = &state.linked.design else {
        let refused = release.guard.contains(&Event::Unreadable);
        return refused.then(|| {
            report::unreadable(state.diagnostics(), &release.manifest, Some(name), moment.clone())
        });
    };
    if !release.guard.contains(&Event::NotReady) {
        return None;
    }
    if !is_prepared(&release.version, &design.next) {
        let versions = (&release.version, &design.next);
        let tag = release.rules.tag_of(&design.next);
        let place = state.place.phrase();
        let named = (design.name.as_str(), place.as_str());
        return Some(report::misnamed(versions, named, &tag, moment.clone()));
    }
    let assessed = state.judged(design, &release.version);
    let lines = |path: &RepoPath, span: Span| state.line(path, span);
    // A trial of a release promises nothing of its number yet.
    let is_trial = !release.version.pre.is_empty();
    let checklist = if is_trial { report::checklist } else { report::checklist_of_release };
    let checklist = checklist(&assessed, state.place.clone(), &lines);
    (!checklist.ready).then(|| report::not_ready(&assessed, &checklist, moment.clone()))
}

/// The refusal of a version that follows a higher one.
fn overtaken(
    release: &Release,
    (name, commit): (&str, &str),
    moment: &Moment,
    repository: &Repository,
) -> Result<Option<Refusal>, Failure> {
    if !release.guard.contains(&Event::NotReady) {
        return Ok(None);
    }
    for tag in repository.tags()? {
        let known = release.rules.release_of(&tag.name);
        let is_higher = known.is_some_and(|known| known.cmp_precedence(&release.version).is_gt());
        if is_higher && tag.commit != commit && repository.is_ancestor(&tag.commit, commit)? {
            return Ok(Some(report::overtaken(name, &tag.name, moment.clone())));
        }
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn version(text: &str) -> Version {
        Version::parse(text).expect("a version")
    }

    #[test]
    fn a_design_within_another_ones_folder_came_along() {
        let release = |path: &str| Release {
            manifest: RepoPath::new(path),
            rules: DesignTable::default(),
            version: version("1.0.0"),
            guard: Vec::new(),
        };
        let kept = |paths: &[&str]| -> Vec<String> {
            let released = paths.iter().map(|path| release(path)).collect();
            outermost(released).iter().map(|release| release.manifest.to_string()).collect()
        };
        let (root, vendored) = ("tagworthy.toml", "vendor/lamp/tagworthy.toml");
        assert_eq!(kept(&[root, vendored]), [root]);
        let (one, other) = ("lantern/tagworthy.toml", "tripod/tagworthy.toml");
        assert_eq!(kept(&[one, other]), [one, other]);
    }
}
