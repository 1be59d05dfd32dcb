//! `measure`: a result, sealed with what was on the bench.

use super::desk::Desk;
use super::{Measured, measured, told, unknown};
use crate::cli::write::MeasureArgs;
use crate::design::Design;
use crate::diagnostic::{At, Span};
use crate::edit::{NewEvidence, NewRecord, NewResult, RecordKind, carry_over, id_of_result};
use crate::evidence::{self, Revision, Standing};
use crate::fileset::RepoPath;
use crate::git::Repository;
use crate::outside::{Failure, Manner, Outcome, World};
use crate::record::{Evidence, Id, Requirement};
use crate::report::{Written, count};
use crate::verdict::speaks_to;

/// Writes a result, or that one holds for a later state of a part too.
///
/// # Errors
/// [`Failure`] where nothing was written.
pub fn run(args: &MeasureArgs, manner: &Manner, world: &World) -> Result<Outcome, Failure> {
    let measured = measured(args, world.today)?;
    let repository = Repository::open(&world.folder)?;
    let mut desk = Desk::open(&repository, manner, world)?;
    let report = match measured {
        Measured::Result(new) => result(args, *new, &mut desk)?,
        Measured::CarriedOver { evidence, part, why } => carried(&desk, &evidence, &part, &why)?,
    };
    Ok(told("measure", &report, manner))
}

fn result(args: &MeasureArgs, new: NewEvidence, desk: &mut Desk<'_>) -> Result<Written, Failure> {
    let quantity = match &new.result {
        NewResult::Value { quantity, .. } => Some(quantity),
        NewResult::Outcome(_) | NewResult::Trials { .. } => None,
    };
    let base = id_of_result(&new.part, quantity);
    let spot = desk.spot(RecordKind::Evidence, &args.place, &base)?;
    let by = new.by.clone().or_else(|| desk.repository.user_name());
    let root = desk.design.manifest_path.folder();
    let files = files_from(&new.files, desk.repository.prefix(), (&spot.path, &root))?;
    let mut new = NewEvidence { by, files, ..new };
    // What it covers is known once it stands among the other records.
    let draft = desk.draft(&spot, &NewRecord::Evidence(Box::new(new.clone())))?;
    let record = record(&draft.design, &spot.id)?;
    if !matches!(new.result, NewResult::Value { .. }) {
        speaks(record, &draft.design)?;
    }
    let bench = match &new.revision {
        Some(revision) => bench_at(desk, revision, record)?,
        None => bench_now(desk, record)?,
    };
    let place = match &bench.revision {
        Some(revision) => format!("at {revision}"),
        None => "as they lie in the working tree".to_owned(),
    };
    let follows = format!("sealed over {} {place}", count(bench.seal.len(), "part"));
    (new.revision, new.seal) = (bench.revision, bench.seal);
    desk.draft(&spot, &NewRecord::Evidence(Box::new(new)))?.write()?;
    Ok(Written::new(&spot.id, &spot.path, follows))
}

/// Refuses trials and outcomes that no requirement asks for: they would say nothing, and a value may.
fn speaks(record: &Evidence, design: &Design) -> Result<(), Failure> {
    let requirements = || design.requirements.iter().map(|held| &*held.record);
    if requirements().any(|requirement| speaks_to(record, requirement)) {
        return Ok(());
    }
    let by_method = |requirement: &&Requirement| {
        let method = Some(At::new(requirement.method(), Span::default()));
        speaks_to(&Evidence { method, ..record.clone() }, requirement)
    };
    if let Some(requirement) = requirements().find(by_method) {
        let (id, method) = (requirement.id.as_str(), requirement.method().word());
        let message = format!("`{id}` is shown by {method}, and this would be a result by");
        let found = evidence::method(record).word();
        return Err(Failure::new(format!("{message} {found}\nsay so with --method {method}")));
    }
    let asks = |requirement: &&Requirement| match &record.trials {
        Some(_) => requirement.success.is_some(),
        None => requirement.success.is_none() && requirement.quantity.is_none(),
    };
    let what = if record.trials.is_some() { "trials" } else { "outcomes" };
    let asking = requirements().filter(asks).filter(|requirement| requirement.rail.is_none());
    let asking: Vec<&str> = asking.map(|requirement| requirement.id.as_str()).collect();
    let hint = match asking.as_slice() {
        [] => format!("no requirement is shown by {what}"),
        asking => format!("name what it speaks to with --verifies: {}", asking.join(", ")),
    };
    let of = record.part.as_ref().map_or("it", |part| part.as_str());
    Err(Failure::new(format!("no requirement asks for {what} of `{of}`\n{hint}")))
}

/// What was on the bench.
struct Bench {
    /// The revision that holds it, in short.
    revision: Option<String>,
    seal: Vec<(Id, String)>,
}

fn bench_at(desk: &mut Desk<'_>, revision: &str, record: &Evidence) -> Result<Bench, Failure> {
    let commit = desk.repository.describe(revision)?;
    let there = desk.loader.same_at(&desk.design, &commit.id)?;
    let there = there.ok_or_else(|| {
        let hint = format!("`tagworthy check --at {revision}` says why");
        Failure::new(format!("the records at {revision} cannot be read\n{hint}"))
    })?;
    let seal = there.seal_of(record);
    let named = record.part.iter().chain(&record.with);
    let named = named.filter(|part| record.except.iter().all(|(id, _)| id.value != part.value));
    match named.into_iter().find(|part| seal.iter().all(|(id, _)| *id != part.value)) {
        Some(part) => {
            Err(Failure::new(format!("`{}` was not on the bench at {revision}", part.as_str())))
        }
        None => Ok(Bench { revision: Some(commit.short_id), seal }),
    }
}

/// The working tree as it is now, and HEAD's name where the same parts are there.
fn bench_now(desk: &mut Desk<'_>, record: &Evidence) -> Result<Bench, Failure> {
    let seal = Revision::of(desk.design.clone()).seal_of(record);
    let Some(head) = desk.repository.head()? else { return Ok(Bench { revision: None, seal }) };
    let committed = desk.loader.same_at(&desk.design, &head)?;
    let is_same = committed.is_some_and(|committed| committed.seal_of(record) == seal);
    let revision = if is_same { Some(desk.repository.describe(&head)?.short_id) } else { None };
    Ok(Bench { revision, seal })
}

fn carried(desk: &Desk<'_>, evidence: &Id, part: &Id, why: &str) -> Result<Written, Failure> {
    let results = &desk.design.evidence;
    let at = results.iter().position(|held| held.id.value == *evidence);
    let at = at.ok_or_else(|| {
        unknown("evidence", evidence, results.iter().map(|held| held.id.as_str()))
    })?;
    let held = &results[at];
    let seal = Revision::of(desk.design.clone()).seal_of(held);
    let (_, now) = seal.iter().find(|(id, _)| id == part).ok_or_else(|| {
        unknown("part covered by it named", part, seal.iter().map(|(id, _)| id.as_str()))
    })?;
    let left = still_changed(&standing(desk, at), evidence, part)?;
    let edit = |text: &str, role| carry_over(text, role, evidence, (part, now), why);
    desk.change(&held.path, edit)?.write()?;
    let left = match left.as_slice() {
        [] => String::new(),
        left => format!("; still stale by {}", left.join(", ")),
    };
    let follows = format!("carried over to {part} as it is now{left}");
    Ok(Written::new(evidence, &held.path, follows))
}

/// How the result at a place of the design's stands today.
fn standing(desk: &Desk<'_>, at: usize) -> Standing {
    let assessed = desk.state.requirements_judged(None, &desk.design, &desk.design.next);
    let built = desk.design.evidence[at].variant.as_ref();
    let built = built.and_then(|id| assessed.variant(id.as_str())).unwrap_or(&assessed);
    built.standings.of(at).standing.clone()
}

/// The parts that leave a result stale once it is carried over to `part`; refused where that part is what
/// it was, so that nothing comes of it.
fn still_changed(standing: &Standing, evidence: &Id, part: &Id) -> Result<Vec<String>, Failure> {
    let refused = |why: &str| Err(Failure::new(format!("nothing is carried over: {why}")));
    let changed = match standing {
        Standing::Stale(changed) => changed,
        Standing::Current => {
            return refused(&format!("no part changed that `{evidence}` covers, and it counts"));
        }
        Standing::SetAside => return refused(&format!("`{evidence}` is set aside")),
        Standing::Unpinned => {
            return refused(&format!("`{evidence}` does not say what was on the bench"));
        }
        Standing::Undecidable(_) | Standing::Contradiction(_) => return Ok(Vec::new()),
    };
    let names = || changed.iter().map(|changed| changed.part.to_string());
    if changed.iter().any(|changed| changed.part == *part) {
        return Ok(names().filter(|id| *id != part.as_str()).collect());
    }
    let (is, names) = (if changed.len() == 1 { "is" } else { "are" }, names().collect::<Vec<_>>());
    let message = format!("`{part}` is what it was when `{evidence}` was won");
    refused(&format!("{message}\nwhat changed {is} {}", names.join(", ")))
}

fn record<'d>(design: &'d Design, id: &Id) -> Result<&'d Evidence, Failure> {
    let held = design.evidence.iter().find(|held| held.id.value == *id);
    held.map(|held| &*held.record).ok_or_else(|| Failure::new(format!("`{id}` was not read back")))
}

/// Paths as they were typed in `folder`, as the record at `path` says them: below its own folder where
/// they lie there, else from the manifest's folder, `root`, or up from its own where they lie beside it.
fn files_from(
    typed: &[String],
    folder: &RepoPath,
    (path, root): (&RepoPath, &RepoPath),
) -> Result<Vec<String>, Failure> {
    let one = |text: &String| {
        let from = if text.starts_with('/') { RepoPath::default() } else { folder.clone() };
        let file = from.join(text.as_bytes()).ok_or_else(|| {
            Failure::new(format!("--file: `{text}` does not lie in the repository"))
        })?;
        let own = path.folder();
        Ok(match (file.below(&own), file.below(root)) {
            (Some(below), _) => below.to_string(),
            (None, Some(below)) => format!("/{below}"),
            (None, None) => upwards(&file, own),
        })
    };
    typed.iter().map(one).collect()
}

/// The path of a file that does not lie below `folder`, seen from there: `../../bench/scale.csv`.
fn upwards(file: &RepoPath, mut folder: RepoPath) -> String {
    let mut steps = String::new();
    loop {
        if let Some(below) = file.below(&folder) {
            return format!("{steps}{below}");
        }
        steps.push_str("../");
        folder = folder.folder();
    }
}
