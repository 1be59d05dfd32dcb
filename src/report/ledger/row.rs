//! One revision as a row.

use rust_decimal::Decimal;
use serde::Serialize;

use super::super::impact::{VerdictRow, because};
use super::super::moves::{self, ShareRow};
use super::super::shown::{Shown, known_to};
use crate::compare::How;
use crate::facet::Facet;
use crate::history::{
    Decided, Entry, Figure, Less, PartTouched, Revision, Row, Titled, Told, Turn, Value,
};
use crate::quantity::Unit;
use crate::record::Id;

/// A revision by name.
#[derive(Clone, Debug, Serialize)]
pub struct RevisionRow {
    /// The beginning of its id.
    pub revision: String,
    /// All of its id.
    pub id: String,
    /// The day on which it was committed, in UTC.
    pub date: String,
    /// Its author.
    pub author: String,
    /// The first line of its message.
    pub subject: String,
    /// Whether it brings histories together.
    pub is_merge: bool,
}

/// A revision that touched the design.
#[derive(Clone, Debug, Serialize)]
pub struct LedgerRow {
    /// Which.
    #[serde(flatten)]
    pub revision: RevisionRow,
    /// Whether the design can be read there.
    pub readable: bool,
    /// Why it cannot.
    pub unreadable: Option<String>,
    /// The release that is prepared.
    pub release: Option<String>,
    /// Parts that came, went or changed.
    pub parts: Vec<ChangedPartRow>,
    /// Every budget and every computed figure that is judged, moved or not.
    pub budgets: Vec<BudgetMove>,
    /// Verdicts that turned.
    pub verdicts: Vec<VerdictRow>,
    /// What is promised less than before.
    pub loosened: Vec<Less>,
    /// Items that were opened.
    pub opened: Vec<TitledRow>,
    /// Items that were closed.
    pub closed: Vec<TitledRow>,
    /// Decisions that were written down.
    pub decided: Vec<DecidedRow>,
}

/// A part that came, went or changed.
#[derive(Clone, Debug, Serialize)]
pub struct ChangedPartRow {
    /// The part.
    pub part: Id,
    /// Whether it came, went or changed.
    pub how: How,
    /// In which facets.
    pub facets: Vec<Facet>,
    /// The same in words.
    #[serde(skip)]
    pub facet_words: Vec<String>,
}

/// A figure as it is, and how it moved.
#[derive(Clone, Debug, Serialize)]
pub struct BudgetMove {
    /// What it is called: `mass`, `mass of film-gate`, `cost (10 builds)`.
    pub name: String,
    /// The part, or the rail.
    pub part: Id,
    /// The quantity.
    pub quantity: Id,
    /// Number of builds in the order that a cost is meant of.
    pub builds: u64,
    /// The sum of the figures; nothing where it is gone.
    pub basic: Option<Shown>,
    /// The same with the growth allowance.
    pub predicted: Option<Shown>,
    /// Predicted before; nothing where it is new.
    pub before: Option<Shown>,
    /// Predicted after less before, with its sign.
    pub difference: Option<Shown>,
    /// The parts' shares of the difference, largest first.
    pub shares: Vec<ShareRow>,
}

/// An item.
#[derive(Clone, Debug, Serialize)]
pub struct TitledRow {
    /// Its id.
    pub id: Id,
    /// Its title.
    pub title: Option<String>,
}

/// A decision.
#[derive(Clone, Debug, Serialize)]
pub struct DecidedRow {
    /// Its id.
    pub id: Id,
    /// Its title.
    pub title: Option<String>,
    /// The parts that it is about.
    pub parts: Vec<Id>,
}

/// The row of the ledger as it is read.
#[must_use]
pub fn ledger_row(row: &Row) -> LedgerRow {
    let empty = Entry::default();
    let (entry, unreadable) = match &row.told {
        Told::Entry(entry) => (&**entry, None),
        Told::Unreadable { errors, first } => (&empty, Some(errors_in_words(*errors, first))),
        Told::Gone => (&empty, Some("its manifest is gone".to_owned())),
    };
    LedgerRow {
        revision: revision(&row.revision),
        readable: unreadable.is_none(),
        release: unreadable.is_none().then(|| entry.release.clone()),
        unreadable,
        parts: entry.parts.iter().map(touched).collect(),
        budgets: entry.figures.iter().map(budget).collect(),
        verdicts: entry.turns.iter().map(turn).collect(),
        loosened: entry.loosened.clone(),
        opened: entry.opened.iter().map(titled).collect(),
        closed: entry.closed.iter().map(titled).collect(),
        decided: entry.decided.iter().map(decision).collect(),
    }
}

fn errors_in_words(errors: usize, first: &str) -> String {
    match errors {
        0 | 1 => first.to_owned(),
        more => format!("{first} and {} more", super::count(more - 1, "error")),
    }
}

pub(in crate::report) fn revision(revision: &Revision) -> RevisionRow {
    RevisionRow {
        revision: revision.short_id.clone(),
        id: revision.id.clone(),
        date: revision.date.to_string(),
        author: revision.author.clone(),
        subject: revision.subject.clone(),
        is_merge: revision.is_merge,
    }
}

fn touched(part: &PartTouched) -> ChangedPartRow {
    ChangedPartRow {
        part: part.part.clone(),
        how: part.how,
        facets: part.facets.clone(),
        facet_words: part.facet_words.clone(),
    }
}

pub(super) fn budget(figure: &Figure) -> BudgetMove {
    let unit = unit(&figure.unit);
    let difference = figure.before.as_ref().zip(figure.after.as_ref());
    let expanded_u = figure.after.as_ref().map_or(0.0, |value| value.expanded_u);
    let values = [&figure.before, &figure.after];
    let values = values.map(|value| value.as_ref().map_or(0.0, |value| value.predicted));
    let expanded_u = known_to(values, expanded_u, &unit);
    let difference = difference.map(|(was, is)| moved(was, is, expanded_u, &unit));
    let predicted = |value: &Value| shown(value, value.predicted, 1, &unit);
    BudgetMove {
        name: moves::name(&figure.part, figure.is_top, &figure.quantity, figure.builds),
        part: figure.part.clone(),
        quantity: figure.quantity.clone(),
        builds: figure.builds,
        basic: figure.after.as_ref().map(|value| shown(value, value.basic, 0, &unit)),
        predicted: figure.after.as_ref().map(predicted),
        before: figure.before.as_ref().map(predicted),
        difference,
        shares: moves::shares(&figure.shares, expanded_u, &unit),
    }
}

/// One of the two values, with the exact amount of the same where it is money.
fn shown(value: &Value, base: f64, which: usize, unit: &Unit) -> Shown {
    let exact = value.money.as_ref().map(|(basic, predicted)| [basic, predicted][which]);
    let exact = exact.and_then(|text| text.parse::<Decimal>().ok());
    Shown::kept(base, value.expanded_u, exact, unit).and_more(value.is_lower_bound)
}

fn moved(was: &Value, is: &Value, expanded_u: f64, unit: &Unit) -> Shown {
    let plain = Shown::signed(is.predicted - was.predicted, expanded_u, unit);
    let amount = |value: &Value| value.money.as_ref()?.1.parse::<Decimal>().ok();
    let exact = amount(is).zip(amount(was)).and_then(|(is, was)| is.checked_sub(was));
    Shown { exact: exact.map(|amount| amount.normalize().to_string()), ..plain }
}

pub(in crate::report) fn turn(turn: &Turn) -> VerdictRow {
    VerdictRow {
        variant: turn.variant.clone(),
        requirement: turn.requirement.clone(),
        before: turn.before,
        after: turn.after,
        cause: turn.cause,
        because: turn.before.and(turn.after).map(|_| because(turn.cause)),
        shares: moves::shares(&turn.shares, turn.expanded_u, &unit(&turn.unit)),
    }
}

fn titled(item: &Titled) -> TitledRow {
    TitledRow { id: item.id.clone(), title: item.title.clone() }
}

pub(super) fn decision(decision: &Decided) -> DecidedRow {
    DecidedRow {
        id: decision.id.clone(),
        title: decision.title.clone(),
        parts: decision.parts.clone(),
    }
}

/// The unit of a symbol that was one when the row was made.
pub(super) fn unit(symbol: &str) -> Unit {
    Unit::parse(symbol).unwrap_or_else(|_| Unit::none())
}
