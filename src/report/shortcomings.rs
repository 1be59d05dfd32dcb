//! What a release is known not to do: what is waived, deferred, or only wished for and missed.

use serde::Serialize;

use super::checklist::Checklist;
use super::requirements::RequirementRow;
use super::variants::is_of;
use crate::record::Id;
use crate::verdict::{Assessed, Covered, Judged, Verdict};

/// Something that a release is known to lack.
#[derive(Clone, Debug, Serialize)]
pub struct ShortcomingRow {
    /// The requirement, check or item, and the variant where it is of one alone.
    pub about: String,
    /// What is lacking.
    pub what: String,
    /// Why it is let through.
    pub why: Option<String>,
    /// The release that it is to be mended for.
    pub until: Option<String>,
}

/// The shortcomings of what was judged: requirements, what the checks found, variants, items.
pub(super) fn shortcomings(assessed: &Assessed, checklist: &Checklist) -> Vec<ShortcomingRow> {
    let missed = checklist.requirements.iter().filter(|row| is_missed(row));
    let missed = missed.map(|row| {
        let value = row.value.as_ref().map(|value| format!(" {},", value.text)).unwrap_or_default();
        let what = format!("{},{value} promised {}", row.beneath.word(), row.promised);
        let waiver = row.waiver.as_ref();
        let until = waiver.map(|waiver| waiver.until_before.to_string());
        let why = waiver.and_then(|waiver| why(assessed, &waiver.id));
        ShortcomingRow { about: row.id.to_string(), what, why, until }
    });
    let waived = assessed.findings.iter().filter_map(|finding| {
        let covered = finding.covered.as_ref()?;
        let about = finding.check.0.to_owned();
        Some(let_through(assessed, covered, about, finding.message.clone()))
    });
    let of_variants = assessed.variants.iter().flat_map(|variant| of_variant(assessed, variant));
    let open = checklist.items.iter().filter(|row| !row.in_the_way && row.waiver.is_none());
    let open = open.map(|row| ShortcomingRow {
        about: row.id.to_string(),
        what: row.title.clone().unwrap_or_else(|| "open".to_owned()),
        why: None,
        until: row.due.clone(),
    });
    missed.chain(waived).chain(of_variants).chain(open).collect()
}

fn is_missed(row: &RequirementRow) -> bool {
    !row.in_the_way && !matches!(row.verdict, Verdict::Pass | Verdict::Later)
}

/// What is let through of a variant, and is not so in the design itself.
fn of_variant(assessed: &Assessed, variant: &Assessed) -> Vec<ShortcomingRow> {
    let name = variant.design.variant.as_ref().map(ToString::to_string).unwrap_or_default();
    let own = variant.findings.iter().filter(|finding| !is_of(assessed, finding));
    let waived = own.filter_map(|finding| {
        let about = format!("{} in {name}", finding.check);
        Some(let_through(variant, finding.covered.as_ref()?, about, finding.message.clone()))
    });
    let is_waived_in_all = |judged: &Judged| {
        assessed.of_requirement(&judged.requirement).is_some_and(|all| all.covered.is_some())
    };
    let missed = variant.judged.iter().filter(|judged| !is_waived_in_all(judged));
    let missed = missed.filter_map(|judged| {
        let about = format!("{} in {name}", judged.requirement);
        let what = judged.beneath.word().to_owned();
        Some(let_through(variant, judged.covered.as_ref()?, about, what))
    });
    waived.chain(missed).collect()
}

fn let_through(
    assessed: &Assessed,
    covered: &Covered,
    about: String,
    what: String,
) -> ShortcomingRow {
    let until = Some(covered.until_before.to_string());
    ShortcomingRow { about, what, why: why(assessed, &covered.waiver), until }
}

fn why(assessed: &Assessed, waiver: &Id) -> Option<String> {
    let held = assessed.design.waivers.iter().find(|held| held.id.value == *waiver)?;
    held.why.as_ref().map(|why| why.value.clone())
}
