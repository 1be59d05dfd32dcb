//! What a change reaches besides figures and verdicts: results, plans, variants.

use serde::Serialize;

use super::evidence::{ChangedRow, changed, changed_row, told};
use super::findings::{self, FindingRow};
use super::impact::{PartRow, Source, part_row};
use super::moves::{Between, Move, moves};
use super::shown::Shown;
use crate::compare::{How, Impact, Planned, ResultChange, ResultTurn, Touch, Touched};
use crate::design::{Design, Held};
use crate::diagnostic::At;
use crate::record::{Decision, Id, Item, Step};
use crate::verdict::{Assessed, Finding};

/// A result that came or went, or whose standing is another.
#[derive(Clone, Debug, Serialize)]
pub struct ResultTurnRow {
    /// The variant that it was won on, where it was one.
    pub variant: Option<Id>,
    /// The result.
    pub evidence: Id,
    /// What became of it.
    pub turn: ResultTurn,
    /// The requirements that it speaks to.
    pub requirements: Vec<Id>,
    /// The parts that are not what they were on the bench.
    pub changed: Vec<ChangedRow>,
    /// The same in words.
    pub because: Option<String>,
    /// What it takes to repeat it, where its record says.
    pub effort: Option<Shown>,
}

/// An open item, a decision in force or a step that a change touches.
#[derive(Clone, Debug, Serialize)]
pub struct TouchedRow {
    /// What it is.
    pub kind: Planned,
    /// Its name.
    pub id: Id,
    /// What people call it.
    pub title: Option<String>,
    /// In which way it is touched.
    pub touch: Touch,
    /// The changed parts that it is about.
    pub parts: Vec<Id>,
}

/// A variant to which something happens that does not happen to the design itself.
#[derive(Clone, Debug, Serialize)]
pub struct VariantTurnRow {
    /// The variant.
    pub id: Id,
    /// Whether it came, went, or is there in both states.
    pub how: How,
    /// Parts that changed in it alone, or otherwise.
    pub parts: Vec<PartRow>,
    /// Budgets that moved in it alone, or otherwise.
    pub budgets: Vec<Move>,
    /// Findings that are new in it alone.
    pub new_findings: Vec<FindingRow>,
    /// Findings that are gone in it alone.
    pub gone_findings: Vec<FindingRow>,
}

/// The results of the design itself, then those won on variants.
pub(super) fn results(change: &Impact, after: &Assessed) -> Vec<ResultTurnRow> {
    let rows = |change: &Impact, of: &Assessed| -> Vec<ResultTurnRow> {
        change.results.iter().map(|turned| result(turned, of)).collect()
    };
    let variants = change.variants.iter();
    let variants = variants.filter_map(|(id, change)| Some((change, after.variant(id.as_str())?)));
    let of_variants = variants.flat_map(|(change, variant)| rows(change, variant));
    rows(change, after).into_iter().chain(of_variants).collect()
}

fn result(turned: &ResultChange, of: &Assessed) -> ResultTurnRow {
    let mut results = of.standings.results(&of.design);
    let found = results.find(|(_, evidence, _)| evidence.id.value == turned.evidence);
    let changed = found.map(|(.., stands)| changed(&stands.standing)).unwrap_or_default();
    let effort = found.and_then(|(_, evidence, _)| evidence.effort.as_ref());
    ResultTurnRow {
        variant: of.design.variant.clone(),
        evidence: turned.evidence.clone(),
        turn: turned.turn,
        requirements: turned.requirements.clone(),
        because: (!changed.is_empty()).then(|| told(&of.design, changed)),
        changed: changed.iter().map(changed_row).collect(),
        effort: effort.map(|effort| Shown::measure(effort.measure.base, &effort.measure.unit)),
    }
}

/// Items, decisions and steps in the order in which they were compared.
pub(super) fn touched(change: &Impact, between: Between<'_>) -> Vec<TouchedRow> {
    let row = |touched: &Touched| {
        let states = [Some(between.after), between.before];
        let mut states = states.into_iter().flatten();
        TouchedRow {
            kind: touched.kind,
            id: touched.id.clone(),
            title: states.find_map(|of| title(&of.design, touched.kind, &touched.id)),
            touch: touched.touch,
            parts: touched.parts.clone(),
        }
    };
    change.touched.iter().map(row).collect()
}

fn title(design: &Design, kind: Planned, id: &Id) -> Option<String> {
    fn of<T>(
        records: &[Held<T>],
        id: &Id,
        named: impl Fn(&T) -> (&At<Id>, Option<&At<String>>),
    ) -> Option<String> {
        let mut named = records.iter().map(|held| named(&held.record));
        let (_, title) = named.find(|(known, _)| known.value == *id)?;
        title.map(|title| title.value.clone())
    }
    match kind {
        Planned::Item => of(&design.items, id, |item: &Item| (&item.id, item.title.as_ref())),
        Planned::Decision => {
            of(&design.decisions, id, |taken: &Decision| (&taken.id, taken.title.as_ref()))
        }
        Planned::Step => of(&design.steps, id, |step: &Step| (&step.id, step.title.as_ref())),
    }
}

/// Variants that came or went, and those to which something happens alone; in the order of ids.
/// `itself` are the moves of the design.
pub(super) fn variants(
    change: &Impact,
    itself: &[Move],
    between: Between<'_>,
    (before, after): (Option<&Source<'_>>, &Source<'_>),
) -> Vec<VariantTurnRow> {
    let row = |id: &Id, how, change: &Impact| {
        let states = between.of_variant(Some(id));
        let was = states.before.zip(before);
        let gone = was.map(|(was, source)| self::gone(change, was, source));
        VariantTurnRow {
            id: id.clone(),
            how,
            parts: change.parts.iter().map(|part| part_row(part, &states.after.design)).collect(),
            // Of a new variant all budgets are new, as all else that is not told.
            budgets: match how {
                How::Changed => moved_alone(moves(change, states), itself),
                How::Added | How::Removed => Vec::new(),
            },
            new_findings: found(&change.new_findings, change, states.after, after),
            gone_findings: gone.unwrap_or_default(),
        }
    };
    let there = change.variants.iter().map(|(id, within)| {
        let how = if change.new_variants.contains(id) { How::Added } else { How::Changed };
        row(id, how, within)
    });
    let gone = change.gone_variants.iter().map(|id| row(id, How::Removed, &Impact::default()));
    let mut rows: Vec<VariantTurnRow> = there.chain(gone).filter(VariantTurnRow::is_told).collect();
    rows.sort_by(|one, other| one.id.cmp(&other.id));
    rows
}

/// The moves that the design itself does not make by the same difference.
fn moved_alone(mut moves: Vec<Move>, itself: &[Move]) -> Vec<Move> {
    let by = |row: &Move| row.difference.as_ref().map(|by| by.text.clone());
    moves.retain(|row| {
        let known = itself.iter().find(|known| known.name == row.name);
        known.is_none_or(|known| by(known) != by(row))
    });
    moves
}

impl VariantTurnRow {
    fn is_told(&self) -> bool {
        let is_there_in_both = self.how == How::Changed;
        !is_there_in_both || !self.budgets.is_empty() || self.says_more_than_budgets()
    }

    /// Whether parts or findings are others in it alone.
    #[must_use]
    pub fn says_more_than_budgets(&self) -> bool {
        let Self { parts, new_findings, gone_findings, .. } = self;
        !(parts.is_empty() && new_findings.is_empty() && gone_findings.is_empty())
    }
}

/// The findings of one build that neither the verdict on a requirement nor what became of a result
/// tells.
pub(super) fn found(
    findings: &[Finding],
    change: &Impact,
    of: &Assessed,
    source: &Source<'_>,
) -> Vec<FindingRow> {
    let is_told = |found: &&Finding| {
        let result = findings::result_of(of, found);
        let mut turned = change.results.iter();
        result.is_some_and(|result| turned.any(|turned| turned.evidence == *result))
            || findings::is_of_requirement(of, found)
    };
    let findings = findings.iter().filter(|found| !is_told(found));
    findings.map(|finding| findings::row(&of.design, finding, source.lines)).collect()
}

/// The findings of one build that are gone; of results it is told what took their place.
pub(super) fn gone(change: &Impact, of: &Assessed, source: &Source<'_>) -> Vec<FindingRow> {
    let findings = change.gone_findings.iter();
    let findings = findings.filter(|found| findings::result_of(of, found).is_none());
    findings.map(|finding| findings::row(&of.design, finding, source.lines)).collect()
}
