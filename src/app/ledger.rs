//! `ledger`: revisions that touched the design, and one figure or requirement through all of them.

use std::collections::BTreeSet;

use crate::cli::{Format, LedgerArgs};
use crate::design::Design;
use crate::diagnostic::did_you_mean;
use crate::git::{At, Range, Repository, Way};
use crate::history::{self, Ledger, Row, Told};
use crate::outside::{self, Failure, Loader, Manner, Outcome, World, find_manifest, shown};
use crate::record::{Date, Id};
use crate::render::{layout, ndjson};
use crate::report;

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
    let told = |also, way: &Way| outside::ledger(&repository, &manifest, also, way, world);
    let way = repository.way(&range)?;
    let Some(name) = &args.of else {
        let ledger = told(None, &way)?;
        if let Some(part) =
            args.part.as_deref().filter(|part| !parts(&ledger).any(|known| known == *part))
        {
            let state = Loader::new(&repository).state(&At::Revision(range.upto), manner, world)?;
            is_part(part, &ledger, state.linked.design.as_deref())?;
        }
        return Ok(Outcome::of(rows(&ledger, args.part.as_deref(), since, manner)));
    };
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
                ledger = told(Some((rail, history::PEAK_CURRENT.into())), &whole)?;
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

/// Whether `name`, which no row of the ledger names, is a part that merely did not change.
///
/// # Errors
/// [`Failure`] where it is none.
fn is_part(name: &str, ledger: &Ledger, design: Option<&Design>) -> Result<(), Failure> {
    let now =
        design.into_iter().flat_map(|design| design.parts.iter().map(|part| part.id.as_str()));
    let known: BTreeSet<&str> = now.chain(parts(ledger)).collect();
    if known.contains(name) {
        return Ok(());
    }
    let hint = did_you_mean(name, known.iter().copied()).map(|hint| format!("\n{hint}"));
    let hint = hint.unwrap_or_default();
    Err(Failure::new(format!("no part in this history is called `{name}`{hint}")))
}

/// Every part that came, went or changed.
fn parts(ledger: &Ledger) -> impl Iterator<Item = &str> {
    let entries = ledger.rows.iter().filter_map(|row| match &row.told {
        Told::Entry(entry) => Some(entry),
        Told::Unreadable { .. } | Told::Gone => None,
    });
    entries.flat_map(|entry| entry.parts.iter().map(|part| part.part.as_str()))
}

/// What is followed, and the revisions that are told of.
struct Asked<'a> {
    name: &'a str,
    ids: BTreeSet<String>,
    since: Option<Date>,
}

/// `A..B`, or what leads to one revision; to HEAD where there is none.
fn range(args: &LedgerArgs) -> Range {
    let named = |name: &str| if name.is_empty() { "HEAD".to_owned() } else { name.to_owned() };
    let range = args.range.as_deref().unwrap_or_default();
    let (after, upto) = match range.split_once("..") {
        Some((after, upto)) => (Some(named(after)), named(upto)),
        None => (None, named(range)),
    };
    Range { after, upto, every: args.all }
}

fn day(text: &str) -> Result<Date, Failure> {
    let date = text.parse().ok().filter(|date: &Date| date.to_string() == text);
    date.ok_or_else(|| Failure::new(format!("--since: `{text}` is no date such as 2026-10-02")))
}

fn rows(ledger: &Ledger, part: Option<&str>, since: Option<Date>, manner: &Manner) -> String {
    let is_wanted = |row: &Row| {
        let is_of_part = |wanted: &str| match &row.told {
            Told::Entry(entry) => entry.parts.iter().any(|part| part.part.as_str() == wanted),
            Told::Unreadable { .. } | Told::Gone => false,
        };
        since.is_none_or(|since| row.revision.date >= since) && part.is_none_or(is_of_part)
    };
    let report = report::ledger(&design(ledger), ledger, &is_wanted);
    match manner.format {
        Format::Csv => layout::ledger_sheet(&report),
        Format::Ndjson => ndjson::ndjson("ledger-row", &report.rows),
        _ => shown("ledger", &report, &layout::ledger(&report), manner),
    }
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
