//! What was seen on the bench, and whether it still says something.

use std::collections::BTreeMap;

use serde::Serialize;

use super::super::evidence::{changed, told, undecidable, word};
use super::super::nearness::{self, NearnessRow};
use super::super::shown::Shown;
use super::name::Named;
use super::{FoundAt, Scope};
use crate::evaluate::{coverage_factor, measured};
use crate::evidence::{Standing, Stands};
use crate::record::{Evidence, Id};

/// A result with its standing.
#[derive(Clone, Debug, Serialize)]
pub struct ResultRow {
    /// The result.
    pub id: Id,
    /// `current`, `stale`, `unpinned`, `undecidable`, `contradiction` or `set-aside`.
    pub standing: &'static str,
    /// What was seen, in words.
    pub seen: String,
    /// Why it no longer says anything, where it does not.
    pub because: Option<String>,
    /// How near the meshes of parts that changed are to those on the bench.
    pub near: BTreeMap<Id, NearnessRow>,
    /// Parts whose change is carried over.
    pub carried_over: Vec<Id>,
    /// Where it is written.
    pub written: FoundAt,
}

impl Scope<'_> {
    /// The results that speak of what was asked for, in the order of ids.
    pub(super) fn evidence(&self, named: &Named<'_>) -> Vec<ResultRow> {
        let design = &*self.assessed.design;
        let results = self.assessed.standings.results(design);
        let speaks = |index: usize, evidence: &Evidence, stands: &Stands| match named {
            Named::Requirement(judged) => {
                judged.evidence.as_ref().is_some_and(|used| used.results.contains(&index))
            }
            Named::Part(part) => stands.covered.contains(part),
            Named::Rail(_) => false,
            Named::Figure(part, quantity) => {
                evidence.part.as_ref().is_some_and(|named| named.value == *design.id(*part))
                    && evidence.quantity.as_ref().is_some_and(|named| named.value == *quantity)
            }
        };
        let speaking = results.filter(|(index, evidence, stands)| speaks(*index, evidence, stands));
        speaking.map(|(index, evidence, stands)| self.result(index, evidence, stands)).collect()
    }

    fn result(&self, index: usize, evidence: &Evidence, stands: &Stands) -> ResultRow {
        let set_aside = || evidence.set_aside.as_ref().map(|why| why.value.clone());
        let because = match &stands.standing {
            Standing::Stale(_) | Standing::Contradiction(_) => {
                Some(told(&self.assessed.design, changed(&stands.standing)))
            }
            Standing::SetAside => set_aside(),
            Standing::Undecidable(why) => Some(undecidable(why)),
            _ => None,
        };
        ResultRow {
            id: evidence.id.value.clone(),
            standing: word(&stands.standing),
            seen: self.seen(evidence),
            because,
            near: stands
                .near
                .iter()
                .map(|(part, near)| (part.clone(), nearness::row(near)))
                .collect(),
            carried_over: stands.carried_over.clone(),
            written: self.written(&self.assessed.design.evidence[index].path, evidence.id.span),
        }
    }

    /// `38.4 °C ± 1.2 K`, `59 of 60 trials passed`, `pass`.
    fn seen(&self, evidence: &Evidence) -> String {
        let design = &*self.assessed.design;
        if let Some(value) = &evidence.value {
            let expanded_u = coverage_factor(design) * measured(design, value).u;
            return Shown::uncertain(value.measure.base, expanded_u, &value.measure.unit).text;
        }
        if let Some(trials) = &evidence.trials {
            return format!("{} of {} trials passed", trials.passed.value, trials.of.value);
        }
        let words = crate::record::Outcome::WORDS;
        let outcome = evidence.outcome.as_ref();
        let outcome = outcome.and_then(|seen| words.iter().find(|(_, known)| *known == seen.value));
        outcome.map(|(word, _)| (*word).to_owned()).unwrap_or_default()
    }
}
