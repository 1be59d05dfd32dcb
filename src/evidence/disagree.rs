//! Current results of one thing that cannot both be right.

use super::{Standings, is_of_temperature};
use crate::design::Design;
use crate::evaluate::{self, coverage_factor};
use crate::record::{Evidence, Id};

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
