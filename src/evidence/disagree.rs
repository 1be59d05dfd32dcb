//! Current results that cannot be right beside another one, or beside what is computed of the same thing.

use super::{Standings, is_of_temperature, reading};
use crate::design::Design;
use crate::evaluate::heat::Extreme;
use crate::evaluate::{self, Aim, Figures, coverage_factor};
use crate::record::{AmbientRule, Evidence, Id, Method, Requirement};

/// Two current results of one quantity of one part that differ by more than they are sure.
#[derive(Clone, Debug, PartialEq)]
pub struct Disagreement {
    /// The places of the two in [`Design::evidence`].
    pub results: [usize; 2],
    /// How far they are apart, in base units.
    pub apart: f64,
    /// Expanded uncertainty of the difference.
    pub expanded_u: f64,
}

/// Every pair of current results that disagree: |E_n| > 1, their difference beyond the expanded
/// uncertainty of it (ISO 13528, from memory). Temperatures are compared above the ambient of their
/// bench. Results without any uncertainty disagree where they are not equal, and are left alone.
#[must_use]
pub fn disagreements(design: &Design, standings: &Standings) -> Vec<Disagreement> {
    let current: Vec<(usize, &Evidence, f64, f64)> = standings
        .results(design)
        .filter(|(_, _, stands)| stands.is_current())
        .filter_map(|(index, evidence, _)| {
            let (value, u) = comparable(design, evidence)?;
            Some((index, evidence, value, u))
        })
        .collect();
    let mut found = Vec::new();
    for (at, (first, one, value, u)) in current.iter().enumerate() {
        for (second, other, other_value, other_u) in &current[at + 1..] {
            if subject(one) != subject(other) {
                continue;
            }
            let apart = (value - other_value).abs();
            let expanded_u = coverage_factor(design) * libm::hypot(*u, *other_u);
            if expanded_u > 0.0 && apart > expanded_u {
                found.push(Disagreement { results: [*first, *second], apart, expanded_u });
            }
        }
    }
    found
}

/// A current result beside which a computed figure is judged that differs by more than both are sure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contradicted {
    /// The place of the result in [`Design::evidence`].
    pub result: usize,
    /// The place of the requirement in [`Design::requirements`] that is judged by the computed figure.
    pub requirement: usize,
}

/// The results that requirements which ask for analysis pass over, although these say otherwise than what
/// is computed: |E_n| > 1, as above. Temperatures are compared at the ambient that the figure is
/// computed for.
#[must_use]
pub fn contradicted(
    design: &Design,
    figures: &Figures,
    standings: &Standings,
) -> Vec<Contradicted> {
    let mut found = Vec::new();
    for (requirement, held) in design.requirements.iter().enumerate() {
        let computed =
            Aim::of(design, held).and_then(|aim| figures.computed.get(&aim)?.as_ref().ok());
        let Some(computed) = computed.filter(|_| held.method() == Method::Analysis) else {
            continue;
        };
        let results = standings.results(design).filter(|(_, evidence, stands)| {
            stands.is_current() && subject(evidence) == asked(held) && evidence.value.is_some()
        });
        for (result, evidence, _) in results {
            let mut ends = computed.ends.iter().filter(|end| !end.with_options);
            if ends.any(|end| is_apart(design, held, evidence, end)) {
                found.push(Contradicted { result, requirement });
            }
        }
    }
    found
}

fn is_apart(
    design: &Design,
    requirement: &Requirement,
    evidence: &Evidence,
    end: &evaluate::End,
) -> bool {
    let rule = requirement.ambient_rule.as_ref().map_or(AmbientRule::Carry, |rule| rule.value);
    let extreme = end.extreme.unwrap_or(Extreme::Hot);
    let Some(Ok(reading)) = reading(design, evidence, rule, extreme) else { return false };
    let expanded_u = coverage_factor(design) * libm::hypot(reading.u, end.value.u());
    expanded_u > 0.0 && (reading.value - end.value.value).abs() > expanded_u
}

fn asked(requirement: &Requirement) -> [Option<&Id>; 2] {
    [&requirement.part, &requirement.quantity].map(|id| id.as_ref().map(|id| &id.value))
}

fn subject(evidence: &Evidence) -> [Option<&Id>; 2] {
    [&evidence.part, &evidence.quantity].map(|id| id.as_ref().map(|id| &id.value))
}

/// The value and its standard uncertainty; of a temperature, above the ambient of the bench.
fn comparable(design: &Design, evidence: &Evidence) -> Option<(f64, f64)> {
    let value = evaluate::measured(design, evidence.value.as_ref()?);
    if !is_of_temperature(design, evidence.quantity.as_ref()?) {
        return Some((value.value(), value.u));
    }
    let ambient = evaluate::measured(design, evidence.ambient.as_ref()?);
    Some((value.value() - ambient.value(), libm::hypot(value.u, ambient.u)))
}
