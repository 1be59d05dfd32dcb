//! The version step that a change asks for.

use semver::Version;
use serde::Serialize;

use super::proposal::{ReasonRow, reason_row, why_broken};
use super::shown::some_of;
use crate::facet::Facet;
use crate::record::Id;
use crate::release::{Asked, PartDue, Proposal, Step, Unfit, WhyDue};

/// The version step that a change asks for.
#[derive(Clone, Debug, Serialize)]
pub struct AskedRow {
    /// All of it in one line.
    pub headline: String,
    /// The step that the change alone asks for; before 1.0.0 a major one is a break that a minor step
    /// will do for.
    pub step: Step,
    /// The last release before the change; nothing where there is none.
    pub last: Option<String>,
    /// The lowest version that will do, with all that came since the last release.
    pub version: Option<String>,
    /// The version that is being prepared.
    pub next: String,
    /// Why that will not do, if it won't.
    pub unfit: Option<Unfit>,
    /// Why the change asks for its step: the largest steps first.
    pub reasons: Vec<ReasonRow>,
    /// Parts whose own versions are lower than the change asks for.
    pub parts: Vec<PartDueRow>,
}

/// A part whose version is to be raised further.
#[derive(Clone, Debug, Serialize)]
pub struct PartDueRow {
    /// The part.
    pub part: Id,
    /// The step that the change asks for.
    pub step: Step,
    /// Its version before.
    pub was: String,
    /// Its version now.
    pub is: String,
    /// The lowest version that will do.
    pub due: String,
    /// Why, in words.
    pub because: String,
}

/// What a change asks of versions; nothing where it asks for none.
pub(super) fn asked(asked: &Asked) -> Option<AskedRow> {
    if asked.reasons.is_empty() && asked.parts.is_empty() {
        return None;
    }
    let due = asked.due.as_ref();
    let unfit = due.and_then(|due| due.unfit(&asked.next));
    Some(AskedRow {
        headline: headline(asked, unfit),
        step: asked.step,
        last: due.map(|due| due.last.to_string()),
        version: due.map(|due| due.version.to_string()),
        next: asked.next.to_string(),
        unfit,
        reasons: asked.reasons.iter().map(|(step, reason)| reason_row(*step, reason)).collect(),
        parts: asked.parts.iter().map(part).collect(),
    })
}

/// `a break: 0.9.0 → 0.10.0 or higher; 1.0.0, which is being prepared, will do`.
fn headline(asked: &Asked, unfit: Option<Unfit>) -> String {
    let step = match asked.step {
        Step::Major => "a break",
        Step::Minor => "a minor step",
        Step::Patch => "a patch step",
    };
    let next = &asked.next;
    let Some(due) = &asked.due else {
        return format!("{step}: nothing was released before, so that {next} will do");
    };
    let Proposal { last, version, .. } = due;
    let from = match due.step > asked.step {
        true => format!("; all that came since {last} asks for {version} or higher"),
        false => format!(": {last} → {version} or higher"),
    };
    let verdict = match unfit {
        None => "will do".to_owned(),
        Some(Unfit::NotAbove) => format!("is not above {last}"),
        Some(Unfit::TooSmall) => "is too low".to_owned(),
    };
    format!("{step}{from}; {next}, which is being prepared, {verdict}")
}

fn part(due: &PartDue) -> PartDueRow {
    let PartDue { part, step, was, is, due, why } = due;
    let text = |version: &Version| version.to_string();
    PartDueRow {
        part: part.clone(),
        step: *step,
        was: text(was),
        is: text(is),
        due: text(due),
        because: because(why),
    }
}

fn because(why: &WhyDue) -> String {
    match why {
        WhyDue::Break(reason) => why_broken(reason),
        WhyDue::Holds(part) => format!("holds {part}, which is no longer interchangeable"),
        WhyDue::Revised(part) => {
            format!("holds {part}, which is no longer interchangeable, and makes good for it")
        }
        WhyDue::Changed(facets) => {
            let facets = facets.iter().copied().map(Facet::word);
            format!("changed: {}", some_of(facets, Facet::PHYSICAL.len()))
        }
    }
}

impl PartDueRow {
    /// `from 1.0.1 to 2.0.0 or higher (1.0.0 before)`.
    #[must_use]
    pub fn versions(&self) -> String {
        let Self { was, is, due, .. } = self;
        let before = if is == was { String::new() } else { format!(" ({was} before)") };
        format!("from {is} to {due} or higher{before}")
    }
}
