//! Open items, and whether they hold up the release.

use serde::Serialize;

use super::findings::is_of_item;
use super::requirements::WaiverRow;
use super::shown::{Shown, count};
use crate::design::Held;
use crate::evaluate::{Work, coverage_factor, open_work};
use crate::quantity::Figure;
use crate::record::{Id, Item};
use crate::verdict::{Assessed, Finding};

/// An open item.
#[derive(Clone, Debug, Serialize)]
pub struct ItemRow {
    /// The item.
    pub id: Id,
    /// What people call it.
    pub title: Option<String>,
    /// Parts that it is about.
    pub parts: Vec<Id>,
    /// Requirements that it holds up; the release itself where none is named.
    pub blocks: Vec<Id>,
    /// Open items that come first.
    pub after: Vec<Id>,
    /// The release that it must be closed for.
    pub due: Option<String>,
    /// Work left.
    pub effort: Option<Shown>,
    /// Whether it holds up this release.
    pub in_the_way: bool,
    /// The waiver that covers it.
    pub waiver: Option<WaiverRow>,
}

/// An item that was closed.
#[derive(Clone, Debug, Serialize)]
pub struct ClosedItemRow {
    /// The item.
    pub id: Id,
    /// What people call it.
    pub title: Option<String>,
    /// The day.
    pub closed: Option<String>,
    /// What came out.
    pub result: Option<String>,
}

/// How much work is left, and the chain that takes longest.
#[derive(Clone, Debug, Serialize)]
pub struct WorkLeft {
    /// All efforts together, one after the other.
    pub effort: Shown,
    /// Items of it without an effort.
    pub without_effort: usize,
    /// The items, each after the one before it, that take longest.
    pub longest_chain: Vec<Id>,
    /// What they take: nothing is done sooner, however many hands there are.
    pub longest: Shown,
}

/// What `item list` tells.
#[derive(Clone, Debug, Serialize)]
pub struct ItemList {
    /// All of it in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// Open items, in an order in which they can be done.
    pub open: Vec<ItemRow>,
    /// What is left of all of them; nothing where none is open.
    pub work: Option<WorkLeft>,
    /// Closed ones, where they were asked for.
    pub closed: Vec<ClosedItemRow>,
}

/// The items of a design: the open ones, and where `all` the closed ones too.
#[must_use]
pub fn items(assessed: &Assessed, all: bool) -> ItemList {
    let open = open_items(assessed);
    let closed = if all { closed_items(assessed) } else { Vec::new() };
    let design = assessed.design.name.clone();
    let holding = open.iter().filter(|item| item.in_the_way).count();
    let release = &assessed.occasion.release;
    let number = count(open.len(), "open item");
    let headline = format!("{design}: {number}, {holding} in the way of {release}");
    let work = work_left(assessed, &open);
    ItemList { headline, design, open, work, closed }
}

fn closed_items(assessed: &Assessed) -> Vec<ClosedItemRow> {
    let items = assessed.design.items.iter();
    items.filter(|item| item.closed.is_some()).map(|item| closed_row(item)).collect()
}

/// An item that was closed.
pub(super) fn closed_row(item: &Item) -> ClosedItemRow {
    ClosedItemRow {
        id: item.id.value.clone(),
        title: item.title.as_ref().map(|title| title.value.clone()),
        closed: item.closed.as_ref().map(|day| day.value.to_string()),
        result: item.result.as_ref().map(|result| result.value.clone()),
    }
}

/// The work that is left of the items in `rows` and of those that come before them.
pub(super) fn work_left(assessed: &Assessed, rows: &[ItemRow]) -> Option<WorkLeft> {
    let design = &assessed.design;
    let id = |at: usize| &design.items[at].id.value;
    let work = open_work(design, |at| rows.iter().any(|row| row.id == *id(at)));
    let coverage = coverage_factor(design);
    let shown = |of: Work| Shown::uncertain(of.effort_s, coverage * of.u_s, &work.unit);
    (!work.order.is_empty()).then(|| WorkLeft {
        effort: shown(work.all).and_more(work.all.without > 0),
        without_effort: work.all.without,
        longest_chain: work.chain.iter().map(|at| id(*at).clone()).collect(),
        longest: shown(work.longest).and_more(work.longest.without > 0),
    })
}

/// Every open item, in an order in which they can be done.
pub(super) fn open_items(assessed: &Assessed) -> Vec<ItemRow> {
    let items = &assessed.design.items;
    let effort = |effort: &Figure| {
        let spread = effort.spread.as_ref().map_or(0.0, |spread| spread.half_width);
        Shown::uncertain(effort.measure.base, spread, &effort.measure.unit)
    };
    let is_open = |id: &Id| items.iter().any(|item| item.id.value == *id && item.closed.is_none());
    let row = |item: &Held<Item>| {
        let finding = finding_of(assessed, item);
        let covered = finding.and_then(|finding| finding.covered.as_ref());
        ItemRow {
            id: item.id.value.clone(),
            title: item.title.as_ref().map(|title| title.value.clone()),
            parts: item.parts.iter().map(|part| part.value.clone()).collect(),
            blocks: item.blocks.iter().map(|requirement| requirement.value.clone()).collect(),
            after: item.after.iter().map(|id| id.value.clone()).filter(is_open).collect(),
            due: item.due.as_ref().map(|due| due.value.to_string()),
            effort: item.effort.as_ref().map(|written| effort(written)),
            in_the_way: finding.is_some() && covered.is_none(),
            waiver: covered.map(WaiverRow::of),
        }
    };
    open_work(&assessed.design, |_| true).order.iter().map(|at| row(&items[*at])).collect()
}

/// What the release checks found about an item: it is the one that stands at the same place.
fn finding_of<'a>(assessed: &'a Assessed, item: &Held<Item>) -> Option<&'a Finding> {
    assessed.findings.iter().find(|finding| {
        let place = finding.place.as_ref().map(|(path, span)| (path, *span));
        is_of_item(finding) && place == Some((&item.path, item.id.span))
    })
}
