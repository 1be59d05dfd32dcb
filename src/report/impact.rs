//! What a change does, in the order in which a reviewer reads it.

use serde::Serialize;

use super::asked::{AskedRow, asked};
use super::cautions::{self, Cautions};
use super::findings::{FindingRow, is_misfit};
use super::judged_on::unit_of;
use super::moves::{self, Between, Move, ShareRow, moves};
use super::nearness::{self, NearnessRow};
use super::next::{NextStep, after_change};
use super::place::{Lines, Place};
use super::reached::{self, ResultTurnRow, TouchedRow, VariantTurnRow, found};
use super::shown::{Shown, count};
use crate::compare::{
    Cause, GroundChange, GroundKind, How, Impact, MeshChange, Planned, ResultTurn, VerdictChange,
};
use crate::design::{Design, Held};
use crate::facet::Facet;
use crate::quantity::Unit;
use crate::record::{Id, Step};
use crate::release::{self, Asked};
use crate::verdict::{Assessed, Finding, Verdict};

/// What a change does.
#[derive(Clone, Debug, Serialize)]
pub struct ImpactReport {
    /// All of it in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// The state that it is compared with; `None` where the design is new.
    pub before: Option<Place>,
    /// The changed state.
    pub after: Place,
    /// Requirements whose verdict is another.
    pub verdicts: Vec<VerdictRow>,
    /// What is promised less than before.
    pub loosened: Vec<LoosenedRow>,
    /// Budgets that moved.
    pub budgets: Vec<Move>,
    /// Parts that changed, and what they reach.
    pub parts: Vec<PartRow>,
    /// What parts stand on and none of them says, where it is another.
    pub ground: Vec<GroundRow>,
    /// The version step that it asks for; nothing where it asks for none, or the design is new.
    pub version: Option<AskedRow>,
    /// Parts that no longer go together.
    pub misfits: Vec<FindingRow>,
    /// Results that came, were overtaken, hold again or were set aside.
    pub results: Vec<ResultTurnRow>,
    /// Open items, decisions in force and steps that it touches.
    pub touched: Vec<TouchedRow>,
    /// Variants that came or went, or to which something happens alone.
    pub variants: Vec<VariantTurnRow>,
    /// Further findings of release checks that were not there before.
    pub new_findings: Vec<FindingRow>,
    /// Findings that are gone.
    pub gone_findings: Vec<FindingRow>,
    /// What can hurt about the parts that changed.
    pub cautions: Option<Cautions>,
    /// What to do next, in this order.
    pub next: Vec<NextStep>,
}

/// A part that came, went or changed.
#[derive(Clone, Debug, Serialize)]
pub struct PartRow {
    /// The part.
    pub part: Id,
    /// Whether it came, went or changed.
    pub how: How,
    /// In which facets.
    pub facets: Vec<Facet>,
    /// The same in words.
    #[serde(skip)]
    pub facet_words: Vec<&'static str>,
    /// How near its mesh is to the former one, where its geometry changed and both are known.
    pub near: Option<NearnessRow>,
    /// Whether its geometry may be the same all the same: the content of a file is not at hand.
    pub untold: bool,
    /// Its version before.
    pub version_before: Option<String>,
    /// Its version after.
    pub version_after: Option<String>,
    /// The assemblies that hold it, as paths from the outermost down to it.
    pub reaches: Vec<Vec<Id>>,
    /// Requirements of it or of an assembly that holds it.
    pub requirements: Vec<Id>,
}

/// A rail, a node, a constant, a supplier, a rate or a rule that is another.
#[derive(Clone, Debug, Serialize)]
pub struct GroundRow {
    /// What it is.
    pub kind: GroundKind,
    /// Its name.
    pub id: Id,
    /// Whether it came, went or changed.
    pub how: How,
}

impl GroundRow {
    fn of(change: &GroundChange) -> Self {
        Self { kind: change.kind, id: change.id.clone(), how: change.how }
    }
}

/// A requirement whose verdict is another.
#[derive(Clone, Debug, Serialize)]
pub struct VerdictRow {
    /// The variant in which it is, where it is not so in the design itself.
    pub variant: Option<Id>,
    /// The requirement.
    pub requirement: Id,
    /// Before; `None` where it is new.
    pub before: Option<Verdict>,
    /// After; `None` where it is gone.
    pub after: Option<Verdict>,
    /// What turned it.
    pub cause: Cause,
    /// The same in words, for a requirement that is neither new nor gone.
    pub because: Option<&'static str>,
    /// The parts that turned it, largest share first.
    pub shares: Vec<ShareRow>,
}

/// Something that is promised less than before.
#[derive(Clone, Debug, Serialize)]
pub struct LoosenedRow {
    /// The requirement.
    pub requirement: Id,
    /// What was loosened.
    pub what: &'static str,
    /// As it was written before.
    pub before: String,
    /// As it is now; empty where it is gone.
    pub after: String,
}

/// Where a state was read.
#[derive(Clone)]
pub struct Source<'a> {
    /// Which state it is.
    pub place: Place,
    /// On which line of its files something stands.
    pub lines: Lines<'a>,
}

/// What `change` does, which lies between the two states that were read from `sources`, and what it
/// `asks` of versions.
#[must_use]
pub fn impact(
    change: &Impact,
    between: Between<'_>,
    asks: Option<&Asked>,
    (was, is): (Option<Source<'_>>, Source<'_>),
) -> ImpactReport {
    let Between { before, after } = between;
    let gone = before.zip(was.as_ref());
    let changed = change.parts.iter().filter_map(|part| after.design.part(part.part.as_str()));
    let (misfits, others): (Vec<Finding>, Vec<Finding>) =
        change.new_findings.iter().cloned().partition(is_misfit);
    let mut verdicts = verdict_rows(change, between);
    if matches!(is.place, Place::WhatIf(_)) {
        let told = verdicts.iter_mut().filter_map(|row| row.because.as_mut());
        told.for_each(|because| *because = AS_ASKED);
    }
    let budgets = moves(change, between);
    let touched = reached::touched(change, between);
    let mut report = ImpactReport {
        headline: String::new(),
        design: after.design.name.clone(),
        verdicts,
        loosened: change.loosened.iter().map(loosened_row).collect(),
        variants: reached::variants(change, &budgets, between, (was.as_ref(), &is)),
        budgets,
        parts: change.parts.iter().map(|part| part_row(part, &after.design)).collect(),
        ground: change.ground.iter().map(GroundRow::of).collect(),
        version: asks.and_then(asked),
        misfits: found(&misfits, change, after, &is),
        results: reached::results(change, after),
        new_findings: found(&others, change, after, &is),
        gone_findings: gone
            .map(|(before, was)| reached::gone(change, before, was))
            .unwrap_or_default(),
        cautions: cautions::of_parts_and_steps(&after.design, changed, &steps(&touched, after)),
        touched,
        next: after_change(change, after),
        before: was.map(|was| was.place),
        after: is.place,
    };
    report.headline = headline(&report);
    report
}

/// The steps that are touched and still there.
fn steps<'a>(touched: &[TouchedRow], after: &'a Assessed) -> Vec<&'a Held<Step>> {
    let is_touched = |step: &&Held<Step>| {
        touched.iter().any(|row| row.kind == Planned::Step && row.id == step.id.value)
    };
    after.design.steps.iter().filter(is_touched).collect()
}

/// Verdict changes and moves that are named in the headline.
const NAMED_IN_HEADLINE: usize = 2;

/// `lantern main..opal-glass: 2 parts changed, mass +34 g, carry-mass pass → fail`.
fn headline(report: &ImpactReport) -> String {
    let mut phrases = vec![match report.parts.len() {
        0 => "no part changed".into(),
        number => format!("{} changed", count(number, "part")),
    }];
    let ground = report.ground.iter().take(NAMED_IN_HEADLINE).filter(|_| report.parts.is_empty());
    phrases.extend(ground.map(|row| format!("{} {} {}", row.kind.word(), row.id, row.how.word())));
    phrases.extend(moved_phrases(report));
    let turned = report.verdicts.iter().take(NAMED_IN_HEADLINE);
    phrases.extend(turned.map(|row| format!("{} {}", row.name(), row.turned())));
    if report.verdicts.len() > NAMED_IN_HEADLINE {
        let more = report.verdicts.len() - NAMED_IN_HEADLINE;
        phrases.push(format!("{more} more {}", if more == 1 { "verdict" } else { "verdicts" }));
    }
    phrases.extend(to_repeat(&report.results));
    let is_step = |asked: &&AskedRow| asked.step > release::Step::Patch;
    let due = report.version.as_ref().filter(is_step).and_then(|asked| asked.version.as_ref());
    phrases.extend(due.map(|due| format!("asks for {due} or higher")));
    if !report.loosened.is_empty() {
        phrases.push(format!("{} loosened", count(report.loosened.len(), "promise")));
    }
    let places = match &report.before {
        Some(before) => format!("{} → {}", before.name(), report.after.name()),
        None => format!("{}, new", report.after.phrase()),
    };
    format!("{} {places}: {}", report.design, phrases.join(", "))
}

/// `mass +34 g`; `mass in travel +34 g` where nothing moved in the design itself.
fn moved_phrases(report: &ImpactReport) -> Vec<String> {
    let told = |moves, within: &str| -> Vec<String> {
        let told = moves::told(moves).into_iter().take(NAMED_IN_HEADLINE);
        told.map(|(row, by)| format!("{}{within} {}", row.name, by.text)).collect()
    };
    let itself = told(&report.budgets, "");
    if !itself.is_empty() {
        return itself;
    }
    let variants = report.variants.iter();
    let mut variants =
        variants.map(|variant| told(&variant.budgets, &format!(" in {}", variant.id)));
    variants.find(|told| !told.is_empty()).unwrap_or_default()
}

/// `2 results to repeat (6 h)`.
fn to_repeat(results: &[ResultTurnRow]) -> Option<String> {
    let overtaken = results.iter().filter(|row| row.turn == ResultTurn::Overtaken);
    let overtaken: Vec<&ResultTurnRow> = overtaken.collect();
    let efforts = overtaken.iter().filter_map(|row| row.effort.as_ref());
    let seconds: f64 = efforts.map(|effort| effort.base).sum();
    let hour = Unit::parse("h").unwrap_or_else(|_| Unit::none());
    let or_more = if overtaken.iter().all(|row| row.effort.is_some()) { "" } else { " or more" };
    let effort = Shown::measure(seconds, &hour).text;
    let effort = (seconds > 0.0).then(|| format!(" ({effort}{or_more})"));
    let effort = effort.unwrap_or_default();
    let phrase = || format!("{} to repeat{effort}", count(overtaken.len(), "result"));
    (!overtaken.is_empty()).then(phrase)
}

/// What turned a verdict where nobody made the change: whether the thing is another, or only what is
/// known of it, is not said by a value that was typed.
const AS_ASKED: &str = "because the design was changed as asked";

/// What turned a verdict, in words.
pub(super) fn because(cause: Cause) -> &'static str {
    match cause {
        Cause::Design => "because the design changed",
        Cause::Knowledge => "because more is known",
        Cause::Requirement => "because the requirement or a rule changed",
    }
}

pub(super) fn part_row(change: &crate::compare::PartChange, design: &Design) -> PartRow {
    let version = |version: &Option<semver::Version>| version.as_ref().map(ToString::to_string);
    PartRow {
        part: change.part.clone(),
        how: change.how,
        facets: change.facets.clone(),
        facet_words: change.facets.iter().map(|it| it.word_of(design, &change.part)).collect(),
        near: match &change.mesh {
            Some(MeshChange::Near(near)) => Some(nearness::row(near)),
            Some(MeshChange::Untold) | None => None,
        },
        untold: change.mesh == Some(MeshChange::Untold),
        version_before: version(&change.version.0),
        version_after: version(&change.version.1),
        reaches: change.reaches.clone(),
        requirements: change.requirements.clone(),
    }
}

impl VerdictRow {
    /// The requirement, and the variant in which it is meant: `carry-mass in travel`.
    #[must_use]
    pub fn name(&self) -> String {
        match &self.variant {
            Some(variant) => format!("{} in {variant}", self.requirement),
            None => self.requirement.to_string(),
        }
    }

    /// `pass → fail`, `(new) fail`, `is gone`.
    #[must_use]
    pub fn turned(&self) -> String {
        match (self.before, self.after) {
            (Some(before), Some(after)) => format!("{} → {}", before.word(), after.word()),
            (None, Some(after)) => format!("(new) {}", after.word()),
            (_, None) => "is gone".into(),
        }
    }
}

/// The changed verdicts of the design itself, then those of its variants.
pub(super) fn verdict_rows(change: &Impact, between: Between<'_>) -> Vec<VerdictRow> {
    let rows = |change: &Impact, between: Between<'_>| -> Vec<VerdictRow> {
        change.verdicts.iter().map(|turned| verdict_row(turned, between)).collect()
    };
    let variants = change.variants.iter();
    let of_variants = variants.flat_map(|(id, change)| rows(change, between.of_variant(Some(id))));
    rows(change, between).into_iter().chain(of_variants).collect()
}

/// A changed verdict as a row.
pub(super) fn verdict_row(change: &VerdictChange, between: Between<'_>) -> VerdictRow {
    let mut states = [Some(between.after), between.before].into_iter().flatten();
    let judged = states.find_map(|assessed| {
        let mut judged = assessed.judged.iter();
        let judged = judged.find(|judged| judged.requirement == change.requirement)?;
        let requirement = &assessed.design.requirements[judged.index];
        Some((unit_of(&assessed.design, requirement, judged), judged.expanded_u))
    });
    let (unit, expanded_u) = judged.unwrap_or_else(|| (Unit::none(), 0.0));
    VerdictRow {
        variant: between.after.design.variant.clone(),
        requirement: change.requirement.clone(),
        before: change.before,
        after: change.after,
        cause: change.cause,
        because: change.before.and(change.after).map(|_| because(change.cause)),
        shares: moves::shares(&change.shares, expanded_u, &unit),
    }
}

pub(super) fn loosened_row(loosened: &crate::compare::Loosened) -> LoosenedRow {
    LoosenedRow {
        requirement: loosened.requirement.clone(),
        what: loosened.what,
        before: loosened.before.clone(),
        after: loosened.after.clone(),
    }
}
