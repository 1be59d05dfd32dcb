//! What changes do, in a small scanner.

mod causes;
mod changes;
mod computed;
mod laws;
mod promises;
mod reached;
mod variants;

use std::fmt::Write;

use super::{Impact, impact};
use crate::assess;
use crate::evidence::{RevisionSeals, covered, seal_text};
use crate::facet::table;
use crate::fixture::design;
use crate::quantity::{show_difference, show_measure};
use crate::record::{Date, Id};
use crate::verdict::{Assessed, Documents, Occasion};

/// Two levels, a budget for mass and one for cost.
const SCANNER: &str = r#"
[part.scanner]
origin = "assembled"
contains = { head = 1, screw = 4 }
[part.head]
origin = "assembled"
version = "1.0.0"
contains = { panel = 2, gate = 1 }
[part.panel]
origin = "bought"
version = "1.2.0"
mpn = "P-1"
mass = "200 g"
offer = [{ supplier = "light-shop", price = "40 EUR" }]
[part.gate]
origin = "printed"
mass = "300 g"
setting = { slot = "5 mm" }
offer = [{ supplier = "print-shop", price = "20 EUR" }]
[part.screw]
origin = "bought"
mass = "5 g"
offer = [{ supplier = "light-shop", price = "0.05 EUR" }]
[supplier.light-shop]
[supplier.print-shop]
[requirement.carry-mass]
part = "scanner"
quantity = "mass"
at-most = "800 g"
[requirement.cost-ceiling]
part = "scanner"
quantity = "cost"
at-most = "110 EUR"
"#;

fn assessed(text: &str) -> Assessed {
    let design = design(text);
    let release = design.next.clone();
    let occasion = Occasion::new(release, Date::constant(2026, 10, 5));
    assess::judge(&design, &RevisionSeals::default(), &Documents::default(), occasion)
}

/// `SCANNER` with replacements, each of which must find its place.
fn changed(replacements: &[(&str, &str)]) -> String {
    let replace = |text: String, (from, to): &(&str, &str)| {
        assert!(text.contains(from), "`{from}` stands in the fixture");
        text.replace(from, to)
    };
    replacements.iter().fold(SCANNER.to_owned(), replace)
}

/// An impact, one line for each thing that is another.
fn shown(impact: &Impact) -> String {
    let mut lines = String::new();
    let words =
        |ids: &[Id], between: &str| ids.iter().map(Id::as_str).collect::<Vec<_>>().join(between);
    for part in &impact.parts {
        let facets: Vec<_> = part.facets.iter().map(|facet| facet.word()).collect();
        let paths: Vec<_> = part.reaches.iter().map(|path| words(path, " → ")).collect();
        let version = |version: &Option<semver::Version>| {
            version.as_ref().map_or("-".to_owned(), ToString::to_string)
        };
        let versions = format!("{} → {}", version(&part.version.0), version(&part.version.1));
        let (how, facets, paths) = (part.how, facets.join(", "), paths.join(" | "));
        let required = words(&part.requirements, ", ");
        let _ = writeln!(lines, "{} {how:?}: {facets}; {versions}; {paths}; {required}", part.part);
    }
    for budget in impact.budgets.iter().filter(|budget| budget.before != budget.after) {
        let value = |total: &Option<crate::evaluate::Total>| {
            total.map_or("-".to_owned(), |total| show_measure(total.predicted, &budget.unit))
        };
        let share =
            |(part, share): &(Id, f64)| format!("{part} {}", show_difference(*share, &budget.unit));
        let shares: Vec<_> = budget.shares.iter().map(share).collect();
        let (before, after) = (value(&budget.before), value(&budget.after));
        let (part, quantity) = (&budget.part, &budget.quantity);
        let _ = writeln!(lines, "{part} {quantity} {before} → {after}: {}", shares.join(", "));
    }
    lines.push_str(&verdicts(impact));
    for loosened in &impact.loosened {
        let (what, before, after) = (loosened.what, &loosened.before, &loosened.after);
        let _ = writeln!(lines, "{} loosened {what}: {before} → {after}", loosened.requirement);
    }
    for found in &impact.new_findings {
        let _ = writeln!(lines, "+ {}: {}", found.check, found.message);
    }
    for found in &impact.gone_findings {
        let _ = writeln!(lines, "- {}: {}", found.check, found.message);
    }
    lines
}

/// The verdicts of an impact, one line each.
fn verdicts(impact: &Impact) -> String {
    let line = |change: &super::VerdictChange| {
        let word = |verdict: Option<crate::verdict::Verdict>| verdict.map_or("-", |v| v.word());
        let (before, after) = (word(change.before), word(change.after));
        let newly = if change.is_newly_failing() { ", newly failing" } else { "" };
        format!("{} {before} → {after} by {:?}{newly}\n", change.requirement, change.cause)
    };
    impact.verdicts.iter().map(line).collect()
}

fn between(before: &str, after: &str) -> Impact {
    impact(Some(&assessed(before)), &assessed(after))
}

/// `records` with a requirement that is looked at, on the screw and with the gate beside it.
fn looked_at(records: &str) -> String {
    let quiet = "[requirement.quiet]\npart = \"screw\"\nmethod = \"inspection\"\n";
    with_result(&format!("{records}{quiet}"), "look", "pass")
}

/// `records` with a result of looking at them as they are.
fn with_result(records: &str, id: &str, outcome: &str) -> String {
    let result = format!(
        "[evidence.{id}]\nverifies = [\"quiet\"]\npart = \"screw\"\nwith = [\"gate\"]\n\
         outcome = \"{outcome}\"\nmethod = \"inspection\"\n"
    );
    let records = format!("{records}{result}");
    let design = design(&records);
    let held = design.evidence.iter().find(|held| held.id.as_str() == id).expect("it is there");
    let seal = seal_text(&table(&design), &design, &covered(&design, held)).into_iter();
    let seal: String = seal.map(|(part, seal)| format!("{part} = \"{seal}\"\n")).collect();
    format!("{records}[evidence.{id}.seal]\n{seal}")
}

/// The same with a wider gate.
fn other_gate(records: &str) -> String {
    records.replacen("slot = \"5 mm\"", "slot = \"6 mm\"", 1)
}
