//! What is known of a part: where it is used, what it states, what it reaches, what it is.

use std::collections::BTreeMap;

use serde::Serialize;

use super::super::shown::Shown;
use super::{FoundAt, Scope, written};
use crate::compare::Reach;
use crate::design::PartIx;
use crate::facet::{self, Facet};
use crate::quantity::{Basis, Measure};
use crate::record::{Id, Setting};
use crate::verdict::Verdict;

/// What is known of a part.
#[derive(Clone, Debug, Serialize)]
pub struct PartWhy {
    /// What people call it.
    pub title: Option<String>,
    /// Its own version.
    pub version: Option<String>,
    /// How it comes into being.
    pub origin: &'static str,
    /// Where its record begins.
    pub written: FoundAt,
    /// The assemblies that hold it, as paths from the outermost down to it.
    pub used: Vec<Vec<Id>>,
    /// What its record states.
    pub figures: Vec<Stated>,
    /// Requirements of it or of an assembly that holds it, and how they stand.
    pub requirements: Vec<(Id, Verdict)>,
    /// What it is, as a digest for each aspect of which it says something.
    pub facets: BTreeMap<Facet, String>,
}

/// Something that a part states.
#[derive(Clone, Debug, Serialize)]
pub struct Stated {
    /// The quantity, value, dimension, setting or formula.
    pub name: Id,
    /// As it is shown.
    pub text: String,
    /// How it is known, where that is said.
    pub basis: Option<Basis>,
    /// Where it is written.
    pub written: Option<FoundAt>,
}

impl Scope<'_> {
    pub(super) fn part(&self, part: PartIx) -> PartWhy {
        let design = &*self.assessed.design;
        let record = design.record(part);
        let facets = facet::of(design, part);
        let said = facets.said().into_iter();
        let reached = Reach::of(design).from(&record.id);
        PartWhy {
            title: record.title.as_ref().map(|title| title.value.clone()),
            version: record.version.as_ref().map(|version| version.value.to_string()),
            origin: record.origin.word(),
            written: self.written(&record.path, record.id.span),
            used: reached.paths,
            figures: self.stated(part),
            requirements: self.verdicts(&reached.requirements),
            facets: said.map(|facet| (facet, facets.get(facet).to_string())).collect(),
        }
    }

    fn verdicts(&self, requirements: &[Id]) -> Vec<(Id, Verdict)> {
        let judged = requirements.iter().filter_map(|id| self.assessed.of_requirement(id));
        judged.map(|judged| (judged.requirement.clone(), judged.verdict)).collect()
    }

    fn stated(&self, part: PartIx) -> Vec<Stated> {
        let design = &*self.assessed.design;
        let record = design.record(part);
        let quantities = design.figures[part.index()].iter();
        let values = record.values.iter().map(|(name, value)| (&name.value, value));
        let figures = quantities.chain(values).map(|(name, sourced)| {
            let figure = &sourced.figure;
            let Measure { base, unit, .. } = &figure.measure;
            let shown = match figure.spread {
                Some(spread) if spread.half_width > 0.0 => {
                    Shown::uncertain(*base, spread.half_width, unit)
                }
                _ => Shown::written(*base, unit),
            };
            (name, shown.text)
        });
        let dimensions = record.dimensions.iter().map(|(name, drawn)| {
            let unit = &drawn.nominal.unit;
            let [low, high] = [drawn.lower, drawn.upper]
                .map(|deviation| Shown::written(drawn.nominal.base + deviation, unit).text);
            let nominal = Shown::written(drawn.nominal.base, unit).text;
            let text = if low == high { nominal } else { format!("{nominal}, {low} to {high}") };
            let kept = drawn.sigmas.map(|sigmas| format!(", kept to {sigmas} sigma"));
            let text = text + &kept.unwrap_or_default();
            (&name.value, text)
        });
        let settings = record.settings.iter().map(|(name, setting)| {
            let text = match &setting.value {
                Setting::Measure(measure) => Shown::written(measure.base, &measure.unit).text,
                Setting::Text(text) => text.clone(),
            };
            (&name.value, text)
        });
        let formulas =
            record.formulas.iter().map(|(name, text)| (&name.value, format!("= {}", text.value)));
        let all = figures.chain(dimensions).chain(settings).chain(formulas);
        all.map(|(name, text)| {
            let found = written::of_part(design, part, name);
            Stated {
                name: name.clone(),
                text,
                basis: found.as_ref().and_then(|found| found.basis),
                written: found.map(|found| self.written_at(&found)),
            }
        })
        .collect()
    }
}
