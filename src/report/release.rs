//! A release: whether it can be made, its notes, and its record.

use semver::Version;
use serde::Serialize;

use super::cautions::{self, Cautions};
use super::checklist::Checklist;
use super::impact::{LoosenedRow, PartRow, VerdictRow, loosened_row, part_row};
use super::items::ClosedItemRow;
use super::ledger::{self, RevisionRow};
use super::moves::{self, Between, Move};
use super::place::Place;
use super::proposal::ProposalReport;
use super::requirements::RequirementRow;
use super::shortcomings::{ShortcomingRow, shortcomings};
use super::shown::as_text;
use super::upgrade::{self, UpgradeReport};
use crate::compare::{self, How};
use crate::design::{Design, Held};
use crate::facet::Facet;
use crate::history::{Brought, Row, Turn};
use crate::record::{Decision, Id, Item};
use crate::release::{self, Proposal, Record, record_of};
use crate::verdict::Assessed;

/// A release, to be made or refused.
#[derive(Clone, Debug, Serialize)]
pub struct ReleaseReport {
    /// Whether it can be made, in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// The release.
    #[serde(serialize_with = "as_text")]
    pub release: Version,
    /// Its tag.
    pub tag: String,
    /// The revision that is released.
    pub place: Place,
    /// Why it cannot be made; nothing where it can.
    pub refused: Vec<String>,
    /// Whether the tag was written.
    pub tagged: bool,
    /// How much of it a screen shows.
    #[serde(skip)]
    pub extent: Extent,
    /// The checklist.
    pub checklist: Checklist,
    /// Which version is due; nothing where it is the first release.
    pub proposal: Option<ProposalReport>,
    /// What is said of it.
    pub notes: Notes,
    /// What its tag says for programs.
    pub record: Record,
}

/// How much of a release a screen shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Extent {
    /// Why it is refused.
    Standing,
    /// The notes too.
    Notes,
    /// The record too.
    Everything,
}

/// What is said of a release.
#[derive(Clone, Debug, Serialize)]
pub struct Notes {
    /// What people call the design.
    pub title: Option<String>,
    /// The release before it.
    pub since: Option<String>,
    /// How its requirements stand.
    pub requirements: Vec<RequirementRow>,
    /// Budgets that moved since.
    pub budgets: Vec<Move>,
    /// Parts that came, went or changed since in what they are or mate with.
    pub parts: Vec<PartRow>,
    /// What is promised less than before.
    pub loosened: Vec<LoosenedRow>,
    /// Decisions taken since.
    pub decisions: Vec<DecisionRow>,
    /// Verdicts that turned since, revision by revision.
    pub turned: Vec<TurnedRow>,
    /// Items closed since.
    pub closed: Vec<ClosedItemRow>,
    /// What somebody does who has built the release before.
    pub upgrade: Option<UpgradeReport>,
    /// What it is known not to do.
    pub shortcomings: Vec<ShortcomingRow>,
    /// What can hurt.
    pub cautions: Option<Cautions>,
}

/// A decision.
#[derive(Clone, Debug, Serialize)]
pub struct DecisionRow {
    /// The decision.
    pub id: Id,
    /// What was decided.
    pub title: Option<String>,
    /// Why.
    pub why: Option<String>,
    /// The day.
    pub on: Option<String>,
    /// The revision that brought it, where the history says so.
    pub by: Option<RevisionRow>,
}

/// A verdict that turned.
#[derive(Clone, Debug, Serialize)]
pub struct TurnedRow {
    /// The revision that turned it.
    pub by: RevisionRow,
    /// From what to what, and through which parts.
    #[serde(flatten)]
    pub verdict: VerdictRow,
}

/// The last release with what leads from there.
#[derive(Clone, Copy, Debug)]
pub struct Since<'a> {
    /// The last release, judged for the same occasion.
    pub before: &'a Assessed,
    /// The version that the changes call for.
    pub proposal: &'a Proposal,
}

/// The release of what was judged, with its `checklist`, after another one, and what the history
/// `brought` since; `refused` are reasons that lie outside of the design.
#[must_use]
pub fn release(
    after: &Assessed,
    checklist: Checklist,
    since: Option<Since<'_>>,
    brought: &Brought<'_>,
    mut refused: Vec<String>,
) -> ReleaseReport {
    let design = &after.design;
    let asked = &after.occasion.release;
    let proposal = since.map(|since| super::proposal(&design.name, since.proposal, Some(asked)));
    if let Some(due) = &checklist.version {
        refused.insert(0, due.headline.clone());
    }
    if !checklist.ready {
        refused.insert(0, checklist.headline.clone());
    }
    let tag = design.manifest.design.tag_of(asked);
    let mut report = ReleaseReport {
        headline: String::new(),
        design: design.name.clone(),
        release: asked.clone(),
        tag,
        place: checklist.place.clone(),
        tagged: false,
        extent: if refused.is_empty() { Extent::Notes } else { Extent::Standing },
        refused,
        notes: notes(after, &checklist, since, brought),
        checklist,
        proposal,
        record: record_of(after),
    };
    report.headline = report.standing();
    report
}

impl ReleaseReport {
    /// The same with all there is, whether it is refused or not.
    #[must_use]
    pub fn in_full(self) -> Self {
        Self { extent: Extent::Everything, ..self }
    }

    /// The same, once its tag is written.
    #[must_use]
    pub fn and_tagged(mut self) -> Self {
        self.tagged = true;
        self.headline = self.standing();
        self
    }

    fn standing(&self) -> String {
        let Self { design, release, tag, .. } = self;
        let place = self.place.phrase();
        match (self.refused.is_empty(), self.tagged) {
            (false, _) => format!("{design} {release} {place}: not released"),
            (true, false) => format!("{design} {release} {place}: can be released as {tag}"),
            (true, true) => format!("{design} {release} {place}: released as {tag}"),
        }
    }
}

fn notes(
    after: &Assessed,
    checklist: &Checklist,
    since: Option<Since<'_>>,
    brought: &Brought<'_>,
) -> Notes {
    let design = &after.design;
    let was = since.map(|since| &*since.before.design);
    let title = design.manifest.design.title.as_ref();
    let between = Between { before: since.map(|since| since.before), after };
    let change = since.map(|since| compare::impact(Some(since.before), after));
    let change = change.unwrap_or_default();
    let parts = change.parts.iter().map(|part| part_row(part, design));
    Notes {
        title: title.map(|title| title.value.clone()),
        since: since.map(|since| since.proposal.last.to_string()),
        requirements: checklist.requirements.clone(),
        budgets: moves::moves(&change, between).into_iter().filter(moved).collect(),
        parts: parts.filter(is_another).collect(),
        loosened: change.loosened.iter().map(loosened_row).collect(),
        decisions: decisions(was, design, brought),
        turned: brought.turned.iter().map(turned).collect(),
        closed: closed(was, design),
        upgrade: since.map(|since| way(since, after)),
        shortcomings: shortcomings(after, checklist),
        cautions: cautions::of_design(design),
    }
}

/// Whether a budget is another, and not only better known.
fn moved(row: &Move) -> bool {
    row.difference.as_ref().is_none_or(|by| by.base != 0.0)
}

/// Whether a part came, went, or changed in what it is or mates with.
fn is_another(row: &PartRow) -> bool {
    let counts = |facet: &Facet| facet.is_physical() || *facet == Facet::Interface;
    row.how != How::Changed || row.facets.iter().any(counts)
}

fn way(since: Since<'_>, after: &Assessed) -> UpgradeReport {
    let (was, is) = (&since.before.design, &after.design);
    let (from, to) = (since.proposal.last.to_string(), after.occasion.release.to_string());
    upgrade::upgrade(was, is, &release::upgrade(was, is), (&from, &to))
}

fn turned((row, turn): &(&Row, &Turn)) -> TurnedRow {
    TurnedRow { by: ledger::revision(&row.revision), verdict: ledger::turn(turn) }
}

/// Decisions that were not there before, by day.
fn decisions(was: Option<&Design>, is: &Design, brought: &Brought<'_>) -> Vec<DecisionRow> {
    let is_new = |held: &&Held<Decision>| {
        was.is_none_or(|was| was.decisions.iter().all(|old| old.id.value != held.id.value))
    };
    let mut new: Vec<&Held<Decision>> = is.decisions.iter().filter(is_new).collect();
    new.sort_by_key(|held| held.on.as_ref().map(|on| on.value));
    let by = |id: &Id| {
        let (row, _) = brought.decided.iter().rfind(|(_, decided)| decided.id == *id)?;
        Some(ledger::revision(&row.revision))
    };
    let row = |held: &Held<Decision>| DecisionRow {
        id: held.id.value.clone(),
        title: held.title.as_ref().map(|title| title.value.clone()),
        why: held.why.as_ref().map(|why| why.value.clone()),
        on: held.on.as_ref().map(|on| on.value.to_string()),
        by: by(&held.id.value),
    };
    new.into_iter().map(row).collect()
}

/// Items that are closed and were not before.
fn closed(was: Option<&Design>, is: &Design) -> Vec<ClosedItemRow> {
    let was_closed = |id: &Id| {
        let before = was.into_iter().flat_map(|was| &was.items);
        before.filter(|old| old.closed.is_some()).any(|old| old.id.value == *id)
    };
    let is_new = |held: &&Held<Item>| held.closed.is_some() && !was_closed(&held.id.value);
    is.items.iter().filter(is_new).map(|item| super::items::closed_row(item)).collect()
}
