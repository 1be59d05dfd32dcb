//! What a release's tag says for programs: budgets, computed figures, verdicts, findings that were let
//! through, and a digest of the bill of materials; to be worked out again by whoever doubts it.

mod differences;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::design::Design;
use crate::evaluate::{Aim, Budget, End, Extreme, Subject, coverage_factor, multiplicities};
use crate::facet;
use crate::verdict::{Assessed, Finding};

pub use differences::{Difference, differences};

/// Number of the record's shape.
const FORMAT: u32 = 2;

/// The first shape, which had no computed figures and no findings. It is still read, and compared in
/// what it has.
const WITHOUT_FIGURES: u32 = 1;

/// The line before a record, and the one behind it.
const OPENING: &str = "release record (JSON):";
const CLOSING: &str = "end of release record";

/// The longest record that is read, in bytes.
const MOST_BYTES: usize = 1 << 22;

/// A release in numbers and words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Record {
    /// Number of the shape.
    pub format: u32,
    /// The design.
    pub design: String,
    /// The release.
    pub release: String,
    /// The release before it.
    pub since: Option<String>,
    /// Digest of the bill of materials: what goes in, how many, and what each is.
    pub bill: String,
    /// Budgets as they are shown, by what they are of.
    pub budgets: BTreeMap<String, BudgetRecord>,
    /// Computed figures that are promised something of, at each of their ends.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub figures: BTreeMap<String, Vec<EndRecord>>,
    /// How every requirement stands.
    pub verdicts: BTreeMap<String, String>,
    /// What release checks found, by check and parts, and which waiver lets it through.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub findings: BTreeMap<String, Vec<String>>,
    /// The same of every variant.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub variants: BTreeMap<String, VariantRecord>,
    /// Digest of all of it, which an edit by hand does not fit.
    pub digest: String,
}

/// One budget, in base units.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct BudgetRecord {
    /// The sum of the figures.
    pub basic: f64,
    /// The same with the growth allowance.
    pub predicted: f64,
    /// ± at the design's coverage factor.
    pub plus_minus: f64,
    /// Whether every part has a figure.
    pub complete: bool,
}

/// A computed figure under one set of conditions, in base units.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct EndRecord {
    /// The conditions, where they make a difference: `hot`, `cold, with all options`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub at: String,
    /// The value.
    pub value: f64,
    /// ± at the design's coverage factor.
    pub plus_minus: f64,
    /// The least and the most that it comes to within the limits of its inputs, where that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worst: Option<[f64; 2]>,
}

/// A variant of the release.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct VariantRecord {
    /// Digest of its bill of materials.
    pub bill: String,
    /// Its budgets.
    pub budgets: BTreeMap<String, BudgetRecord>,
    /// Its computed figures.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub figures: BTreeMap<String, Vec<EndRecord>>,
    /// How its requirements stand.
    pub verdicts: BTreeMap<String, String>,
    /// What release checks found of it.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub findings: BTreeMap<String, Vec<String>>,
}

/// Why a message holds no record that can be compared.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RecordError {
    /// There is none.
    Missing,
    /// It is no record of a shape that is known.
    Unreadable(String),
    /// It was changed after it was written.
    Edited,
}

impl fmt::Display for RecordError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing => out.write_str("its message holds no release record"),
            Self::Unreadable(why) => write!(out, "its release record cannot be read: {why}"),
            Self::Edited => out.write_str("its release record was edited: its digest is another"),
        }
    }
}

impl Record {
    /// The record as it stands in a message, on lines of its own.
    #[must_use]
    pub fn text(&self) -> String {
        let json = serde_json::to_string_pretty(self)
            .expect("a record has text keys and no maps of others");
        format!("{OPENING}\n{json}\n{CLOSING}\n")
    }

    /// The record in a message: the last one, so that nothing written before it is taken for it.
    ///
    /// # Errors
    /// [`RecordError`] where there is none, or it was edited.
    pub fn read(message: &str) -> Result<Self, RecordError> {
        let message = message.replace("\r\n", "\n");
        let (_, rest) = message.rsplit_once(&format!("{OPENING}\n")).ok_or(RecordError::Missing)?;
        let unreadable = |why: &str| RecordError::Unreadable(why.to_owned());
        let end = rest.find(&format!("\n{CLOSING}")).ok_or_else(|| unreadable("it has no end"))?;
        if end > MOST_BYTES {
            return Err(unreadable("it is too long"));
        }
        let record: Self =
            serde_json::from_str(&rest[..end]).map_err(|error| unreadable(&error.to_string()))?;
        if !(WITHOUT_FIGURES..=FORMAT).contains(&record.format) {
            let known = format!("{WITHOUT_FIGURES} or {FORMAT}");
            return Err(unreadable(&format!("its format is {}, not {known}", record.format)));
        }
        match record.digest == record.sealed() {
            true => Ok(record),
            false => Err(RecordError::Edited),
        }
    }

    /// The digest of all but the digest.
    fn sealed(&self) -> String {
        let open = Self { digest: String::new(), ..self.clone() };
        let json =
            serde_json::to_string(&open).expect("a record has text keys and no maps of others");
        sha256(json.as_bytes())
    }
}

/// The record of a judged design.
#[must_use]
pub fn record_of(assessed: &Assessed) -> Record {
    let whole = variant(assessed);
    let name = |assessed: &Assessed| {
        let id = assessed.design.variant.as_ref();
        id.map(ToString::to_string).unwrap_or_default()
    };
    let mut record = Record {
        format: FORMAT,
        design: assessed.design.name.to_string(),
        release: assessed.occasion.release.to_string(),
        since: assessed.occasion.past.last.as_ref().map(|last| last.version.to_string()),
        bill: whole.bill,
        budgets: whole.budgets,
        figures: whole.figures,
        verdicts: whole.verdicts,
        findings: whole.findings,
        variants: assessed.variants.iter().map(|of| (name(of), variant(of))).collect(),
        digest: String::new(),
    };
    record.digest = record.sealed();
    record
}

fn variant(assessed: &Assessed) -> VariantRecord {
    let design = &assessed.design;
    let budgets = assessed.figures.budgets.iter().filter(|(_, budget)| !budget.empty);
    let verdicts = assessed.judged.iter();
    VariantRecord {
        bill: bill(design),
        budgets: budgets.map(|(subject, budget)| budget_record(design, subject, budget)).collect(),
        figures: figures(assessed),
        verdicts: verdicts
            .map(|judged| (judged.requirement.to_string(), judged.verdict.word().to_owned()))
            .collect(),
        findings: findings(assessed),
    }
}

fn budget_record(design: &Design, subject: &Subject, budget: &Budget) -> (String, BudgetRecord) {
    let builds = match subject.builds {
        1 => String::new(),
        builds => format!(" of {builds} builds"),
    };
    let total = &budget.total;
    let value = BudgetRecord {
        basic: rounded(total.basic),
        predicted: rounded(total.predicted),
        plus_minus: rounded(coverage_factor(design) * total.u),
        complete: budget.missing.is_empty(),
    };
    (format!("{}.{}{builds}", design.id(subject.part), subject.quantity), value)
}

/// By name, each end; none of a figure that could not be computed.
fn figures(assessed: &Assessed) -> BTreeMap<String, Vec<EndRecord>> {
    let design = &assessed.design;
    let coverage = coverage_factor(design);
    let named = assessed.figures.computed.iter().map(|(aim, figure)| {
        let name = match aim {
            Aim::Part(part, quantity) => format!("{}.{quantity}", design.id(*part)),
            Aim::Rail(rail) => format!("rail {rail}"),
        };
        let ends = figure.iter().flat_map(|figure| &figure.ends);
        (name, ends.map(|end| end_record(end, coverage)).collect())
    });
    named.collect()
}

fn end_record(end: &End, coverage: f64) -> EndRecord {
    let extreme = end.extreme.map(|extreme| match extreme {
        Extreme::Hot => "hot",
        Extreme::Cold => "cold",
    });
    let options = end.with_options.then_some("with all options");
    let worst = end.worst.as_ref().and_then(|worst| worst.as_ref().ok());
    EndRecord {
        at: extreme.into_iter().chain(options).collect::<Vec<_>>().join(", "),
        value: rounded(end.value.value),
        plus_minus: rounded(coverage * end.value.u()),
        worst: worst.map(|worst| [rounded(worst.low), rounded(worst.high)]),
    }
}

/// Findings by what makes them the same in any version of the program: their check and their parts.
fn findings(assessed: &Assessed) -> BTreeMap<String, Vec<String>> {
    let mut all: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for finding in &assessed.findings {
        all.entry(about(&assessed.design, finding)).or_default().push(match &finding.covered {
            Some(covered) => {
                format!("waived by {} until before {}", covered.waiver, covered.until_before)
            }
            None => "in the way".to_owned(),
        });
    }
    all.values_mut().for_each(|found| found.sort());
    all
}

/// `export-order of led-panel`.
fn about(design: &Design, finding: &Finding) -> String {
    let mut parts: Vec<&str> = Vec::new();
    for part in finding.part.iter().chain(&finding.through) {
        let id = design.id(*part).as_str();
        if !parts.contains(&id) {
            parts.push(id);
        }
    }
    match parts.is_empty() {
        true => finding.check.to_string(),
        false => format!("{} of {}", finding.check, parts.join(", ")),
    }
}

/// `number` to twelve significant digits, as all that is kept.
fn rounded(number: f64) -> f64 {
    format!("{number:.11e}").parse().unwrap_or(number)
}

/// Digest of what the product holds: part, amount, version, and the seal of what it is.
fn bill(design: &Design) -> String {
    let (counts, all) =
        (multiplicities(design, design.top, false), multiplicities(design, design.top, true));
    let mut lines = String::new();
    for part in design.product() {
        let amount = |of: Option<rust_decimal::Decimal>| {
            of.map_or_else(|| "?".to_owned(), |amount| amount.normalize().to_string())
        };
        let version = design.record(part).version.as_ref();
        let version = version.map(|version| version.value.to_string()).unwrap_or_default();
        let seal = facet::seal(&facet::of(design, part));
        let amounts = format!("{} {}", amount(counts.of(part)), amount(all.of(part)));
        lines.push_str(&format!("{} {amounts} {version} {seal}\n", design.id(part)));
    }
    sha256(lines.as_bytes())
}

fn sha256(bytes: &[u8]) -> String {
    let digest = Sha256::digest(bytes);
    let hex: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
    format!("sha256:{hex}")
}
