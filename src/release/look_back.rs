//! Verdicts joined with history: when a requirement last held and who moved it since, what became of
//! the budgets since the last release, and through which revision a figure is what it is.

use std::collections::BTreeMap;

use crate::evaluate::PEAK_CURRENT;
use crate::history::{self, Decided, Figure, Followed, Ledger, Moment, Named, Row, Told};
use crate::record::Id;
use crate::verdict::Assessed;

/// What the history says to a checklist.
#[derive(Clone, Debug, Default)]
pub struct LookBack {
    /// Requirements that are in the way, in the order of ids.
    pub lapses: Vec<Lapse>,
    /// What became of the budgets since the last release, where there was one.
    pub since: Option<Since>,
}

/// A requirement that is in the way.
#[derive(Clone, Debug)]
pub struct Lapse {
    /// The requirement.
    pub requirement: Id,
    /// The row of the ledger at which it last held; nothing where it never did.
    pub last_held: Option<usize>,
    /// The revisions that moved it since, those that came first in front.
    pub moments: Vec<Moment>,
}

/// The budgets since a release.
#[derive(Clone, Debug)]
pub struct Since {
    /// The tag of the release.
    pub tag: String,
    /// Those that moved: as they were at the release and as they are, with each part's share of the
    /// way that its revisions went.
    pub moved: Vec<Figure>,
}

/// A release tag, and the revision that it names by its place on the way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tagged {
    /// The tag.
    pub tag: String,
    /// How many revisions came before it.
    pub place: usize,
}

/// What the `ledger` says to the state `now`; `released` is the last release on its way.
#[must_use]
pub fn look_back(ledger: &Ledger, now: &Assessed, released: Option<&Tagged>) -> LookBack {
    let in_the_way = now.judged.iter().filter(|judged| judged.is_in_the_way());
    LookBack {
        lapses: in_the_way.map(|judged| lapse(ledger, &judged.requirement)).collect(),
        since: released.map(|released| since(ledger, now, released)),
    }
}

fn lapse(ledger: &Ledger, requirement: &Id) -> Lapse {
    let named = Named::Requirement(requirement.clone());
    let Followed { moments, last_held, .. } = history::follow(ledger, named);
    let is_since =
        |moment: &Moment| moment.is_move() && last_held.is_none_or(|held| moment.row > held);
    let moments = moments.into_iter().filter(is_since).collect();
    Lapse { requirement: requirement.clone(), last_held, moments }
}

/// What a figure is called, whichever state it is of.
type Name = (Id, Id, u64);

fn name(figure: &Figure) -> Name {
    (figure.part.clone(), figure.quantity.clone(), figure.builds)
}

fn since(ledger: &Ledger, now: &Assessed, released: &Tagged) -> Since {
    let is_up_to = |row: &&Row| row.place <= released.place;
    let then = ledger.rows.iter().take_while(is_up_to).filter_map(figures).last();
    let then: BTreeMap<Name, &Figure> =
        then.unwrap_or_default().iter().map(|figure| (name(figure), figure)).collect();
    let mut shares = shares(ledger.rows.iter().skip_while(is_up_to));
    let now = history::entry(None, now, None).figures.into_iter();
    let moved = now.filter_map(|figure| {
        let name = name(&figure);
        let before = then.get(&name).and_then(|figure| figure.after.clone());
        let is_as_then = match (&before, &figure.after) {
            (Some(was), Some(is)) => was.is_as(is),
            (was, is) => was.is_none() && is.is_none(),
        };
        (!is_as_then).then(|| Figure {
            before,
            shares: shares.remove(&name).unwrap_or_default(),
            ..figure
        })
    });
    Since { tag: released.tag.clone(), moved: moved.collect() }
}

fn figures(row: &Row) -> Option<&[Figure]> {
    if let Told::Entry(entry) = &row.told { Some(&entry.figures) } else { None }
}

/// Each part's shares of all rows together, the largest first.
fn shares<'a>(rows: impl Iterator<Item = &'a Row>) -> BTreeMap<Name, Vec<(Id, f64)>> {
    let mut sums: BTreeMap<Name, BTreeMap<Id, f64>> = BTreeMap::new();
    for figure in rows.filter_map(figures).flatten() {
        let sums = sums.entry(name(figure)).or_default();
        for (part, share) in &figure.shares {
            *sums.entry(part.clone()).or_default() += share;
        }
    }
    let sorted = |sums: BTreeMap<Id, f64>| {
        let mut shares: Vec<(Id, f64)> =
            sums.into_iter().filter(|(_, share)| *share != 0.0).collect();
        shares.sort_by(|(a, one), (b, other)| other.abs().total_cmp(&one.abs()).then(a.cmp(b)));
        shares
    };
    sums.into_iter().map(|(name, sums)| (name, sorted(sums))).collect()
}

/// Through which revision something is what it is.
#[derive(Clone, Debug)]
pub enum Origin<'a> {
    /// The revision that moved a figure or a requirement last.
    Moved(Moment),
    /// The row that changed a part last, and the decisions about it that were ever written down.
    Changed(&'a Row, Vec<&'a Decided>),
}

/// Through which revision what is called `name` is what it is: a requirement, a part, a rail, or a
/// figure of a part.
#[must_use]
pub fn origin<'a>(ledger: &'a Ledger, name: &str) -> Option<Origin<'a>> {
    let named = history::named(ledger, name).or_else(|| {
        let current = Id::from(PEAK_CURRENT);
        history::named(ledger, &format!("{name}.{current}"))
    });
    if let Some(named) = named {
        let moments = history::follow(ledger, named).moments.into_iter();
        return moments.rev().find(Moment::is_move).map(Origin::Moved);
    }
    let entries = ledger.rows.iter().filter_map(|row| match &row.told {
        Told::Entry(entry) => Some((row, entry)),
        Told::Unreadable { .. } | Told::Gone => None,
    });
    let touches = |entry: &history::Entry| entry.parts.iter().any(|it| it.part.as_str() == name);
    let (row, _) = entries.clone().rfind(|(_, entry)| touches(entry))?;
    let decided = entries.flat_map(|(_, entry)| &entry.decided);
    let about = decided.filter(|it| it.parts.iter().any(|part| part.as_str() == name));
    Some(Origin::Changed(row, about.collect()))
}

#[cfg(test)]
mod tests;
