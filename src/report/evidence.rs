//! What the evidence for a requirement says, and what it takes to have it say something again.

use std::collections::BTreeSet;

use serde::Serialize;

use super::shown::{Shown, count, percent, some_of};
use crate::design::{Design, PartIx};
use crate::evaluate::coverage_factor;
use crate::evidence::{
    Carried, Changed, How, NotCounting, Standing, Stands, Undecidable, is_later,
};
use crate::facet::{Facet, Untold};
use crate::quantity::{Figure, Unit, show_measure};
use crate::record::{Evidence, Id};
use crate::verdict::{Assessed, EvidenceUsed, Judged, TrialsJudged};

/// Parts that are named for one result.
const NAMED_PARTS: usize = 3;

/// A result that speaks to a requirement.
#[derive(Clone, Debug, Serialize)]
pub struct EvidenceRow {
    /// The result.
    pub id: Id,
    /// `current`, `stale`, `unpinned`, `undecidable`, `contradiction` or `set-aside`.
    pub standing: &'static str,
    /// Whether it counts, and whether it is the one that decides.
    pub counts: bool,
    /// Whether it is the worst of those that count.
    pub decides: bool,
    /// Parts that are not what they were on the bench.
    pub changed: Vec<ChangedRow>,
    /// Parts whose change is carried over.
    pub carried_over: Vec<Id>,
}

/// A part that is not what it was on the bench.
#[derive(Clone, Debug, Serialize)]
pub struct ChangedRow {
    /// The part.
    pub part: Id,
    /// In which facets; none where it came or went.
    pub facets: Vec<Facet>,
}

/// A row for every result that speaks to the requirement, in the order of ids.
pub(super) fn rows(assessed: &Assessed, judged: &Judged) -> Vec<EvidenceRow> {
    let used = judged.evidence.as_ref();
    let row = |(used, index): (&EvidenceUsed, usize)| {
        let (evidence, stands) = result(assessed, index);
        EvidenceRow {
            id: evidence.id.value.clone(),
            standing: word(&stands.standing),
            counts: used.counting.contains(&index),
            decides: used.decisive == Some(index),
            changed: changed(&stands.standing).iter().map(changed_row).collect(),
            carried_over: stands.carried_over.clone(),
        }
    };
    used.into_iter()
        .flat_map(|used| used.results.iter().map(move |index| (used, *index)))
        .map(row)
        .collect()
}

pub(super) fn changed_row(changed: &Changed) -> ChangedRow {
    let facets = match &changed.how {
        How::Facets(facets) => facets.clone(),
        How::Gone | How::New => Vec::new(),
    };
    ChangedRow { part: changed.part.clone(), facets }
}

fn result(assessed: &Assessed, index: usize) -> (&Evidence, &Stands) {
    (&assessed.design.evidence[index], assessed.standings.of(index))
}

/// The standing in a word.
pub(super) fn word(standing: &Standing) -> &'static str {
    match standing {
        Standing::Current => "current",
        Standing::Stale(_) => "stale",
        Standing::Unpinned => "unpinned",
        Standing::Undecidable(_) => "undecidable",
        Standing::Contradiction(_) => "contradiction",
        Standing::SetAside => "set-aside",
    }
}

/// The parts that are not what they were on the bench.
pub(super) fn changed(standing: &Standing) -> &[Changed] {
    match standing {
        Standing::Stale(changed) | Standing::Contradiction(changed) => changed,
        _ => &[],
    }
}

/// What should be known of the evidence, what decides first.
pub(super) fn remarks(assessed: &Assessed, judged: &Judged, unit: &Unit) -> Vec<String> {
    let Some(used) = &judged.evidence else { return Vec::new() };
    let decisive = used.decisive.map(|index| decides(assessed, used, index, unit));
    let trials = used.trials.as_ref().filter(|_| !used.counting.is_empty()).map(told_trials);
    let others = used.results.iter().filter(|index| !used.counting.contains(index));
    // Nothing has to be done about what was overtaken before another result was won.
    let latest = latest_stale(assessed, used).filter(|_| used.counting.is_empty());
    let is_superseded =
        |index: &&usize| is_stale(result(assessed, **index).1) && latest != Some(**index);
    let (superseded, others): (Vec<&usize>, Vec<&usize>) = others.partition(is_superseded);
    let others = others.into_iter().filter_map(|index| why_not(assessed, used, *index));
    let superseded = superseded.into_iter().map(|index| &result(assessed, *index).0.id.value);
    let superseded = some_of(superseded, NAMED_PARTS);
    let superseded = (!superseded.is_empty()).then(|| format!("earlier: {superseded}"));
    let carried = used.counting.iter().filter_map(|index| carried_over(assessed, *index));
    let told = decisive.into_iter().flatten().chain(trials).chain(carried);
    told.chain(others).chain(superseded).collect()
}

/// `gate-soak-2: 38.4 ± 1.2 °C on the bench at 22 °C, carried to 35 °C`.
fn decides(assessed: &Assessed, used: &EvidenceUsed, index: usize, unit: &Unit) -> Option<String> {
    let (evidence, _) = result(assessed, index);
    let id = &evidence.id.value;
    let others = used.counting.len().saturating_sub(1);
    let worst = (others > 0).then(|| format!(", the worst of {}", used.counting.len()));
    let worst = worst.unwrap_or_default();
    let Some(Carried { measured_k, bench_k, ambient_k }) =
        used.reading.and_then(|reading| reading.carried)
    else {
        return Some(format!("by {id}{worst}"));
    };
    let expanded_u = evidence.value.as_ref().map_or(0.0, |value| expanded_u(assessed, value));
    let measured = Shown::uncertain(measured_k, expanded_u, unit).text;
    let [bench, ambient] = [bench_k, ambient_k].map(|kelvin| show_measure(kelvin, unit));
    Some(format!("by {id}{worst}: {measured} on the bench at {bench}, carried to {ambient}"))
}

fn expanded_u(assessed: &Assessed, figure: &Figure) -> f64 {
    let design = &assessed.design;
    coverage_factor(design) * crate::evaluate::measured(design, figure).u
}

fn told_trials(trials: &TrialsJudged) -> String {
    let tally = trials.tally;
    let samples = trials.samples.and_then(|samples| usize::try_from(samples).ok());
    let samples = samples.map(|samples| format!(" on {}", count(samples, "sample")));
    let samples = samples.unwrap_or_default();
    if tally.of < trials.wanted {
        let missed = tally.of - tally.passed.min(tally.of);
        let failed = if missed > 0 { format!(", {missed} failed") } else { String::new() };
        return format!("{} of {} trials so far{samples}{failed}", tally.of, trials.wanted);
    }
    let at_least = percent(trials.at_least);
    format!("{} of {} trials passed{samples}: at least {at_least}", tally.passed, tally.of)
}

fn carried_over(assessed: &Assessed, index: usize) -> Option<String> {
    let (evidence, stands) = result(assessed, index);
    let parts = &stands.carried_over;
    (!parts.is_empty()).then(|| {
        format!("{} is carried over to {}", evidence.id.value, some_of(parts, NAMED_PARTS))
    })
}

/// Why a result does not count.
fn why_not(assessed: &Assessed, used: &EvidenceUsed, index: usize) -> Option<String> {
    let (evidence, stands) = result(assessed, index);
    let (id, design) = (&evidence.id.value, &*assessed.design);
    let why = match &stands.standing {
        Standing::Current => {
            let (_, why) = used.not_counting.iter().find(|(place, _)| *place == index)?;
            not_counting(*why).to_owned()
        }
        Standing::Stale(changed) => format!("stale: {}", told(design, changed)),
        Standing::Unpinned => "unpinned: no revision says what was on the bench".into(),
        Standing::Undecidable(why) => format!("not decidable here: {}", undecidable(why)),
        Standing::Contradiction(changed) => {
            format!("at odds with itself: seal and revision differ in {}", told(design, changed))
        }
        Standing::SetAside => {
            let why = evidence.set_aside.as_ref()?;
            return Some(format!("{id} is set aside: {}", why.value));
        }
    };
    Some(format!("{id} is {why}"))
}

/// Why it cannot be told whether a result is current.
pub(super) fn undecidable(why: &Undecidable) -> String {
    match why {
        Undecidable::Revision(name) => format!("{name} cannot be read"),
        Undecidable::Geometry(why, parts) => {
            let parts = some_of(parts, NAMED_PARTS);
            match why {
                Untold::NotThere => format!("files of {parts} are not there"),
                Untold::NotAtHand => format!("large files of {parts} were not fetched"),
                Untold::NotSealed => format!("its seal was taken without the files of {parts}"),
            }
        }
    }
}

fn not_counting(why: NotCounting) -> &'static str {
    match why {
        NotCounting::NotSteady => "no evidence: it was still rising by more than 2 K/h",
        NotCounting::NoAmbient => "no evidence: it does not say how warm it was around the bench",
        NotCounting::NoWorkingAmbient => {
            "not carried: the manifest's [ambient] does not say where to"
        }
    }
}

/// `led-panel geometry, settings; lens gone`.
pub(super) fn told(design: &Design, changed: &[Changed]) -> String {
    let one = |changed: &Changed| {
        let how = match &changed.how {
            How::Facets(facets) => {
                let words = facets.iter().map(|facet| facet.word_of(design, &changed.part));
                words.collect::<Vec<_>>().join(", ")
            }
            How::Gone => "gone".into(),
            How::New => "not on the bench".into(),
        };
        format!("{} {how}", changed.part)
    };
    let told: Vec<String> = changed.iter().take(NAMED_PARTS).map(one).collect();
    let more = changed.len().saturating_sub(NAMED_PARTS);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}{more}", told.join("; "))
}

/// What to do for evidence that was overtaken, by the latest result: `repeat gate-soak-2 with
/// led-panel 1.3.0 (4 h)`.
pub(super) fn to_repeat(assessed: &Assessed, judged: &Judged) -> Option<String> {
    let index = latest_stale(assessed, judged.evidence.as_ref()?)?;
    let (evidence, stands) = result(assessed, index);
    Some(repeat(&assessed.design, evidence, stands))
}

fn is_stale(stands: &Stands) -> bool {
    matches!(stands.standing, Standing::Stale(_))
}

/// The last result that was overtaken.
fn latest_stale(assessed: &Assessed, used: &EvidenceUsed) -> Option<usize> {
    let stale = used.results.iter().copied().filter(|index| is_stale(result(assessed, *index).1));
    stale.reduce(|one, other| {
        let (first, second) = (result(assessed, one).0, result(assessed, other).0);
        if is_later(second, first) { other } else { one }
    })
}

fn repeat(design: &Design, evidence: &Evidence, stands: &Stands) -> String {
    let there = changed(&stands.standing).iter().filter_map(|changed| {
        let part = design.record(design.part(changed.part.as_str())?);
        let version = part.version.as_ref().map(|version| format!(" {}", version.value));
        Some(format!("{}{}", changed.part, version.unwrap_or_default()))
    });
    let parts = some_of(there, NAMED_PARTS);
    let parts = if parts.is_empty() { parts } else { format!(" with {parts}") };
    let effort = evidence
        .effort
        .as_ref()
        .map(|effort| format!(" ({})", show_measure(effort.measure.base, &effort.measure.unit)));
    format!("repeat {}{parts}{}", evidence.id.value, effort.unwrap_or_default())
}

/// The parts whose change made the evidence for a requirement stale, as far as they are there.
pub(super) fn overtaken_by(assessed: &Assessed, judged: &Judged) -> BTreeSet<PartIx> {
    let results = judged.evidence.iter().flat_map(|used| &used.results);
    let stale = results.flat_map(|index| match &assessed.standings.of(*index).standing {
        Standing::Stale(changed) => changed.as_slice(),
        _ => &[],
    });
    stale.filter_map(|changed| assessed.design.part(changed.part.as_str())).collect()
}

#[cfg(test)]
mod tests {
    use super::super::{Place, checklist, next, requirements, samples};
    use crate::diagnostic::Code;

    const SCANNER: &str = r#"
        [ambient]
        high = "35 °C"
        [part.scanner]
        origin = "assembled"
        contains = { film-gate = 1, led-panel = 1 }
        [part.film-gate]
        origin = "printed"
        [part.led-panel]
        origin = "bought"
        version = "1.2.0"
        setting = { drive-current = "350 mA" }
        [requirement.gate-stays-cool]
        part = "film-gate"
        quantity = "temperature"
        at-most = "55 °C"
        method = "test"
        [requirement.feeds]
        part = "film-gate"
        success = "95 %"
        confidence = "90 %"
        trials = 77
        method = "demonstration"
        [evidence.feed]
        part = "film-gate"
        trials = { passed = 59, of = 60, samples = 3 }
        method = "demonstration"
        SEAL
        [evidence.soak]
        part = "film-gate"
        quantity = "temperature"
        value = "38.4 °C ± 1.2 K"
        ambient = "22 °C ± 0.5 K"
        steady = "0.6 K/h"
        with = ["led-panel"]
        effort = "4 h"
        SEAL
        [evidence.soak-before]
        part = "film-gate"
        quantity = "temperature"
        value = "30 °C"
    "#;

    /// The scanner with its results sealed as it is.
    fn sealed() -> String {
        samples::sealed(SCANNER)
    }

    /// Verdict and remarks of every requirement, and what to do next.
    fn told(text: &str) -> String {
        let assessed = samples::assessed(text);
        let rows = requirements::rows(&assessed).into_iter().map(|row| {
            format!("{} {}\n  {}", row.verdict.word(), row.id, row.remarks.join("\n  "))
        });
        let steps = next::next(&assessed, &[], None).into_iter();
        let steps = steps.map(|step| format!("next: {}", step.text));
        rows.chain(steps).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn current_results_say_how_they_were_carried() {
        insta::assert_snapshot!(told(&sealed()), @r#"
        unproven feeds
          60 of 77 trials so far on 3 samples, 1 failed
          to be shown with 90 % confidence
        pass gate-stays-cool
          by soak: 38.4 °C ± 1.2 K on the bench at 22 °C, carried to 35 °C
          soak-before is unpinned: no revision says what was on the bench
        next: make the 17 trials that feeds still lacks
        next: give `led-panel` a designation, a maker and mpn, or a title
        next: add an offer for `led-panel`
        next: add the files that `film-gate` is drawn in to its sources
        next: add license = "…" with an SPDX expression to [design]
        next: or let one through with a reason: a `[waiver.…]` record, up to a value and a release
        "#);
    }

    #[test]
    fn what_a_requirement_tells_of_a_result_is_counted_once() {
        let now = samples::assessed(&sealed().replace("350 mA", "0.4 A"));
        let report = checklist(&now, Place::Index, &|_, _| 1);
        let of_results = |code: Code| code == Code("evidence-current");
        assert_eq!(report.held_up_by.requirements, 2);
        assert_eq!(report.held_up_by.findings, report.findings.len());
        assert!(!report.findings.iter().any(|row| of_results(row.check)), "told by requirements");
        assert!(now.findings.iter().any(|found| of_results(found.check)), "and found by the check");
    }

    /// A second soak stands in for the first, whether it is current or was overtaken as well.
    #[test]
    fn what_was_overtaken_before_the_last_result_is_told_in_a_word() {
        let first =
            "part = \"film-gate\"\n        quantity = \"temperature\"\n        value = \"30 °C\"";
        let older = sealed().replace(
            first,
            &format!(
                "{first}\n        on = 2026-01-01\n        seal = {{ film-gate = \"g0000000\" }}"
            ),
        );
        let remarks = |text: &str| {
            let rows = requirements::rows(&samples::assessed(text));
            let soak = rows.into_iter().find(|row| row.id == *"gate-stays-cool");
            soak.map(|row| row.remarks.join("; ")).unwrap_or_default()
        };
        assert!(remarks(&older).ends_with("; earlier: soak-before"), "{}", remarks(&older));
        let now = older
            .replace("350 mA", "0.4 A")
            .replace("effort =", "on = 2026-02-01\n        effort =");
        assert_eq!(remarks(&now), "soak is stale: led-panel settings; earlier: soak-before");
    }

    #[test]
    fn stale_results_name_the_parts_and_what_to_repeat() {
        let now = sealed().replace("350 mA", "0.4 A").replace("1.2.0", "1.3.0");
        insta::assert_snapshot!(told(&now), @r#"
        unproven feeds
          60 of 77 trials so far on 3 samples, 1 failed
          to be shown with 90 % confidence
        stale gate-stays-cool
          soak is stale: led-panel identity, settings
          soak-before is unpinned: no revision says what was on the bench
        next: make the 17 trials that feeds still lacks
        next: repeat soak with led-panel 1.3.0 (4 h)
        next: give `led-panel` a designation, a maker and mpn, or a title
        next: add an offer for `led-panel`
        next: add the files that `film-gate` is drawn in to its sources
        next: add license = "…" with an SPDX expression to [design]
        next: or let one through with a reason: a `[waiver.…]` record, up to a value and a release
        "#);
    }
}
