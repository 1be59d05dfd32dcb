//! Which version a release needs, part by part.

use semver::Version;
use serde::Serialize;

use super::shown::{as_text, count, less, some_of};
use crate::facet::Facet;
use crate::interchange::{self, Break};
use crate::record::Id;
use crate::release::{Proposal, Reason, Step, Unfit};

/// Which version is due, and why.
#[derive(Clone, Debug, Serialize)]
pub struct ProposalReport {
    /// All of it in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// The last release.
    #[serde(serialize_with = "as_text")]
    pub last: Version,
    /// The step that the reasons ask for; before 1.0.0 a major one is a break that a minor step will do
    /// for.
    pub step: Step,
    /// The lowest version that they allow.
    #[serde(serialize_with = "as_text")]
    pub version: Version,
    /// The version that was asked about.
    pub asked: Option<String>,
    /// Why that will not do, if it won't.
    pub unfit: Option<Unfit>,
    /// Every reason: the largest steps first.
    pub reasons: Vec<ReasonRow>,
}

/// One reason for a step.
#[derive(Clone, Debug, Serialize)]
pub struct ReasonRow {
    /// The step that it asks for.
    pub step: Step,
    /// The part, requirement or variant.
    pub about: Id,
    /// Why, in words.
    pub text: String,
    /// The assemblies that a break breaks in turn, nearest first.
    pub breaks: Vec<Id>,
    /// The assemblies at which it ends.
    pub ends_at: Vec<Id>,
}

/// The proposal for `design`, and whether the version `asked` about will do.
#[must_use]
pub fn proposal(design: &Id, proposal: &Proposal, asked: Option<&Version>) -> ProposalReport {
    let unfit = asked.and_then(|asked| proposal.unfit(asked));
    ProposalReport {
        headline: headline(design, proposal, asked, unfit),
        design: design.clone(),
        last: proposal.last.clone(),
        step: proposal.step,
        version: proposal.version.clone(),
        asked: asked.map(ToString::to_string),
        unfit,
        reasons: proposal.reasons.iter().map(|(step, reason)| reason_row(*step, reason)).collect(),
    }
}

fn headline(
    design: &Id,
    proposal: &Proposal,
    asked: Option<&Version>,
    unfit: Option<Unfit>,
) -> String {
    let breaks = proposal.reasons.iter().filter(|(step, _)| *step == Step::Major).count();
    let others = proposal.reasons.len() - breaks;
    let reasons = match (breaks, others) {
        (0, 0) => "nothing that counts is another".to_owned(),
        (0, others) => count(others, "reason"),
        (breaks, 0) => count(breaks, "break"),
        (breaks, others) => format!("{} and {}", count(breaks, "break"), count(others, "reason")),
    };
    let Proposal { last, version, .. } = proposal;
    let verdict = match (asked, unfit) {
        (None, _) => String::new(),
        (Some(asked), None) => format!("; {asked} will do"),
        (Some(asked), Some(Unfit::NotAbove)) => format!("; {asked} is not above {last}"),
        (Some(asked), Some(Unfit::TooSmall)) => format!("; {asked} is too low"),
    };
    format!("{design} after {last}: {version} or higher, {reasons}{verdict}")
}

/// A reason as a row.
pub(super) fn reason_row(step: Step, reason: &Reason) -> ReasonRow {
    let plain = |about: &Id, text: String| ReasonRow {
        step,
        about: about.clone(),
        text,
        breaks: Vec::new(),
        ends_at: Vec::new(),
    };
    match reason {
        Reason::Break(found) => ReasonRow {
            step,
            about: found.part.clone(),
            text: of_break(found),
            breaks: found.breaks.clone(),
            ends_at: found.ends_at.clone(),
        },
        Reason::Loosened(found) => {
            let after = if found.after.is_empty() { "nothing" } else { &found.after };
            let less = less(found.what, &found.before, after);
            plain(&found.requirement, format!("a must-have promises less: {less}"))
        }
        Reason::Added { part, replaces: None } => plain(part, "came".to_owned()),
        Reason::Added { part, replaces: Some(old) } => {
            plain(part, format!("came in place of {old}"))
        }
        Reason::Better { part, was, is } => {
            plain(part, format!("{was} → {is}, interchangeable by its version"))
        }
        Reason::Promised(id) => plain(id, "is promised".to_owned()),
        Reason::Variant(id) => plain(id, "is another build to choose".to_owned()),
        Reason::Changed { part, facets } => {
            let facets = some_of(facets.iter().copied().map(Facet::word), Facet::PHYSICAL.len());
            plain(part, format!("changed: {facets}"))
        }
    }
}

/// `1.2.0 → 2.0.0: no longer interchangeable`, `fits hinge ^2, and no longer 1.4.0`.
pub(super) fn why_broken(reason: &interchange::Reason) -> String {
    match reason {
        interchange::Reason::Major { was, is } => {
            format!("{was} → {is}: no longer interchangeable")
        }
        interchange::Reason::Removed { by: None } => "was taken out".to_owned(),
        interchange::Reason::Removed { by: Some(by) } => format!("was replaced by {by}"),
        interchange::Reason::Fits { neighbour, range, was } => {
            format!("fits {neighbour} {range}, and no longer {was}")
        }
        interchange::Reason::Taken { assembly, range, was } => {
            format!("{assembly} takes {range} of it, and no longer {was}")
        }
    }
}

/// `1.2.0 → 2.0.0: no longer interchangeable, nor is gate-unit; the product keeps …`.
pub(super) fn of_break(found: &Break) -> String {
    let why = why_broken(&found.reason);
    let breaks = match found.breaks.as_slice() {
        [] => String::new(),
        broken => format!("; breaks {}", some_of(broken, 4)),
    };
    let ends = match found.ends_at.as_slice() {
        [] => String::new(),
        ends => format!("; ends at {}, interchangeable as a whole", some_of(ends, 4)),
    };
    format!("{why}{breaks}{ends}")
}
