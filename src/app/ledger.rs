//! `ledger`: revisions that touched the design, and one figure or requirement through all of them.

use std::collections::BTreeSet;

use super::revision_of;
use crate::cli::{Format, LedgerArgs};
use crate::design::Design;
use crate::diagnostic::did_you_mean;
use crate::evaluate::PEAK_CURRENT;
use crate::git::{At, Range, Repository, Way};
use crate::history::{self, Ledger, Row, Told};
use crate::outside::{self, Failure, Loader, Manner, Outcome, Take, World, find_manifest, shown};
use crate::record::{Date, Id};
use crate::render::layout::{self, LedgerSheet};
use crate::render::ndjson;
use crate::report::{self, LedgerSpan};

/// Walks the range and tells what each revision did.
///
/// # Errors
/// [`Failure`] where an end of the range is not known, an object is missing, or nothing bears the
/// name that is to be followed.
pub fn run(args: &LedgerArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let range = range(args);
    let tip = repository.snapshot(&At::Revision(range.upto.clone()))?;
    let wanted = manner.design.as_deref();
    let manifest = find_manifest(tip.entries(), repository.prefix(), wanted)?;
    let since = args.since.as_deref().map(day).transpose()?;
    let way = repository.way(&range)?;
    let Some(name) = &args.of else {
        let wanted = Wanted { part: args.part.as_deref(), since };
        let mut named = BTreeSet::new();
        let mut each = |take: &mut Take<'_>| {
            outside::rows(&repository, &manifest, &way, world, &mut |row| {
                if wanted.part.is_some() {
                    named.extend(parts(&row).map(str::to_owned));
                }
                take(row)
            })
        };
        let text = listed(&wanted, &way, &mut each, manner)?;
        if let Some(part) = wanted.part.filter(|part| !named.contains(*part)) {
            let state = Loader::new(&repository).state(&At::Revision(range.upto), manner, world)?;
            is_part(part, &named, state.linked.design.as_deref())?;
        }
        return Ok(Outcome::of(text));
    };
    let told = |also, way: &Way| outside::ledger(&repository, &manifest, also, way, world);
    // What moved something, and whether it broke it, is told by what was there before.
    let whole = repository.way(&Range { after: None, ..range.clone() })?;
    let also = name.split_once('.').map(|(part, quantity)| (part.into(), quantity.into()));
    let mut ledger = told(also, &whole)?;
    if history::named(&ledger, name).is_none() {
        let state = Loader::new(&repository).state(&At::Revision(range.upto), manner, world)?;
        let design = state.linked.design.as_deref();
        match design.and_then(|design| design.rail(name)) {
            Some(rail) => {
                let rail = rail.id.value.clone();
                ledger = told(Some((rail, PEAK_CURRENT.into())), &whole)?;
            }
            None => return Err(unknown(name, &ledger, design)),
        }
    }
    let ids = way.commits.iter().map(|passed| passed.id.to_string()).collect();
    let asked = Asked { name, ids, since };
    Ok(Outcome::of(followed(&asked, &ledger, manner, world)?))
}

/// Nothing that was ever told of bears the name.
fn unknown(name: &str, ledger: &Ledger, design: Option<&Design>) -> Failure {
    let names = history::names(ledger);
    let is_part = design.is_some_and(|design| design.part(name).is_some());
    let hint = match is_part {
        true => Some(format!(
            "it is a part: `ledger --part {name}` lists the revisions that changed it, and {name}.mass \
             is a figure of it"
        )),
        false => did_you_mean(name, names.iter().map(String::as_str)),
    };
    let hint = hint.unwrap_or_else(|| {
        "name a requirement, a quantity of the product, a rail, or a figure of a part, as in \
         film-gate.mass"
            .to_owned()
    });
    Failure::new(format!("nothing in this history is called `{name}`\n{hint}"))
}

/// Whether `name`, which is not among the parts that rows `named`, is a part that merely did not change.
///
/// # Errors
/// [`Failure`] where it is none.
fn is_part(name: &str, named: &BTreeSet<String>, design: Option<&Design>) -> Result<(), Failure> {
    let now = design.into_iter().flat_map(|design| &design.parts).map(|part| part.id.as_str());
    let known: BTreeSet<&str> = now.chain(named.iter().map(String::as_str)).collect();
    if known.contains(name) {
        return Ok(());
    }
    let hint = did_you_mean(name, known.iter().copied()).map(|hint| format!("\n{hint}"));
    let hint = hint.unwrap_or_default();
    Err(Failure::new(format!("no part in this history is called `{name}`{hint}")))
}

/// Every part that came, went or changed.
fn parts(row: &Row) -> impl Iterator<Item = &str> {
    let entry = match &row.told {
        Told::Entry(entry) => Some(entry),
        Told::Unreadable { .. } | Told::Gone => None,
    };
    entry.into_iter().flat_map(|entry| entry.parts.iter().map(|part| part.part.as_str()))
}

/// What is followed, and the revisions that are told of.
struct Asked<'a> {
    name: &'a str,
    ids: BTreeSet<String>,
    since: Option<Date>,
}

/// `A..B`, or what leads to one revision; to HEAD where there is none.
fn range(args: &LedgerArgs) -> Range {
    let range = args.range.as_deref().unwrap_or_default();
    let (after, upto) = match range.split_once("..") {
        Some((after, upto)) => (Some(revision_of(after)), revision_of(upto)),
        None => (None, revision_of(range)),
    };
    Range { after, upto, every: args.all }
}

fn day(text: &str) -> Result<Date, Failure> {
    let date = text.parse().ok().filter(|date: &Date| date.to_string() == text);
    date.ok_or_else(|| Failure::new(format!("--since: `{text}` is no date such as 2026-10-02")))
}

/// Which rows are listed.
struct Wanted<'a> {
    part: Option<&'a str>,
    since: Option<Date>,
}

impl Wanted<'_> {
    fn holds(&self, row: &Row) -> bool {
        self.since.is_none_or(|since| row.revision.date >= since)
            && self.part.is_none_or(|wanted| parts(row).any(|part| part == wanted))
    }
}

/// The rows that `each` hands over and that are wanted. None is held longer than it takes to put it
/// into its format.
fn listed(
    wanted: &Wanted<'_>,
    way: &Way,
    each: &mut dyn FnMut(&mut Take<'_>) -> Result<(), Failure>,
    manner: &Manner,
) -> Result<String, Failure> {
    let mut span = LedgerSpan::default();
    let mut every = |tell: &mut dyn FnMut(&Row)| {
        each(&mut |row| {
            let is_told = wanted.holds(&row);
            span.pass(&row, is_told);
            if is_told {
                tell(&row);
            }
            Ok(())
        })
    };
    let (mut rows, mut lines) = (Vec::new(), Vec::new());
    match manner.format {
        Format::Csv => {
            let mut sheet = LedgerSheet::default();
            every(&mut |row| sheet.add(&report::ledger_sheet_row(row)))?;
            return Ok(sheet.text());
        }
        Format::Ndjson => {
            let mut text = String::new();
            every(&mut |row| text += &ndjson::line("ledger-row", &report::ledger_row(row)))?;
            return Ok(text);
        }
        Format::Json => every(&mut |row| rows.push(report::ledger_row(row)))?,
        _ => every(&mut |row| lines.push(layout::ledger_line(&report::ledger_row(row))))?,
    }
    let report = span.report(way.commits.len(), way.is_cut_off, rows);
    Ok(shown("ledger", &report, &layout::ledger(&report, lines), manner))
}

fn followed(
    asked: &Asked<'_>,
    ledger: &Ledger,
    manner: &Manner,
    world: &World,
) -> Result<String, Failure> {
    let name = asked.name;
    let named = history::named(ledger, name).ok_or_else(|| unknown(name, ledger, None))?;
    let followed = history::follow(ledger, named);
    let mut report = report::followed(&design(ledger), name, ledger, &followed);
    // Written as a calendar date, so that the order of texts is that of days.
    let since = asked.since.map(|since| since.to_string()).unwrap_or_default();
    report
        .moments
        .retain(|moment| asked.ids.contains(&moment.revision.id) && moment.revision.date >= since);
    Ok(match manner.format {
        Format::Csv => layout::followed_sheet(&report),
        Format::Ndjson => ndjson::ndjson("ledger-moment", &report.moments),
        _ => {
            let page = layout::followed(&report, world.is_terminal);
            shown("ledger-of", &report, &page, manner)
        }
    })
}

/// The design's name, as it was called last.
fn design(ledger: &Ledger) -> Id {
    let named = ledger.rows.iter().rev().find_map(|row| match &row.told {
        Told::Entry(entry) => Some(Id::new(entry.design.as_str())),
        Told::Unreadable { .. } | Told::Gone => None,
    });
    named.unwrap_or_else(|| Id::from("the design"))
}
