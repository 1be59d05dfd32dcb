//! Where an input is written: its file, its line, its unit, and how it is known.

use serde::Serialize;

use super::Scope;
use crate::design::{Design, PartIx};
use crate::diagnostic::Span;
use crate::evaluate::{Place, Source};
use crate::fileset::RepoPath;
use crate::quantity::{Basis, Figure, Unit};
use crate::record::{HeatPath, Id, Setting};

/// A line of a record file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FoundAt {
    /// The file, relative to the repository's root.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
}

/// An input as a record has it.
pub(super) struct Found<'a> {
    pub(super) path: &'a RepoPath,
    pub(super) span: Span,
    /// The unit that it is written in; `None` of a formula or of what follows from others.
    pub(super) unit: Option<Unit>,
    pub(super) basis: Option<Basis>,
}

impl Scope<'_> {
    pub(super) fn written(&self, path: &RepoPath, span: Span) -> FoundAt {
        FoundAt { file: path.to_string(), line: (self.lines)(path, span) }
    }

    pub(super) fn written_at(&self, found: &Found<'_>) -> FoundAt {
        self.written(found.path, found.span)
    }
}

/// Where the input that a computed figure follows is written.
pub(super) fn of<'a>(design: &'a Design, source: &Source) -> Option<Found<'a>> {
    match source {
        Source::Given(name) => {
            let given = design.manifest.given.iter();
            let (_, figure) = given.into_iter().find(|(known, _)| known.value == *name)?;
            Some(found(&design.manifest_path, figure.span, figure))
        }
        Source::Part { part, name } => of_part(design, *part, name).or_else(|| {
            let record = design.record(*part);
            Some(Found { path: &record.path, span: record.id.span, unit: None, basis: None })
        }),
        Source::Density(material) => {
            let held = design.material(material.as_str())?;
            let density = held.density.as_ref()?;
            Some(found(&held.path, density.span, density))
        }
        Source::HeatPath { from, to } => {
            heat_path(design, from, to).or_else(|| heat_path(design, to, from))
        }
        Source::Position { part, within, place, .. } => {
            let record = design.record(*within);
            let held = &design.record(*part).id.value;
            let line = record.contains.iter().find(|line| line.part.value == *held)?;
            let placed = line.places.get(*place)?;
            let unit = Some(placed.at[2].unit.clone());
            Some(Found { path: &record.path, span: placed.span, unit, basis: None })
        }
        Source::Draw { part, rail, peak } => {
            let record = design.record(*part);
            let (_, draw) = record.draws.iter().find(|(known, _)| known.value == *rail)?;
            let figure = draw.peak.as_ref().filter(|_| *peak).unwrap_or(&draw.mean);
            Some(found(&record.path, figure.span, figure))
        }
    }
}

/// Where a part states a quantity, value, dimension, setting or formula.
pub(super) fn of_part<'a>(design: &'a Design, part: PartIx, name: &Id) -> Option<Found<'a>> {
    let record = design.record(part);
    let path = &record.path;
    let stated = design.figures[part.index()].get(name);
    let valued = || record.values.iter().find(|(key, _)| key.value == *name).map(|(_, at)| at);
    if let Some(sourced) = stated.or_else(valued) {
        return Some(found(path, sourced.figure.span, &sourced.figure));
    }
    if let Some((_, drawn)) = record.dimensions.iter().find(|(key, _)| key.value == *name) {
        let unit = Some(drawn.nominal.unit.clone());
        return Some(Found { path, span: drawn.span, unit, basis: None });
    }
    if let Some((_, setting)) = record.settings.iter().find(|(key, _)| key.value == *name) {
        let Setting::Measure(measure) = &setting.value else { return None };
        let unit = Some(measure.unit.clone());
        return Some(Found { path, span: setting.span, unit, basis: None });
    }
    let (_, formula) = record.formulas.iter().find(|(key, _)| key.value == *name)?;
    Some(Found { path, span: formula.span, unit: None, basis: None })
}

fn found<'a>(path: &'a RepoPath, span: Span, figure: &Figure) -> Found<'a> {
    Found { path, span, unit: Some(figure.measure.unit.clone()), basis: figure.basis }
}

fn heat_path<'a>(design: &'a Design, from: &Place, to: &Place) -> Option<Found<'a>> {
    let (path, paths): (_, &[HeatPath]) = match from {
        Place::Part(part) => (&design.record(*part).path, &design.record(*part).heat_paths),
        Place::Node(id) => {
            let node = design.nodes.iter().find(|node| node.id.value == *id)?;
            (&node.path, &node.heat_paths)
        }
        Place::Ambient => return None,
    };
    let to = to.id(design);
    let led = paths.iter().find(|led| led.to.value == to)?;
    Some(found(path, led.resistance.span, &led.resistance))
}
