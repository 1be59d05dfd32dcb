//! What a release's tag says for programs: budgets, verdicts, and a digest of the bill of materials;
//! to be worked out again by whoever doubts it.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::design::Design;
use crate::evaluate::{coverage_factor, multiplicities};
use crate::facet;
use crate::record::Id;
use crate::verdict::Assessed;

/// Number of the record's shape.
const FORMAT: u32 = 1;

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
    /// How every requirement stands.
    pub verdicts: BTreeMap<String, String>,
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

/// A variant of the release.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct VariantRecord {
    /// Digest of its bill of materials.
    pub bill: String,
    /// Its budgets.
    pub budgets: BTreeMap<String, BudgetRecord>,
    /// How its requirements stand.
    pub verdicts: BTreeMap<String, String>,
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
        if record.format != FORMAT {
            return Err(unreadable(&format!("its format is {}, not {FORMAT}", record.format)));
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
        verdicts: whole.verdicts,
        variants: assessed.variants.iter().map(|of| (name(of), variant(of))).collect(),
        digest: String::new(),
    };
    record.digest = record.sealed();
    record
}

fn variant(assessed: &Assessed) -> VariantRecord {
    let design = &assessed.design;
    let coverage = coverage_factor(design);
    let budgets = assessed.figures.budgets.iter().filter(|(_, budget)| !budget.empty);
    let budgets = budgets.map(|(subject, budget)| {
        let builds = if subject.builds > 1 {
            format!(" of {} builds", subject.builds)
        } else {
            String::new()
        };
        let name = format!("{}.{}{builds}", design.id(subject.part), subject.quantity);
        let total = &budget.total;
        let value = BudgetRecord {
            basic: rounded(total.basic),
            predicted: rounded(total.predicted),
            plus_minus: rounded(coverage * total.u),
            complete: budget.missing.is_empty(),
        };
        (name, value)
    });
    let verdicts = assessed.judged.iter();
    VariantRecord {
        bill: bill(design),
        budgets: budgets.collect(),
        verdicts: verdicts
            .map(|judged| (judged.requirement.to_string(), judged.verdict.word().to_owned()))
            .collect(),
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

/// What `recorded` says otherwise than `found`, in the order of the record.
#[must_use]
pub fn differences(recorded: &Record, found: &Record) -> Vec<Difference> {
    let mut all = Vec::new();
    push(&mut all, None, "design", Some(recorded.design.clone()), Some(found.design.clone()));
    push(&mut all, None, "release", Some(recorded.release.clone()), Some(found.release.clone()));
    push(&mut all, None, "last release", recorded.since.clone(), found.since.clone());
    let whole = |of: &Record| VariantRecord {
        bill: of.bill.clone(),
        budgets: of.budgets.clone(),
        verdicts: of.verdicts.clone(),
    };
    within(&mut all, None, Some(&whole(recorded)), Some(&whole(found)));
    for name in names(&recorded.variants, &found.variants) {
        let variant = Id::from(name.as_str());
        let (was, is) = (recorded.variants.get(name), found.variants.get(name));
        within(&mut all, Some(&variant), was, is);
    }
    all
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
    for name in names(&recorded.verdicts, &found.verdicts) {
        let (was, is) = (recorded.verdicts.get(name), found.verdicts.get(name));
        push(all, variant, name, was.cloned(), is.cloned());
    }
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
    /// Whether two are the same but for what another machine's arithmetic may add.
    fn is_near(&self, other: &Self) -> bool {
        let near = |one: f64, other: f64| {
            (one - other).abs() <= 1e-9 * one.abs().max(other.abs())
                || one.to_bits() == other.to_bits()
        };
        self.complete == other.complete
            && near(self.basic, other.basic)
            && near(self.predicted, other.predicted)
            && near(self.plus_minus, other.plus_minus)
    }

    fn text(&self) -> String {
        let from = if self.complete { "" } else { "from " };
        format!("{from}{} predicted, {} basic, ± {}", self.predicted, self.basic, self.plus_minus)
    }
}

#[cfg(test)]
mod tests {
    use semver::Version;

    use super::*;
    use crate::assess;
    use crate::evidence::RevisionSeals;
    use crate::fixture::design;
    use crate::verdict::{Documents, Occasion};

    const SCANNER: &str = "[part.scanner]\norigin = \"assembled\"\ncontains = { body = 2 }\n\
        [part.body]\norigin = \"printed\"\nversion = \"1.0.0\"\nmass = \"400 g ± 2 g\"\n\
        [requirement.light]\npart = \"scanner\"\nquantity = \"mass\"\nat-most = \"1 kg\"\n\
        [variant.half]\n[variant.half.change.scanner]\nbody = 1\n";

    fn record(text: &str) -> Record {
        let occasion = Occasion::new(Version::new(1, 0, 0), jiff::civil::date(2026, 10, 20));
        let documents = Documents::default();
        record_of(&assess::judge(&design(text), &RevisionSeals::default(), &documents, occasion))
    }

    #[test]
    fn a_record_is_read_back_from_a_message_with_a_signature_behind_it() {
        let record = record(SCANNER);
        let text = record.text();
        let message = format!("lantern 1.0.0\n\n{text}-----BEGIN SSH SIGNATURE-----\nabc\n");
        assert_eq!(Record::read(&message), Ok(record.clone()));
        assert_eq!(Record::read(&message.replace('\n', "\r\n")), Ok(record));
    }

    #[test]
    fn an_edited_record_is_told_from_one_that_cannot_be_read() {
        let text = record(SCANNER).text();
        assert_eq!(Record::read("lantern 1.0.0"), Err(RecordError::Missing));
        assert_eq!(Record::read(&text.replace("\"pass\"", "\"fail\"")), Err(RecordError::Edited));
        assert_eq!(Record::read(&text.replace("0.8", "0.7")), Err(RecordError::Edited));
        let unreadable = |text: &str| matches!(Record::read(text), Err(RecordError::Unreadable(_)));
        assert!(unreadable(&text.replace("\"bill\"", "\"bil\"")));
        assert!(unreadable(&text.replace(CLOSING, "")));
        assert!(unreadable(&text.replace("\"format\": 1", "\"format\": 2")));
    }

    #[test]
    fn a_title_cannot_put_a_record_before_the_record() {
        let (real, other) = (record(SCANNER), record(&SCANNER.replace("400 g", "300 g")));
        let message = format!("{}\n{}", other.text(), real.text());
        assert_eq!(Record::read(&message), Ok(real));
    }

    #[test]
    fn what_differs_is_named() {
        let was = record(SCANNER);
        let differ = |from: &str, to: &str| -> Vec<String> {
            let is = record(&SCANNER.replace(from, to));
            let line = |found: &Difference| {
                let variant =
                    found.variant.as_ref().map(|id| format!("{id}: ")).unwrap_or_default();
                let text = |of: &Option<String>| of.clone().unwrap_or_else(|| "nothing".to_owned());
                match found.what.as_str() {
                    "bill of materials" => format!("{variant}bill"),
                    what => format!(
                        "{variant}{what}: {} → {}",
                        text(&found.recorded),
                        text(&found.found)
                    ),
                }
            };
            differences(&was, &is).iter().map(line).collect()
        };
        assert_eq!(differ("400 g", "0.4 kg"), [""; 0]);
        assert_eq!(differ("1.0.0", "1.1.0"), ["bill", "half: bill"]);
        assert_eq!(
            differ("400 g", "600 g"),
            [
                "scanner.mass: 0.8 predicted, 0.8 basic, ± 0.004 → 1.2 predicted, 1.2 basic, ± 0.004",
                "light: pass → fail",
                "half: scanner.mass: 0.4 predicted, 0.4 basic, ± 0.002 → 0.6 predicted, 0.6 basic, ± 0.002",
            ]
        );
        assert_eq!(differ("variant.half", "variant.less").len(), 2);
    }
}
