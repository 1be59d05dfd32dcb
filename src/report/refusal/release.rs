//! Why a release tag is refused.

use semver::Version;

use super::{Moment, Overrun, Refusal, command, once, waiver};
use crate::report::items::open_items;
use crate::report::next::{Step, next};
use crate::report::{Checklist, variants};
use crate::verdict::{Assessed, Finding, Judged};

/// The refusal of a tag whose design is not ready, as its checklist says.
#[must_use]
pub fn not_ready(assessed: &Assessed, checklist: &Checklist, moment: Moment) -> Refusal {
    let builds = || [assessed].into_iter().chain(&assessed.variants);
    let steps = next(assessed, &open_items(assessed), checklist.version.as_ref()).into_iter();
    let steps = steps.filter(|step| step.step != Step::Waive).map(|step| step.text);
    let waivers = builds().flat_map(|build| {
        let requirements = held_up(assessed, build)
            .into_iter()
            .filter_map(|judged| waiver::of_requirement(build, &judged.requirement));
        let findings = found(assessed, build).into_iter();
        requirements.chain(findings.map(|finding| waiver::of_finding(build, finding)))
    });
    Refusal {
        overruns: builds().flat_map(|build| overruns(assessed, build)).collect(),
        besides: besides(checklist),
        mend: once(steps),
        all_of_it: Some(format!(
            "tagworthy ready {} --at {}{} lists all of it",
            checklist.release,
            checklist.place.name(),
            command::of_design(&assessed.design.manifest_path)
        )),
        waivers: once(waivers),
        ..Refusal::new(format!("refused: {}", checklist.headline), moment)
    }
}

/// The refusal of a tag whose version the design's history does not bear out. `named` is the version
/// in the tag, `prepared` the one in the manifest of the tagged revision, `tag` what it would be
/// called with that.
#[must_use]
pub fn misnamed(
    (named, prepared): (&Version, &Version),
    (design, place): (&str, &str),
    tag: &str,
    moment: Moment,
) -> Refusal {
    let headline = format!(
        "refused: the tag says {design} {named}, and the manifest {place} prepares {prepared}"
    );
    let mend = vec![
        format!("call the tag {tag}"),
        format!("or set next = \"{named}\" in the manifest, and tag the commit that does"),
    ];
    Refusal { mend, ..Refusal::new(headline, moment) }
}

/// The refusal of the tag `name`, whose history holds the tag `higher` of a higher version.
#[must_use]
pub fn overtaken(name: &str, higher: &str, moment: Moment) -> Refusal {
    let headline = format!("refused: the tag {name} comes after {higher}, a higher version");
    let mend =
        vec![format!("take a version above {higher}: the manifest's `next`, and the tag's name")];
    Refusal { mend, ..Refusal::new(headline, moment) }
}

/// Requirements in the way: all of the design's own, of a variant those that are in its way alone.
/// A screen may have room for the first ones alone: the gravest, those alike in the order of ids.
fn held_up<'a>(assessed: &'a Assessed, build: &'a Assessed) -> Vec<&'a Judged> {
    let mut held_up: Vec<&Judged> = match build.design.variant {
        Some(_) => variants::own(assessed, build).collect(),
        None => build.judged.iter().filter(|judged| judged.is_in_the_way()).collect(),
    };
    held_up.sort_by_key(|judged| std::cmp::Reverse(judged.verdict.severity()));
    held_up
}

fn found<'a>(assessed: &'a Assessed, build: &'a Assessed) -> Vec<&'a Finding> {
    match build.design.variant {
        Some(_) => variants::own_findings(assessed, build).collect(),
        None => build.findings.iter().filter(|finding| finding.covered.is_none()).collect(),
    }
}

fn overruns(assessed: &Assessed, build: &Assessed) -> Vec<Overrun> {
    held_up(assessed, build).into_iter().map(|judged| Overrun::of(build, judged)).collect()
}

/// Open items and findings in the way, a line each.
fn besides(checklist: &Checklist) -> Vec<String> {
    let items = checklist.items.iter().filter(|item| item.in_the_way).map(|item| {
        let title = item.title.as_ref().map(|title| format!(": {title}")).unwrap_or_default();
        format!("open item {}{title}", item.id)
    });
    let findings = checklist.findings.iter().filter(|finding| finding.waiver.is_none());
    let findings = findings.map(|finding| format!("{}: {}", finding.check.0, finding.message));
    let variants = checklist.variants.iter().flat_map(|variant| {
        let told = variant.findings.iter();
        told.map(|finding| format!("in {}: {}: {}", variant.id, finding.check.0, finding.message))
    });
    items.chain(findings).chain(variants).collect()
}

#[cfg(test)]
mod tests {
    use super::super::super::samples::{LANTERN, assessed};
    use super::*;
    use crate::report::{Place, checklist};

    #[test]
    fn everything_in_the_way_has_its_way_out() {
        let lantern = assessed(LANTERN);
        let list = checklist(&lantern, Place::Revision("3f2c9ab".into()), &|_, _| 7);
        let refusal = not_ready(&lantern, &list, Moment::Push);
        assert_eq!(refusal.overruns.len(), list.held_up_by.requirements);
        for overrun in &refusal.overruns {
            let waive = format!("tagworthy waive {} ", overrun.row.id);
            assert!(refusal.waivers.iter().any(|waiver| waiver.starts_with(&waive)), "{waive}");
        }
        let items = list.items.iter().filter(|item| item.in_the_way);
        for item in items {
            let line = format!("open item {}", item.id);
            assert!(refusal.besides.iter().any(|told| told.starts_with(&line)), "{line}");
        }
    }
}
