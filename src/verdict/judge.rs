//! Everything that is judged of a design, in one call.

use std::sync::Arc;

use super::checks::{self, Context};
use super::{Assessed, Documents, Judged, Occasion, requirement, waivers};
use crate::design::Design;
use crate::evaluate::Figures;
use crate::evidence::Standings;

/// Judges every requirement, and runs every release check; `documents` are the bytes of the files
/// that [`super::demands`] asks for.
#[must_use]
pub fn judge(
    design: Arc<Design>,
    figures: Figures,
    standings: Standings,
    documents: &Documents,
    occasion: Occasion,
) -> Assessed {
    let mut assessed = judge_requirements(design, figures, standings, occasion);
    let mut findings = checks::run(&Context {
        design: &assessed.design,
        figures: &assessed.figures,
        standings: &assessed.standings,
        documents,
        occasion: &assessed.occasion,
    });
    for finding in &mut findings {
        finding.covered = waivers::of_finding(&assessed.design, finding, &assessed.occasion);
    }
    assessed.findings = findings;
    assessed
}

/// Judges every requirement, and runs no release check.
#[must_use]
pub fn judge_requirements(
    design: Arc<Design>,
    figures: Figures,
    standings: Standings,
    occasion: Occasion,
) -> Assessed {
    let requirements = 0..design.requirements.len();
    let judged = |index| requirement::judge(&design, &figures, &standings, index, &occasion);
    let judged: Vec<Judged> = requirements.map(judged).collect();
    let (findings, variants) = (Vec::new(), Vec::new());
    Assessed { design, figures, standings, judged, findings, occasion, variants }
}
