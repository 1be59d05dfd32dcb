//! What a record says otherwise than it was worked out again.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{BudgetRecord, EndRecord, Record, VariantRecord, WITHOUT_FIGURES};
use crate::record::Id;

/// Something that a record says otherwise than it was worked out again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// The variant, where it is of one.
    pub variant: Option<Id>,
    /// What differs: `mass of scanner`, `verdict of carry-mass`, `bill`.
    pub what: String,
    /// As the record has it; nothing where it has none.
    pub recorded: Option<String>,
    /// As it was worked out; nothing where there is none.
    pub found: Option<String>,
}

/// What `recorded` says otherwise than `found`, in the order of the record. What the shape of
/// `recorded` has no place for is not compared.
#[must_use]
pub fn differences(recorded: &Record, found: &Record) -> Vec<Difference> {
    let found = &as_shaped(found, recorded.format);
    let mut all = Vec::new();
    push(&mut all, None, "design", Some(recorded.design.clone()), Some(found.design.clone()));
    push(&mut all, None, "release", Some(recorded.release.clone()), Some(found.release.clone()));
    push(&mut all, None, "last release", recorded.since.clone(), found.since.clone());
    let whole = |of: &Record| VariantRecord {
        bill: of.bill.clone(),
        budgets: of.budgets.clone(),
        figures: of.figures.clone(),
        verdicts: of.verdicts.clone(),
        findings: of.findings.clone(),
    };
    within(&mut all, None, Some(&whole(recorded)), Some(&whole(found)));
    for name in names(&recorded.variants, &found.variants) {
        let variant = Id::from(name.as_str());
        let (was, is) = (recorded.variants.get(name), found.variants.get(name));
        within(&mut all, Some(&variant), was, is);
    }
    all
}

/// `record` with no more than a record of `format` has.
fn as_shaped(record: &Record, format: u32) -> Record {
    let mut record = record.clone();
    if format == WITHOUT_FIGURES {
        record.figures.clear();
        record.findings.clear();
        for variant in record.variants.values_mut() {
            variant.figures.clear();
            variant.findings.clear();
        }
    }
    record
}

fn within(
    all: &mut Vec<Difference>,
    variant: Option<&Id>,
    recorded: Option<&VariantRecord>,
    found: Option<&VariantRecord>,
) {
    let (Some(recorded), Some(found)) = (recorded, found) else {
        let word = |of: Option<&VariantRecord>| of.map(|_| "there".to_owned());
        push(all, variant, "variant", word(recorded), word(found));
        return;
    };
    push(all, variant, "bill of materials", Some(recorded.bill.clone()), Some(found.bill.clone()));
    for name in names(&recorded.budgets, &found.budgets) {
        let (was, is) = (recorded.budgets.get(name), found.budgets.get(name));
        if !was.zip(is).is_some_and(|(was, is)| was.is_near(is)) {
            push(all, variant, name, was.map(BudgetRecord::text), is.map(BudgetRecord::text));
        }
    }
    for name in names(&recorded.figures, &found.figures) {
        let (was, is) = (recorded.figures.get(name), found.figures.get(name));
        if !was.zip(is).is_some_and(|(was, is)| are_near(was, is)) {
            let text = |ends: &Vec<EndRecord>| {
                let ends: Vec<String> = ends.iter().map(EndRecord::text).collect();
                if ends.is_empty() { "not computed".to_owned() } else { ends.join("; ") }
            };
            push(all, variant, name, was.map(text), is.map(text));
        }
    }
    for name in names(&recorded.verdicts, &found.verdicts) {
        let (was, is) = (recorded.verdicts.get(name), found.verdicts.get(name));
        push(all, variant, name, was.cloned(), is.cloned());
    }
    for name in names(&recorded.findings, &found.findings) {
        let text = |found: &Vec<String>| found.join("; ");
        let (was, is) = (recorded.findings.get(name), found.findings.get(name));
        push(all, variant, name, was.map(text), is.map(text));
    }
}

fn are_near(one: &[EndRecord], other: &[EndRecord]) -> bool {
    one.len() == other.len() && one.iter().zip(other).all(|(one, other)| one.is_near(other))
}

/// Whether two numbers are the same but for what another machine's arithmetic may add to a value of
/// the size of `scale`.
fn near(one: f64, other: f64, scale: f64) -> bool {
    let scale = scale.max(one.abs()).max(other.abs());
    (one - other).abs() <= 1e-9 * scale || one.to_bits() == other.to_bits()
}

fn push(
    all: &mut Vec<Difference>,
    variant: Option<&Id>,
    what: &str,
    recorded: Option<String>,
    found: Option<String>,
) {
    if recorded != found {
        all.push(Difference { variant: variant.cloned(), what: what.to_owned(), recorded, found });
    }
}

/// The names in either, in order, each once.
fn names<'a, T>(one: &'a BTreeMap<String, T>, other: &'a BTreeMap<String, T>) -> Vec<&'a String> {
    let mut names: Vec<&String> = one.keys().chain(other.keys()).collect();
    names.sort();
    names.dedup();
    names
}

impl BudgetRecord {
    fn is_near(&self, other: &Self) -> bool {
        self.complete == other.complete
            && near(self.basic, other.basic, 0.0)
            && near(self.predicted, other.predicted, 0.0)
            && near(self.plus_minus, other.plus_minus, 0.0)
    }

    fn text(&self) -> String {
        let from = if self.complete { "" } else { "from " };
        format!("{from}{} predicted, {} basic, ± {}", self.predicted, self.basic, self.plus_minus)
    }
}

impl EndRecord {
    fn is_near(&self, other: &Self) -> bool {
        // Differences of large numbers may be small ones: what is uncertain by more is no other.
        let near = |one: f64, other: f64| near(one, other, self.plus_minus);
        let is_worst_near = match (&self.worst, &other.worst) {
            (Some(one), Some(other)) => near(one[0], other[0]) && near(one[1], other[1]),
            (one, other) => one == other,
        };
        self.at == other.at
            && near(self.value, other.value)
            && near(self.plus_minus, other.plus_minus)
            && is_worst_near
    }

    fn text(&self) -> String {
        let at = if self.at.is_empty() { String::new() } else { format!("{}: ", self.at) };
        let worst = self.worst.map(|[low, high]| format!(", {low} to {high} at worst"));
        format!("{at}{} ± {}{}", self.value, self.plus_minus, worst.unwrap_or_default())
    }
}
