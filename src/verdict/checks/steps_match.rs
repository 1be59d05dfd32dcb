//! `steps-match`: the steps use exactly what the bill of materials has.

use rust_decimal::Decimal;

use super::{Check, Context, finding, place};
use crate::design::Design;
use crate::diagnostic::{Code, Span};
use crate::evaluate::reconcile::{Reconciled, Reconciliation, reconcile};
use crate::fileset::RepoPath;
use crate::quantity::{Dimension, show_measure};
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("steps-match"),
    title: "The steps use exactly what the bill of materials has",
    doc: "All steps together use every part as often as the product holds it, and make every \
          assembly that they use; what optional parts add is compared by itself, with the steps that \
          are kept to them. Fasteners of one kind in another length are named as one mistake. A \
          design without any step is not compared.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    let found = reconcile(design);
    let in_groups: Vec<usize> = found.mixed_up.iter().flatten().copied().collect();
    let groups = found.mixed_up.iter().map(|group| of_group(design, &found, group));
    let single = found.rows.iter().enumerate();
    let single = single.filter(|(at, row)| !row.agrees() && !in_groups.contains(at));
    groups.chain(single.map(|(_, row)| of_row(design, row))).collect()
}

fn of_group(design: &Design, found: &Reconciliation, group: &[usize]) -> Finding {
    let rows: Vec<&Reconciled> = group.iter().map(|at| &found.rows[*at]).collect();
    let mut parts = rows.iter().map(|row| row.part);
    Finding {
        part: parts.next(),
        through: parts.collect(),
        place: rows.first().and_then(|row| place_of(design, row)),
        remedy: Some("put the length that the drawing asks for into list and steps".to_owned()),
        ..finding(CHECK.code, mixed_up(design, &rows))
    }
}

fn of_row(design: &Design, row: &Reconciled) -> Finding {
    let id = design.id(row.part);
    Finding {
        part: Some(row.part),
        place: place_of(design, row),
        remedy: Some(format!("bring the list and the steps of `{id}` together")),
        ..finding(CHECK.code, differs(design, row))
    }
}

/// `ISO 4762: listed M3x8 × 14; steps use M3x8 × 12 and M3x10 × 2`.
fn mixed_up(design: &Design, rows: &[&Reconciled]) -> String {
    let named = |row: &&Reconciled| design.record(row.part).designation.as_deref().cloned();
    let designations: Vec<String> = rows.iter().filter_map(named).collect();
    let standard = standard_of(&designations);
    let size = |row: &Reconciled| {
        let text = design.record(row.part).designation.as_ref().map_or("", |text| text.as_str());
        text[standard.len()..].trim().to_owned()
    };
    let told = |of: fn(&Reconciled) -> Decimal| {
        let rows = rows.iter().filter(|row| !of(row).is_zero());
        let rows: Vec<String> =
            rows.map(|row| format!("{} × {}", size(row), amount(design, row, of(row)))).collect();
        if rows.is_empty() { "none".to_owned() } else { rows.join(" and ") }
    };
    let (listed, used) = (told(|row| row.listed), told(|row| row.used));
    let colon = if standard.is_empty() { "" } else { ": " };
    format!("{}{colon}listed {listed}; steps use {used}", standard.trim())
}

/// The first two words, where all designations have them: `ISO 4762 `.
fn standard_of(designations: &[String]) -> &str {
    let Some(first) = designations.first() else { return "" };
    let end = first.match_indices(' ').nth(1).map_or(0, |(at, _)| at + 1);
    let standard = &first[..end];
    if designations.iter().all(|other| other.starts_with(standard)) { standard } else { "" }
}

fn differs(design: &Design, row: &Reconciled) -> String {
    let id = design.id(row.part);
    let optional = if row.optional { ", with all optional parts," } else { "" };
    if row.other_measure {
        let by = design.amounts[row.part.index()];
        let by = if by == Dimension::NONE { "the piece".to_owned() } else { by.to_string() };
        return format!("`{id}` comes by {by}, and steps use it otherwise");
    }
    let steps = steps(row);
    match row.made {
        Some(made) if row.is_used_as_listed() && made.is_zero() => {
            format!("`{id}` is used{steps}, and no step makes it")
        }
        Some(made) if row.is_used_as_listed() => {
            let made = amount(design, row, made);
            let listed = amount(design, row, row.listed);
            format!("`{id}`{optional} is made × {made} and listed × {listed}")
        }
        _ if row.listed.is_zero() => {
            let used = amount(design, row, row.used);
            let not_listed = if row.optional { "no optional part" } else { "not listed" };
            format!("`{id}` is {not_listed}; steps use × {used}{steps}")
        }
        _ => {
            let listed = amount(design, row, row.listed);
            let used = amount(design, row, row.used);
            let used = match row.used.is_zero() {
                true => "no step uses it".to_owned(),
                false => format!("steps use × {used}{steps}"),
            };
            format!("`{id}`{optional} is listed × {listed}; {used}")
        }
    }
}

/// `, in close-the-lid`.
fn steps(row: &Reconciled) -> String {
    let steps: Vec<String> = row.used_in.iter().map(|step| format!("`{step}`")).collect();
    if steps.is_empty() { String::new() } else { format!(" in {}", steps.join(", ")) }
}

/// Pieces, or an extent in the unit that the list has it in.
fn amount(design: &Design, row: &Reconciled, amount: Decimal) -> String {
    let dimension = design.amounts[row.part.index()];
    if dimension == Dimension::NONE {
        return amount.normalize().to_string();
    }
    let base = crate::evaluate::Number::Exact(amount).to_f64();
    show_measure(base, &design.units_of_amounts()[row.part.index()])
}

/// Where the first step that uses it says so, or makes it; else where the part is written.
fn place_of(design: &Design, row: &Reconciled) -> Option<(RepoPath, Span)> {
    let id = design.id(row.part);
    let named = row.used_in.first().or(row.made_in.first());
    let in_step = named.and_then(|step| {
        let step = design.steps.iter().find(|held| held.id.value == *step)?;
        let mut named = step.uses.iter().chain(&step.makes);
        let (_, amount) = named.find(|(part, _)| part.value == *id)?;
        Some(place(&step.path, amount))
    });
    let held = design.record(row.part);
    in_step.or_else(|| Some(place(&held.path, &held.id)))
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found;

    const PARTS: &str = r#"
[part.scanner]
origin = "assembled"
contains = { gate-unit = 1, m3x8 = 10, washer = 4, felt = "0.35 m" }
[part.gate-unit]
origin = "assembled"
contains = { m3x8 = 4 }
[part.m3x8]
origin = "bought"
designation = "ISO 4762 M3x8"
[part.m3x10]
origin = "bought"
designation = "ISO 4762 M3x10"
[part.washer]
origin = "bought"
[part.felt]
origin = "bought"
"#;
    const STEPS: &str = r#"
[step.line]
uses = { m3x8 = 4 }
makes = { gate-unit = 1 }
[step.close]
uses = { gate-unit = 1, m3x8 = 10, washer = 4, felt = "35 cm" }
"#;

    fn after(was: &str, is: &str) -> Vec<String> {
        assert!(STEPS.contains(was));
        found("steps-match", &format!("{PARTS}{}", STEPS.replace(was, is)), "1.0.0")
    }

    #[test]
    fn steps_that_use_what_is_listed_pass() {
        assert_eq!(after("line", "line"), [""; 0]);
        assert_eq!(found("steps-match", PARTS, "1.0.0"), [""; 0], "there are no steps");
    }

    #[test]
    fn screws_in_another_length_are_one_mistake() {
        assert_eq!(
            after("m3x8 = 10", "m3x8 = 8, m3x10 = 2"),
            ["ISO 4762: listed M3x8 × 14; steps use M3x8 × 12 and M3x10 × 2"]
        );
    }

    #[test]
    fn a_wrong_count_is_named_with_its_steps() {
        assert_eq!(
            after("washer = 4", "washer = 2"),
            ["`washer` is listed × 4; steps use × 2 in `close`"]
        );
        assert_eq!(after("washer = 4, ", ""), ["`washer` is listed × 4; no step uses it"]);
        assert_eq!(
            after("35 cm", "0.5 m"),
            ["`felt` is listed × 0.35 m; steps use × 0.5 m in `close`"]
        );
        assert_eq!(
            after("m3x8 = 10", "m3x8 = 10, m3x10 = 1"),
            ["`m3x10` is not listed; steps use × 1 in `close`"]
        );
        assert_eq!(
            after("\"35 cm\"", "1"),
            ["`felt` comes by a length, and steps use it otherwise"]
        );
    }

    #[test]
    fn an_assembly_that_no_step_makes_is_named() {
        assert_eq!(
            after("uses = { m3x8 = 4 }\nmakes = { gate-unit = 1 }", "note = \"nothing\""),
            ["`gate-unit` is used in `close`, and no step makes it"]
        );
        assert_eq!(
            after("makes = { gate-unit = 1 }", "makes = { gate-unit = 2 }"),
            ["`gate-unit` is made × 2 and listed × 1"]
        );
    }
}
