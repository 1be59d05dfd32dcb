//! The command that would let something through with a reason, ready but for the reason.

use super::command::of_design;
use crate::quantity::Unit;
use crate::record::Id;
use crate::report::judged_on::unit_of;
use crate::verdict::{Assessed, Bound, Finding, Judged, Side, Verdict};

/// Lets the requirement `id` through as it stands now.
pub(super) fn of_requirement(assessed: &Assessed, id: &Id) -> Option<String> {
    let judged = assessed.of_requirement(id)?;
    let up_to = up_to(assessed, judged).map(|up_to| format!(" --up-to \"{up_to}\""));
    Some(format!("tagworthy waive {id}{}{}", up_to.unwrap_or_default(), until_and_why(assessed)))
}

/// Lets through what a release check found.
pub(super) fn of_finding(assessed: &Assessed, finding: &Finding) -> String {
    let part = finding.part.map(|part| format!(" --part {}", assessed.design.id(part)));
    let check = finding.check.0;
    let end = until_and_why(assessed);
    format!("tagworthy waive --check {check}{}{end}", part.unwrap_or_default())
}

/// Until the next minor version: long enough for the release, short enough to be looked at again.
fn until_and_why(assessed: &Assessed) -> String {
    let release = &assessed.occasion.release;
    let next = semver::Version::new(release.major, release.minor.saturating_add(1), 0);
    let design = of_design(&assessed.design.manifest_path);
    format!(" --until-before {next} --why \"…\"{design}")
}

/// How far the concession has to go to cover the value as it is now; nothing where it is not the
/// value that is in the way.
fn up_to(assessed: &Assessed, judged: &Judged) -> Option<String> {
    if !matches!(judged.verdict, Verdict::Fail | Verdict::Edge | Verdict::Thin) {
        return None;
    }
    let requirement = &assessed.design.requirements[judged.index];
    let unit = unit_of(&assessed.design, requirement, judged);
    Some(outward(judged.bounds.first()?, judged.expanded_u, &unit))
}

/// Digits to which a concession is written.
const CONCEDED_DIGITS: f64 = 4.0;

/// The far end of the value's whole uncertainty, rounded away from it: as a concession it covers the
/// value as it is now.
fn outward(bound: &Bound, expanded_u: f64, unit: &Unit) -> String {
    let (end, round): (f64, fn(f64) -> f64) = match bound.side {
        Side::AtMost => (bound.value + expanded_u, libm::ceil),
        Side::AtLeast => (bound.value - expanded_u, libm::floor),
    };
    let number = unit.from_base(end);
    let exponent = libm::floor(libm::log10(number.abs())) + 1.0 - CONCEDED_DIGITS;
    if !exponent.is_finite() {
        return format!("{number} {}", unit.symbol());
    }
    let place = libm::pow(10.0, exponent);
    let number = round(number / place) * place;
    let decimals = libm::fmax(0.0, -exponent) as usize;
    format!("{number:.decimals$} {}", unit.symbol()).trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::super::super::samples::{assessed, lantern_with_a_heavier_lamp};
    use super::*;

    #[test]
    fn the_waiver_that_is_offered_covers_what_was_refused() {
        let broken = lantern_with_a_heavier_lamp();
        let refused = assessed(&broken);
        let id = Id::new("carry-mass");
        let command = of_requirement(&refused, &id).expect("a way out");
        let argument = |name: &str| {
            let rest = command.split(&format!("--{name} ")).nth(1).expect("an argument");
            rest.split(" --").next().unwrap_or_default().trim_matches('"').to_owned()
        };
        let waived = assessed(&format!(
            "{broken}\n[waiver.first-batch]\nrequirement = \"carry-mass\"\nup-to = \"{}\"\n\
             until-before = \"{}\"\non = 2026-11-20\nby = \"Ada\"\nwhy = \"{}\"\n",
            argument("up-to"),
            argument("until-before"),
            argument("why"),
        ));
        assert_eq!(refused.of_requirement(&id).map(|judged| judged.verdict), Some(Verdict::Fail));
        assert_eq!(waived.of_requirement(&id).map(|judged| judged.verdict), Some(Verdict::Waived));
    }

    #[test]
    fn a_concession_is_rounded_away_from_the_value() {
        let bound = |side, value| Bound {
            side,
            limit: 0.0,
            margin: 0.0,
            value,
            left: 0.0,
            verdict: Verdict::Fail,
            inside_limit: 0.0,
            inside_margin: 0.0,
        };
        let written = |side, value, u, unit: &str| {
            outward(&bound(side, value), u, &Unit::parse(unit).expect("a unit"))
        };
        assert_eq!(written(Side::AtMost, 1.272_24, 0.022, "g"), "1295 g");
        assert_eq!(written(Side::AtLeast, 1.272_24, 0.022, "g"), "1250 g");
        assert_eq!(written(Side::AtMost, 412.803, 0.0, "EUR"), "412.9 EUR");
        assert_eq!(written(Side::AtMost, 318.163, 0.0, "°C"), "45.02 °C");
        assert_eq!(written(Side::AtMost, 0.0, 0.0, "W"), "0 W");
        assert_eq!(outward(&bound(Side::AtMost, 9.0), 0.0, &Unit::none()), "9.000");
    }
}
