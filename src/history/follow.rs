//! One figure or requirement through the rows of a ledger: where it moved, and who broke or mended it.

use super::{Entry, Figure, Ledger, Reading, Told, Turn};
use crate::compare::Cause;
use crate::evaluate::PEAK_CURRENT;
use crate::record::Id;
use crate::verdict::{Side, Verdict};

/// What can be followed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Named {
    /// A requirement.
    Requirement(Id),
    /// A quantity of a part; of the whole product where no part is named.
    Figure(Option<Id>, Id),
}

/// What is followed, and where it moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// What it is.
    pub named: Named,
    /// Every revision at which its value, its verdict or its limit is another, first things first.
    pub moments: Vec<Moment>,
    /// The last row of the ledger at which it was met: not merely let through, or not due yet.
    pub last_held: Option<usize>,
}

/// A revision that moved what is followed.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// The row of the ledger.
    pub row: usize,
    /// How it stood before; nothing where it is new.
    pub before: Option<Point>,
    /// How it stands; nothing where it is gone.
    pub after: Option<Point>,
    /// What turned its verdict, where that is another.
    pub cause: Option<Cause>,
    /// Each part's share of the way that its value went, in base units, the largest first.
    pub shares: Vec<(Id, f64)>,
}

/// A value, and how it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// In base units; nothing where there is none.
    pub value: Option<f64>,
    /// Its expanded uncertainty.
    pub expanded_u: f64,
    /// The unit that it is shown in.
    pub unit: String,
    /// The value with all optional parts, where these make a difference to it.
    pub with_options: Option<f64>,
    /// Whether that is the value.
    pub by_options: bool,
    /// How the requirement stands.
    pub verdict: Option<Verdict>,
    /// How it would stand without waiver and due date.
    pub beneath: Option<Verdict>,
    /// The limits of the requirement in base units, the decisive one first.
    pub limits: Vec<(Side, f64)>,
    /// Whether figures are missing, so that it is this or more.
    pub is_lower_bound: bool,
}

/// What a revision did to the verdict on a requirement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turned {
    /// It stands worse.
    Broke,
    /// It stands better by itself.
    Mended,
    /// A waiver covers it now.
    LetThrough,
    /// The waiver that covered it does so no more.
    HeldToIt,
    /// It is due at a later release now.
    PutOff,
    /// It is due now.
    MadeDue,
}

impl Point {
    /// Whether it is the same but for what adding up leaves over.
    fn is_as(&self, other: &Self) -> bool {
        let words = |point: &Self| {
            let verdicts = (point.verdict, point.beneath);
            (point.unit.clone(), verdicts, point.by_options, point.is_lower_bound)
        };
        let is_same = |one: Option<f64>, other: Option<f64>| match (one, other) {
            (Some(one), Some(other)) => super::is_same(one, other),
            (one, other) => one == other,
        };
        words(self) == words(other)
            && self.limits == other.limits
            && is_same(self.value, other.value)
            && super::is_same(self.expanded_u, other.expanded_u)
    }
}

impl Moment {
    /// Whether its value or its verdict is another, and not only how sure it is or what is asked.
    #[must_use]
    pub fn is_move(&self) -> bool {
        let verdict = |point: &Option<Point>| point.as_ref().map(|point| point.verdict);
        let value = |point: &Option<Point>| point.as_ref().and_then(|point| point.value);
        let is_stepped = value(&self.before).is_some() != value(&self.after).is_some();
        verdict(&self.before) != verdict(&self.after) || is_stepped || self.moved().is_some()
    }

    /// The values between which it moved, in base units; both with all optional parts where either is
    /// judged with them. Nothing where it did not move by more than adding up leaves over.
    #[must_use]
    pub fn moved(&self) -> Option<(f64, f64)> {
        let (was, is) = (self.before.as_ref()?, self.after.as_ref()?);
        let by_options = was.by_options || is.by_options;
        let value = |point: &Point| point.with_options.filter(|_| by_options).or(point.value);
        value(was).zip(value(is)).filter(|(was, is)| !super::is_same(*was, *is))
    }

    /// What became of the verdict; nothing where it stands no better and no worse.
    #[must_use]
    pub fn turned(&self) -> Option<Turned> {
        let of = |point: &Option<Point>| {
            let point = point.as_ref()?;
            Some((point.verdict?, point.beneath?))
        };
        let ((was, beneath), (is, _)) = (of(&self.before)?, of(&self.after)?);
        let by_itself = was.severity().cmp(&is.severity());
        let is_asked = self.cause == Some(Cause::Requirement) && by_itself.is_lt();
        match (was, is) {
            _ if was == is => None,
            (_, Verdict::Waived) => Some(Turned::LetThrough),
            (_, Verdict::Later) => Some(Turned::PutOff),
            (Verdict::Waived, _) if is_asked => Some(Turned::HeldToIt),
            (Verdict::Later, _) if is_asked => Some(Turned::MadeDue),
            (_, Verdict::Pass) => (beneath != Verdict::Pass).then_some(Turned::Mended),
            _ if by_itself.is_lt() => Some(Turned::Broke),
            _ => by_itself.is_gt().then_some(Turned::Mended),
        }
    }
}

/// What `name` means in a ledger: a requirement before a quantity of the product before a rail, where
/// they bear the same one.
#[must_use]
pub fn named(ledger: &Ledger, name: &str) -> Option<Named> {
    let entries = || entries(ledger).map(|(_, entry)| entry);
    let is_figure = |part: Option<&str>, quantity: &str| {
        entries().any(|entry| entry.figures.iter().any(|figure| is(figure, part, quantity)))
    };
    if let Some((part, quantity)) = name.split_once('.') {
        let named = || Named::Figure(Some(part.into()), quantity.into());
        return is_figure(Some(part), quantity).then(named);
    }
    let mut readings = entries().flat_map(|entry| &entry.readings);
    if readings.any(|reading| reading.requirement.as_str() == name) {
        return Some(Named::Requirement(name.into()));
    }
    if is_figure(None, name) {
        return Some(Named::Figure(None, name.into()));
    }
    // By its name alone a rail is what it carries at its peak.
    is_figure(Some(name), PEAK_CURRENT)
        .then(|| Named::Figure(Some(name.into()), PEAK_CURRENT.into()))
}

/// Every name that a ledger knows of: requirements, then figures.
#[must_use]
pub fn names(ledger: &Ledger) -> Vec<String> {
    let mut requirements = std::collections::BTreeSet::new();
    let mut figures = std::collections::BTreeSet::new();
    for (_, entry) in entries(ledger) {
        requirements.extend(entry.readings.iter().map(|reading| reading.requirement.to_string()));
        figures.extend(entry.figures.iter().map(|figure| match figure.is_top {
            true => figure.quantity.to_string(),
            false => format!("{}.{}", figure.part, figure.quantity),
        }));
    }
    requirements.into_iter().chain(figures).collect()
}

/// What is `named` through all rows.
#[must_use]
pub fn follow(ledger: &Ledger, named: Named) -> Followed {
    let mut followed = Followed { named, moments: Vec::new(), last_held: None };
    let mut before: Option<Point> = None;
    for (row, entry) in entries(ledger) {
        let seen = seen(entry, &followed.named);
        if seen.point.as_ref().is_some_and(|point| point.beneath == Some(Verdict::Pass)) {
            followed.last_held = Some(row);
        }
        let is_as_before = match (&seen.point, &before) {
            (Some(is), Some(was)) => is.is_as(was),
            (is, was) => is.is_none() && was.is_none(),
        };
        if is_as_before {
            // What is not told of yet counts from here on.
            before = seen.point;
            continue;
        }
        let after = seen.point;
        let moment = Moment {
            row,
            before: before.take(),
            after: after.clone(),
            cause: seen.turn.map(|turn| turn.cause),
            shares: seen.shares.to_vec(),
        };
        followed.moments.push(moment);
        before = after;
    }
    followed
}

fn entries(ledger: &Ledger) -> impl DoubleEndedIterator<Item = (usize, &Entry)> {
    ledger.rows.iter().enumerate().filter_map(|(at, row)| match &row.told {
        Told::Entry(entry) => Some((at, &**entry)),
        Told::Unreadable { .. } | Told::Gone => None,
    })
}

fn is(figure: &Figure, part: Option<&str>, quantity: &str) -> bool {
    let is_part = part.map_or(figure.is_top, |part| figure.part.as_str() == part);
    is_part && figure.quantity.as_str() == quantity
}

/// What a row says of what is followed.
struct Seen<'a> {
    point: Option<Point>,
    turn: Option<&'a Turn>,
    shares: &'a [(Id, f64)],
}

fn seen<'a>(entry: &'a Entry, named: &Named) -> Seen<'a> {
    match named {
        Named::Requirement(id) => {
            let reading = entry.readings.iter().find(|reading| reading.requirement == *id);
            let mut turns = entry.turns.iter();
            let turn = turns.find(|turn| turn.requirement == *id && turn.variant.is_none());
            let figure = reading.and_then(|reading| figure_of(entry, reading));
            let shares = match turn {
                Some(turn) if !turn.shares.is_empty() => turn.shares.as_slice(),
                _ if reading.is_some_and(|reading| !reading.shares.is_empty()) => {
                    reading.map_or(&[][..], |reading| reading.shares.as_slice())
                }
                _ => figure.map_or(&[][..], |figure| figure.shares.as_slice()),
            };
            let is_lower_bound = figure
                .and_then(|figure| figure.after.as_ref())
                .is_some_and(|value| value.is_lower_bound);
            let point = reading.map(|reading| of_reading(reading, is_lower_bound));
            Seen { point, turn, shares }
        }
        Named::Figure(part, quantity) => {
            let part = part.as_ref().map(Id::as_str);
            let mut figures = entry.figures.iter();
            let figure = figures.find(|figure| is(figure, part, quantity.as_str()));
            let shares = figure.map_or(&[][..], |figure| figure.shares.as_slice());
            Seen { point: figure.and_then(of_figure), turn: None, shares }
        }
    }
}

fn figure_of<'a>(entry: &'a Entry, reading: &Reading) -> Option<&'a Figure> {
    let (part, quantity, builds) = reading.figure.as_ref()?;
    let is_it = |figure: &&Figure| {
        (&figure.part, &figure.quantity, figure.builds) == (part, quantity, *builds)
    };
    entry.figures.iter().find(is_it)
}

fn of_reading(reading: &Reading, is_lower_bound: bool) -> Point {
    Point {
        value: reading.value,
        expanded_u: reading.expanded_u,
        unit: reading.unit.clone(),
        with_options: reading.with_options,
        by_options: reading.by_options,
        verdict: Some(reading.verdict),
        beneath: Some(reading.beneath),
        limits: reading.limits.clone(),
        is_lower_bound,
    }
}

fn of_figure(figure: &Figure) -> Option<Point> {
    let value = figure.after.as_ref()?;
    Some(Point {
        value: Some(value.predicted),
        expanded_u: value.expanded_u,
        unit: figure.unit.clone(),
        with_options: None,
        by_options: false,
        verdict: None,
        beneath: None,
        limits: Vec::new(),
        is_lower_bound: value.is_lower_bound,
    })
}
