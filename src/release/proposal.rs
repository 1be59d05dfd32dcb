//! The version that a release needs, by what it does to those who built the last one.
//!
//! Semantic Versioning 2.0.0, 6 to 8: a major step where the two are not compatible, a minor one
//! where something came, a patch otherwise; 4: before 1.0.0 there is no promise to break yet, and a
//! break is a minor step.

use semver::Version;
use serde::Serialize;

use crate::compare::{Loosened, loosened};
use crate::design::{Design, PartIx};
use crate::facet::{self, Facet};
use crate::interchange::{Break, breaks};
use crate::record::{Id, Priority};

/// How far a version is raised.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// The same thing, mended.
    Patch,
    /// Better, and existing builds can take it.
    Minor,
    /// Existing builds cannot take it as they are.
    Major,
}

impl Step {
    /// The word that is shown.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Patch => "patch",
            Self::Minor => "minor",
            Self::Major => "major",
        }
    }
}

/// One reason for a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// A part is no longer interchangeable.
    Break(Break),
    /// A must-have promises less.
    Loosened(Loosened),
    /// A part came.
    Added {
        /// The part.
        part: Id,
        /// The part that it replaces.
        replaces: Option<Id>,
    },
    /// A part is better, and interchangeable by its version.
    Better {
        /// The part.
        part: Id,
        /// The version before.
        was: Version,
        /// The version after.
        is: Version,
    },
    /// A requirement came.
    Promised(Id),
    /// A variant came.
    Variant(Id),
    /// A part changed in facets of what it is, and not by its version.
    Changed {
        /// The part.
        part: Id,
        /// The facets.
        facets: Vec<Facet>,
    },
}

/// What the next version has to be, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proposal {
    /// The last release.
    pub last: Version,
    /// How much of a step the reasons ask for, were the last release 1.0.0 or later.
    pub step: Step,
    /// The lowest version that they allow.
    pub version: Version,
    /// Every reason with the step that it asks for: the largest steps first, then by part.
    pub reasons: Vec<(Step, Reason)>,
}

/// Why a version will not do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unfit {
    /// It is not above the last release.
    NotAbove,
    /// It is a smaller step than the reasons ask for.
    TooSmall,
}

/// The version that leads from the release `last`, which was the design `was`, to the design `is`.
#[must_use]
pub fn propose(last: &Version, was: &Design, is: &Design) -> Proposal {
    let reasons = reasons(was, is);
    let step = largest(&reasons);
    Proposal { last: last.clone(), step, version: raised(last, step), reasons }
}

/// Why a step is due from `was` to `is`, each reason with the step that it asks for: the largest
/// steps first, then by part.
pub(super) fn reasons(was: &Design, is: &Design) -> Vec<(Step, Reason)> {
    let mut reasons: Vec<(Step, Reason)> = Vec::new();
    for found in breaks(was, is) {
        let step = if found.reaches_top { Step::Major } else { Step::Minor };
        reasons.push((step, Reason::Break(found)));
    }
    reasons.extend(weaker(was, is).map(|found| (Step::Major, Reason::Loosened(found))));
    reasons.extend(came(was, is).map(|reason| (Step::Minor, reason)));
    let product = is.product();
    let changed = product.iter().filter_map(|part| changed(was, is, *part));
    let told: Vec<(Step, Reason)> =
        changed.filter(|(_, reason)| !is_told(reason, &reasons)).collect();
    reasons.extend(told);
    // Stable: within a step breaks come first, then the rest, each in the order of ids.
    reasons.sort_by_key(|(step, _)| std::cmp::Reverse(*step));
    reasons
}

/// The step that the largest of the reasons asks for.
pub(super) fn largest(reasons: &[(Step, Reason)]) -> Step {
    reasons.iter().map(|(step, _)| *step).max().unwrap_or(Step::Patch)
}

impl Proposal {
    /// Why `version` will not do, if it won't. A candidate counts as the release that it is one of.
    #[must_use]
    pub fn unfit(&self, version: &Version) -> Option<Unfit> {
        if version.cmp_precedence(&self.last).is_le() {
            return Some(Unfit::NotAbove);
        }
        let numbers = |of: &Version| (of.major, of.minor, of.patch);
        (numbers(version) < numbers(&self.version)).then_some(Unfit::TooSmall)
    }
}

/// `last` raised by a step; a candidate is followed by its release where that is step enough.
pub(super) fn raised(last: &Version, step: Step) -> Version {
    let before_one = last.major == 0;
    match step {
        Step::Major if !before_one => Version::new(last.major.saturating_add(1), 0, 0),
        Step::Major | Step::Minor => Version::new(last.major, last.minor.saturating_add(1), 0),
        Step::Patch => Version::new(last.major, last.minor, last.patch.saturating_add(1)),
    }
}

/// What is promised less of must-haves.
fn weaker<'a>(was: &'a Design, is: &'a Design) -> impl Iterator<Item = Loosened> + 'a {
    let is_must = |found: &Loosened| {
        let before = was.requirement(found.requirement.as_str());
        before.is_some_and(|held| held.priority() == Priority::Must)
    };
    loosened(was, is).into_iter().filter(is_must)
}

/// Parts, requirements and variants that came.
fn came<'a>(was: &'a Design, is: &'a Design) -> impl Iterator<Item = Reason> + 'a {
    let before: Vec<&Id> = was.product().into_iter().map(|part| was.id(part)).collect();
    let parts = is.product().into_iter().filter_map(move |part| {
        let record = is.record(part);
        let is_new = !before.contains(&&record.id.value);
        is_new.then(|| Reason::Added {
            part: record.id.value.clone(),
            replaces: record.replaces.as_ref().map(|replaced| replaced.value.clone()),
        })
    });
    let requirements = is.requirements.iter().map(|held| &held.id.value);
    let requirements = requirements.filter(|id| was.requirement(id.as_str()).is_none());
    let variants = is.variants.iter().map(|held| &held.id.value);
    let variants = variants
        .filter(|id| was.variants.iter().all(|held| held.id.value != **id))
        .map(|id| Reason::Variant(id.clone()));
    parts.chain(requirements.map(|id| Reason::Promised(id.clone()))).chain(variants)
}

/// A part that is better by its version, or another by its facets.
fn changed(was: &Design, is: &Design, part: PartIx) -> Option<(Step, Reason)> {
    let held = is.record(part);
    let then = was.part(held.id.as_str())?;
    let version_was = was.record(then).version.as_ref().map(|version| &version.value);
    let versions = version_was.zip(held.version.as_ref().map(|version| &version.value));
    let id = held.id.value.clone();
    if let Some((was, is)) =
        versions.filter(|(was, is)| is.minor > was.minor || is.major > was.major)
    {
        let (was, is) = (was.clone(), is.clone());
        return Some((Step::Minor, Reason::Better { part: id, was, is }));
    }
    let facets = physically_changed((was, then), (is, part));
    (!facets.is_empty()).then_some((Step::Patch, Reason::Changed { part: id, facets }))
}

/// The facets of what it is in which a part is another.
pub(super) fn physically_changed(was: (&Design, PartIx), is: (&Design, PartIx)) -> Vec<Facet> {
    if facet::is_surely_same(was, is) {
        return Vec::new();
    }
    let facets = facet::of(was.0, was.1).changed(&facet::of(is.0, is.1));
    facets.into_iter().filter(|facet| facet.is_physical()).collect()
}

/// Whether another reason is about the same part.
fn is_told(reason: &Reason, others: &[(Step, Reason)]) -> bool {
    let (Reason::Better { part, .. } | Reason::Changed { part, .. }) = reason else { return false };
    others.iter().any(|(_, other)| matches!(other, Reason::Break(broken) if broken.part == *part))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::design;

    /// A scanner of a gate unit, which holds a gate, and of a lid; `more` are further records.
    fn scanner(unit: &str, gate: &str, slot: &str, more: &str) -> String {
        format!(
            "[part.scanner]\norigin = \"assembled\"\ncontains = {{ unit = 1, lid = 1 }}\n\
             [part.unit]\norigin = \"assembled\"\nversion = \"{unit}\"\ncontains = {{ gate = 1 }}\n\
             [part.gate]\norigin = \"printed\"\nversion = \"{gate}\"\n\
             dimension = {{ slot = \"{slot} ± 0.1 mm\" }}\n[part.lid]\norigin = \"printed\"\n{more}"
        )
    }

    const LIGHT: &str =
        "[requirement.light]\npart = \"scanner\"\nquantity = \"mass\"\nat-most = \"1 kg\"\n";

    #[track_caller]
    fn check(last: &str, is: &str, expected: &str) {
        let was = scanner("1.0.0", "1.2.0", "5 mm", LIGHT);
        let last = Version::parse(last).expect("a version");
        let proposal = propose(&last, &design(&was), &design(is));
        let about = |reason: &Reason| match reason {
            Reason::Break(found) => format!("{} breaks", found.part),
            Reason::Loosened(found) => format!("{} loosened", found.requirement),
            Reason::Added { part, .. } => format!("{part} came"),
            Reason::Better { part, .. } => format!("{part} better"),
            Reason::Promised(id) => format!("{id} promised"),
            Reason::Variant(id) => format!("{id} offered"),
            Reason::Changed { part, .. } => format!("{part} changed"),
        };
        let line = |(step, reason): &(Step, Reason)| format!("{} {}", step.word(), about(reason));
        let reasons: Vec<String> = proposal.reasons.iter().map(line).collect();
        assert_eq!(format!("{}: {}", proposal.version, reasons.join(", ")), expected);
    }

    /// Semantic Versioning 2.0.0, 6 to 8.
    #[test]
    fn the_largest_step_decides() {
        check("1.4.2", &scanner("1.0.0", "1.2.0", "5 mm", LIGHT), "1.4.3: ");
        check("1.4.2", &scanner("1.0.0", "1.2.1", "5.1 mm", LIGHT), "1.4.3: patch gate changed");
        check("1.4.2", &scanner("1.0.0", "1.3.0", "6 mm", LIGHT), "1.5.0: minor gate better");
        check(
            "1.4.2",
            &scanner("2.0.0", "2.0.0", "6 mm", LIGHT),
            "2.0.0: major gate breaks, major unit breaks",
        );
    }

    /// MIL-STD-100G, 406.13: with the unit the builder takes the new gate, and keeps all else.
    #[test]
    fn a_break_within_an_assembly_that_can_be_taken_is_no_major_step() {
        check(
            "1.4.2",
            &scanner("1.1.0", "2.0.0", "6 mm", LIGHT),
            "1.5.0: minor gate breaks, minor unit better",
        );
    }

    /// Semantic Versioning 2.0.0, 4.
    #[test]
    fn before_the_first_release_a_break_is_a_minor_step() {
        let broken = scanner("2.0.0", "2.0.0", "6 mm", LIGHT);
        check("0.9.3", &broken, "0.10.0: major gate breaks, major unit breaks");
        check("0.9.3", &scanner("1.0.0", "1.2.1", "5.1 mm", LIGHT), "0.9.4: patch gate changed");
    }

    #[test]
    fn what_is_promised_less_is_a_break_of_a_must_have_alone() {
        let heavier = LIGHT.replace("1 kg", "2 kg");
        let same = |more: &str| scanner("1.0.0", "1.2.0", "5 mm", more);
        check("1.4.2", &same(&heavier), "2.0.0: major light loosened");
        check("1.4.2", &same(&LIGHT.replace("1 kg", "0.5 kg")), "1.4.3: ");
        let was = same(&format!("{LIGHT}priority = \"should\"\n"));
        let is = same(&format!("{heavier}priority = \"should\"\n"));
        let last = Version::new(1, 4, 2);
        assert_eq!(propose(&last, &design(&was), &design(&is)).step, Step::Patch);
    }

    #[test]
    fn what_came_is_a_minor_step() {
        let more = format!(
            "{LIGHT}[requirement.cheap]\npart = \"scanner\"\nquantity = \"cost\"\nat-most = \"9 EUR\"\n\
             [variant.bare]\ndrop = [\"lid\"]\n[part.cover]\norigin = \"printed\"\n"
        );
        let is = scanner("1.0.0", "1.2.0", "5 mm", &more).replace("lid = 1", "lid = 1, cover = 1");
        let minor = "1.5.0: minor cover came, minor cheap promised, minor bare offered, \
                     patch scanner changed";
        check("1.4.2", &is, minor);
    }

    /// Semantic Versioning 2.0.0, 11: a candidate precedes its release.
    #[test]
    fn a_number_below_the_reasons_will_not_do() {
        let was = scanner("1.0.0", "1.2.0", "5 mm", LIGHT);
        let is = scanner("1.0.0", "1.3.0", "6 mm", LIGHT);
        let proposal = propose(&Version::new(1, 4, 2), &design(&was), &design(&is));
        let unfit = |version: &str| proposal.unfit(&Version::parse(version).expect("a version"));
        assert_eq!(unfit("1.4.2"), Some(Unfit::NotAbove));
        assert_eq!(unfit("1.4.2-rc.1"), Some(Unfit::NotAbove));
        assert_eq!(unfit("1.4.2+b"), Some(Unfit::NotAbove));
        assert_eq!(unfit("1.4.3"), Some(Unfit::TooSmall));
        for version in ["1.5.0", "1.5.0-rc.1", "1.6.0", "2.0.0"] {
            assert_eq!(unfit(version), None, "{version}");
        }
    }
}
