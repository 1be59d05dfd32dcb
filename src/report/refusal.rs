//! What a hook tells: why it refuses, in one screen; or what it lets through, in a few lines.

use std::collections::BTreeSet;

use serde::Serialize;

use super::diagnostics::DiagnosticRow;
use super::impact::{turn, verdict_row, verdict_rows};
use super::judged_on::unit_of;
use super::moves::{Between, ShareRow, moves, told};
use super::requirements::{self, RequirementRow};
use super::shown::count;
use crate::compare::{Impact, VerdictChange};
use crate::quantity::Unit;
use crate::record::Id;
use crate::verdict::{Bound, Side, Verdict};

/// Why a commit is refused, and the ways out.
#[derive(Clone, Debug, Serialize)]
pub struct Refusal {
    /// All of it in one line.
    pub headline: String,
    /// What is wrong in record files, where that is the reason.
    pub diagnostics: Vec<DiagnosticRow>,
    /// Requirements that the change breaks.
    pub overruns: Vec<Overrun>,
    /// A record that would let the first of them through; lines of TOML.
    pub waiver: Vec<String>,
}

/// A requirement that a change breaks.
#[derive(Clone, Debug, Serialize)]
pub struct Overrun {
    /// The variant in which it does, where it does not in the design itself.
    pub variant: Option<Id>,
    /// How it stands now.
    pub row: RequirementRow,
    /// How it stood before.
    pub before: Option<Verdict>,
    /// The parts that turned it, largest share first.
    pub through: Vec<ShareRow>,
}

/// What is let through, said aloud.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Note {
    /// The line with which budgets moved; nothing where none did.
    pub moved: Option<String>,
    /// Verdicts that turned and are let through, a line each.
    pub turned: Vec<String>,
}

impl Note {
    /// Whether there is nothing to say.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.moved.is_none() && self.turned.is_empty()
    }
}

/// The refusal of a commit whose records cannot be read.
#[must_use]
pub fn unreadable(diagnostics: Vec<DiagnosticRow>) -> Refusal {
    let errors = count(diagnostics.len(), "error");
    Refusal {
        headline: format!("refused: the records would no longer be readable, {errors}"),
        diagnostics,
        overruns: Vec::new(),
        waiver: Vec::new(),
    }
}

/// The refusal of a commit that breaks the requirements in `broken`, each in its build.
#[must_use]
pub fn refusal(broken: &[(Between<'_>, &VerdictChange)], between: Between<'_>) -> Refusal {
    let overruns: Vec<Overrun> =
        broken.iter().filter_map(|(between, change)| overrun(change, *between)).collect();
    let different: BTreeSet<&Id> = overruns.iter().map(|overrun| &overrun.row.id).collect();
    let number = count(different.len(), "requirement");
    let first = overruns.first().zip(broken.first());
    Refusal {
        headline: format!("refused: this breaks {number} of {}", between.after.design.name),
        diagnostics: Vec::new(),
        waiver: first.map(|(overrun, (of, _))| waiver(&overrun.row, *of)).unwrap_or_default(),
        overruns,
    }
}

fn overrun(change: &VerdictChange, between: Between<'_>) -> Option<Overrun> {
    let judged = &between.after.judged;
    let judged = judged.iter().find(|judged| judged.requirement == change.requirement)?;
    Some(Overrun {
        variant: between.after.design.variant.clone(),
        row: requirements::row(between.after, judged),
        before: change.before,
        through: verdict_row(change, between).shares,
    })
}

/// A waiver as it would be written, up to where the value may lie now.
fn waiver(row: &RequirementRow, between: Between<'_>) -> Vec<String> {
    let judged = between.after.judged.iter().find(|judged| judged.requirement == row.id);
    let up_to = judged.and_then(|judged| {
        let requirement = &between.after.design.requirements[judged.index];
        let unit = unit_of(&between.after.design, requirement, judged);
        let bound = judged.bounds.first()?;
        Some(format!("up-to        = \"{}\"", outward(bound, judged.expanded_u, &unit)))
    });
    let release = &between.after.occasion.release;
    let next = semver::Version::new(release.major, release.minor.saturating_add(1), 0);
    let mut lines = vec!["[waiver.NAME]".into(), format!("requirement  = \"{}\"", row.id)];
    lines.extend(up_to);
    lines.push(format!("until-before = \"{next}\""));
    lines.push(format!("on           = {}", between.after.occasion.today));
    lines.push("by           = \"…\"".into());
    lines.push("why          = \"…\"".into());
    lines
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

/// Moves that are named in a note.
const NAMED_MOVES: usize = 3;

/// What `change` does without being refused; `refused` are the requirements that it is refused for.
#[must_use]
pub fn note(change: &Impact, between: Between<'_>, refused: &[Id]) -> Note {
    let moves = moves(change, between);
    let told = told(&moves).into_iter().filter_map(|(row, by)| {
        let after = row.after.as_ref()?;
        Some(format!("{} {} (now {})", row.name, by.text, after.text))
    });
    let told: Vec<String> = told.collect();
    let more = told.len().saturating_sub(NAMED_MOVES);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let named = told.iter().take(NAMED_MOVES).cloned().collect::<Vec<_>>().join(", ");
    let name = &between.after.design.name;
    Note {
        moved: (!told.is_empty()).then(|| format!("{name}: {named}{more}")),
        turned: turned(change, between, refused),
    }
}

/// Whether a verdict needs no word on why it is let through.
fn is_good(verdict: Option<Verdict>) -> bool {
    matches!(verdict, None | Some(Verdict::Pass | Verdict::Waived))
}

/// Verdicts that are others now and are not refused.
fn turned(change: &Impact, between: Between<'_>, refused: &[Id]) -> Vec<String> {
    verdict_rows(change, between)
        .iter()
        .filter(|row| !refused.contains(&row.requirement))
        .filter(|row| row.after.is_some_and(|after| after != Verdict::Later))
        .map(|row| {
            let through = if is_good(row.after) { "" } else { "; let through" };
            let because = row.because.map(|because| format!(", {because}")).unwrap_or_default();
            format!("{} {}{because}{through}", row.name(), turn(row))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::samples::{LANTERN, assessed, lantern_with_a_heavier_lamp};
    use super::*;
    use crate::compare;

    #[test]
    fn the_waiver_that_is_offered_covers_what_was_refused() {
        let broken = lantern_with_a_heavier_lamp();
        let (before, after) = (assessed(LANTERN), assessed(&broken));
        let between = Between { before: Some(&before), after: &after };
        let change = compare::impact(Some(&before), &after);
        let newly_failing = change.verdicts.iter().filter(|change| change.is_newly_failing());
        let refusal =
            refusal(&newly_failing.map(|change| (between, change)).collect::<Vec<_>>(), between);
        assert_eq!(refusal.overruns[0].row.verdict, Verdict::Fail);

        let waiver = refusal.waiver.join("\n").replace("NAME", "heavy-first-batch");
        let waived = assessed(&format!("{broken}\n{waiver}\n"));
        let carry_mass = waived.judged.iter().find(|judged| judged.requirement == *"carry-mass");
        assert_eq!(carry_mass.map(|judged| judged.verdict), Some(Verdict::Waived));
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
