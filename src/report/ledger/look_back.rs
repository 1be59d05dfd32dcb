//! What the history says to a checklist, and to a figure.

use serde::Serialize;

use super::followed::{MomentRow, moment_row};
use super::row::{BudgetMove, DecidedRow, RevisionRow, budget, decision, revision};
use crate::facet::Facet;
use crate::history::{Ledger, Told};
use crate::record::Id;
use crate::release::{Lapse, LookBack, Origin};

/// What the history says to a checklist.
#[derive(Clone, Debug, Serialize)]
pub struct LookBackReport {
    /// Requirements that are in the way: when they last held, and who moved them since.
    pub lapses: Vec<LapseRow>,
    /// The tag of the last release.
    pub last_release: Option<String>,
    /// Budgets that moved since.
    pub since_release: Vec<BudgetMove>,
    /// What should be known besides.
    pub remarks: Vec<String>,
}

impl LookBackReport {
    /// Nothing is known, for the reason `why`.
    #[must_use]
    pub fn unknown(why: &str) -> Self {
        let remarks = vec![format!("the history cannot be read here: {why}")];
        Self { lapses: Vec::new(), last_release: None, since_release: Vec::new(), remarks }
    }
}

/// A requirement that is in the way.
#[derive(Clone, Debug, Serialize)]
pub struct LapseRow {
    /// The requirement.
    pub requirement: Id,
    /// The revision at which it last held; nothing where it never did.
    pub last_held: Option<RevisionRow>,
    /// The revisions that moved it since, those that came first in front.
    pub moments: Vec<MomentRow>,
}

/// Through which revision something is what it is.
#[derive(Clone, Debug, Serialize)]
pub struct OriginRow {
    /// What the revision did to a figure or a requirement.
    pub moved: Option<MomentRow>,
    /// The revision that changed a part last.
    pub changed: Option<RevisionRow>,
    /// In which facets it did.
    pub facets: Vec<Facet>,
    /// The same in words.
    #[serde(skip)]
    pub facet_words: Vec<String>,
    /// Decisions about the part.
    pub decided: Vec<DecidedRow>,
}

/// What the `ledger` says to a checklist.
#[must_use]
pub fn look_back(ledger: &Ledger, back: &LookBack) -> LookBackReport {
    let since = back.since.as_ref();
    LookBackReport {
        lapses: back.lapses.iter().map(|lapse| lapse_row(ledger, lapse)).collect(),
        last_release: since.map(|since| since.tag.clone()),
        since_release: since.map(|it| it.moved.iter().map(budget).collect()).unwrap_or_default(),
        remarks: super::remarks(ledger.is_cut_off),
    }
}

fn lapse_row(ledger: &Ledger, lapse: &Lapse) -> LapseRow {
    let moments = lapse.moments.iter();
    LapseRow {
        requirement: lapse.requirement.clone(),
        last_held: lapse.last_held.map(|row| revision(&ledger.rows[row].revision)),
        moments: moments.map(|moment| moment_row(&ledger.rows[moment.row], moment)).collect(),
    }
}

/// Through which revision `part` or whatever else was asked for is what it is.
#[must_use]
pub fn origin(ledger: &Ledger, name: &str, origin: &Origin<'_>) -> OriginRow {
    let empty = OriginRow {
        moved: None,
        changed: None,
        facets: Vec::new(),
        facet_words: Vec::new(),
        decided: Vec::new(),
    };
    match origin {
        Origin::Moved(moment) => {
            OriginRow { moved: Some(moment_row(&ledger.rows[moment.row], moment)), ..empty }
        }
        Origin::Changed(row, decided) => {
            let part = match &row.told {
                Told::Entry(entry) => entry.parts.iter().find(|it| it.part.as_str() == name),
                Told::Unreadable { .. } | Told::Gone => None,
            };
            OriginRow {
                changed: Some(revision(&row.revision)),
                facets: part.map(|part| part.facets.clone()).unwrap_or_default(),
                facet_words: part.map(|part| part.facet_words.clone()).unwrap_or_default(),
                decided: decided.iter().map(|it| decision(it)).collect(),
                ..empty
            }
        }
    }
}
