//! How the variants of a design stand: what is in their way that is not in the way of the design
//! itself.

use serde::Serialize;

use super::findings::{self, FindingRow, holds_up};
use super::place::Lines;
use super::requirements::{self, RequirementRow};
use crate::record::Id;
use crate::verdict::{Assessed, Finding, Judged};

/// A variant and how it stands.
#[derive(Clone, Debug, Serialize)]
pub struct VariantRow {
    /// The variant.
    pub id: Id,
    /// What people call it.
    pub title: Option<String>,
    /// Whether nothing at all is in its way.
    pub ready: bool,
    /// Requirements that are in the way here alone, in the order of ids.
    pub requirements: Vec<RequirementRow>,
    /// What release checks found here alone.
    pub findings: Vec<FindingRow>,
    /// How much is in the way here and in the design itself.
    pub in_common: usize,
    /// Requirements of the design that do not apply: their part is not in this variant.
    pub left_out: usize,
}

impl VariantRow {
    /// Whether something is in the way here that is not in the way of the design itself.
    #[must_use]
    pub fn has_its_own(&self) -> bool {
        !(self.requirements.is_empty() && self.findings.is_empty())
    }
}

/// A row a variant, in the order of ids.
pub(super) fn rows(assessed: &Assessed, lines: Lines<'_>) -> Vec<VariantRow> {
    let variants = assessed.variants.iter();
    variants.filter_map(|variant| row(assessed, variant, lines)).collect()
}

fn row(assessed: &Assessed, variant: &Assessed, lines: Lines<'_>) -> Option<VariantRow> {
    let id = variant.design.variant.as_ref()?;
    let record = variant.design.variants.iter().find(|record| record.id.value == *id)?;
    let held_up = variant.judged.iter().filter(|judged| judged.is_in_the_way()).count();
    let counts = |finding: &&Finding| {
        finding.covered.is_none() && !findings::is_of_requirement(variant, finding)
    };
    let found = variant.findings.iter().filter(counts).count();
    let requirements: Vec<RequirementRow> =
        own(assessed, variant).map(|judged| requirements::row(variant, judged)).collect();
    let findings: Vec<FindingRow> = own_findings(assessed, variant)
        .map(|finding| findings::row(&variant.design, finding, lines))
        .collect();
    Some(VariantRow {
        id: id.clone(),
        title: record.title.as_ref().map(|title| title.value.clone()),
        ready: held_up + found == 0,
        in_common: held_up + found - requirements.len() - findings.len(),
        left_out: assessed.judged.len() - variant.judged.len(),
        requirements,
        findings,
    })
}

/// Requirements that are in the way of the variant, and not of the design itself.
pub(super) fn own<'a>(
    assessed: &'a Assessed,
    variant: &'a Assessed,
) -> impl Iterator<Item = &'a Judged> {
    let held_up = variant.judged.iter().filter(|judged| judged.is_in_the_way());
    held_up.filter(|judged| {
        let itself = assessed.of_requirement(&judged.requirement);
        !itself.is_some_and(Judged::is_in_the_way)
    })
}

/// What release checks found in the variant, and not in the design itself.
pub(super) fn own_findings<'a>(
    assessed: &'a Assessed,
    variant: &'a Assessed,
) -> impl Iterator<Item = &'a Finding> {
    let held_up = variant.findings.iter().filter(|finding| holds_up(variant, finding));
    held_up.filter(|finding| !is_of(assessed, finding))
}

/// Whether a finding about a variant is one about the design itself too.
pub(super) fn is_of(assessed: &Assessed, finding: &Finding) -> bool {
    // Both have the same parts at the same places.
    assessed.findings.iter().any(|known| {
        (known.check, known.part, &known.message) == (finding.check, finding.part, &finding.message)
    })
}

#[cfg(test)]
mod tests {
    use super::super::Place;
    use super::super::checklist;
    use crate::assess;
    use crate::evidence::RevisionSeals;
    use crate::fixture;
    use crate::record::{Date, Id};
    use crate::render::layout;
    use crate::verdict::{Assessed, Documents, Finding, Occasion};

    const SCANNER: &str = r#"
[part.scanner]
origin = "assembled"
contains = { lid = 1, base = { version = "^1" } }
[part.base]
origin = "printed"
version = "1.0.0"
mass = "500 g"
[part.lid]
origin = "printed"
mass = "90 g"
[part.oak-lid]
origin = "machined"
mass = "300 g"
fits = { base = "^2" }
[requirement.carry-mass]
part = "scanner"
quantity = "mass"
at-most = "700 g"
[requirement.lid-mass]
part = "lid"
quantity = "mass"
at-most = "400 g"
[variant.open]
drop = ["lid"]
[variant.parlour]
title = "With a lid of oak"
swap = { lid = "oak-lid" }
"#;

    fn assessed(text: &str) -> Assessed {
        let design = fixture::design(text);
        let occasion = Occasion::new(design.next.clone(), Date::constant(2026, 11, 20));
        assess::judge(&design, &RevisionSeals::default(), &Documents::default(), occasion)
    }

    #[test]
    fn a_finding_is_another_where_check_part_or_words_are_others() {
        let itself = assessed(SCANNER);
        let known = itself.findings.iter().find(|found| found.part.is_some()).expect("a finding");
        assert!(super::is_of(&itself, known));
        let check = crate::diagnostic::Code("price-age");
        assert!(!super::is_of(&itself, &Finding { check, ..known.clone() }));
        assert!(!super::is_of(&itself, &Finding { part: None, ..known.clone() }));
        let message = format!("{} twice", known.message);
        assert!(!super::is_of(&itself, &Finding { message, ..known.clone() }));
    }

    fn shown(text: &str, variant: Option<&str>) -> String {
        let assessed = assessed(text);
        let told = variant.map_or(&assessed, |id| assessed.variant(id).expect("it is there"));
        let report = checklist(told, Place::WorkingTree, &|_, _| 1);
        crate::render::markdown::markdown(&layout::checklist(&report))
    }

    #[test]
    fn a_release_is_ready_only_with_all_of_its_variants() {
        insta::assert_snapshot!(shown(SCANNER, None), @r#"
        ## lantern 1.0.0 in the working tree: **not ready**, 4 findings and 1 variant in the way

        | verdict | requirement | value | promised | left | remarks |
        | --- | --- | --- | --- | --- | --- |
        | pass | carry-mass | 590 g | at most 700 g | 110 g left | 2 figures without ± |
        | pass | lid-mass | 90 g | at most 400 g | 310 g left | 1 figure without ± |

        ### release checks

        | check | parts | remarks |
        | --- | --- | --- |
        | **editable-source** | base | `base` names no source; tagworthy.toml:1 |
        | **editable-source** | lid | `lid` names no source; tagworthy.toml:1 |
        | **editable-source** | oak-lid | `oak-lid` names no source; tagworthy.toml:1 |
        | **licence** |  | the manifest names no licence |

        ### variants

        | standing | variant | remarks |
        | --- | --- | --- |
        | **not ready** | open | 4 in the way as in the design itself; 1 requirement does not apply |
        | **not ready** | parlour | With a lid of oak; fail carry-mass: 800 g, at most 700 g, 100 g over; versions-fit: scanner → oak-lid: `base` is 1.0.0, `oak-lid` fits ^2; 4 in the way as in the design itself |

        ### in the way, by part

        | part | remarks |
        | --- | --- |
        | base | editable-source |
        | lid | editable-source |
        | oak-lid | editable-source |

        ### next

        - in parlour: bring carry-mass down by 100 g; base is 62 % of it
        - add the files that `base` is drawn in to its sources
        - add the files that `lid` is drawn in to its sources
        - add the files that `oak-lid` is drawn in to its sources
        - add license = "…" with an SPDX expression to `[design]`
        - in parlour: a version of `base` within ^2, or another `oak-lid`
        - or let one through with a reason: a `[waiver.…]` record, up to a value and a release
        "#);
    }

    #[test]
    fn each_variant_has_a_checklist_of_its_own() {
        insta::assert_snapshot!(shown(SCANNER, Some("parlour")), @r#"
        ## lantern 1.0.0, variant parlour, in the working tree: **not ready**, 1 of 2 requirements and 5 findings in the way

        | verdict | requirement | value | promised | left | remarks |
        | --- | --- | --- | --- | --- | --- |
        | **fail** | carry-mass | 800 g | at most 700 g | 100 g over | 2 figures without ± |
        | pass | lid-mass | 300 g | at most 400 g | 100 g left | 1 figure without ± |

        ### release checks

        | check | parts | remarks |
        | --- | --- | --- |
        | **versions-fit** | oak-lid, scanner, base | scanner → oak-lid: `base` is 1.0.0, `oak-lid` fits ^2; tagworthy.toml:1 |
        | **editable-source** | base | `base` names no source; tagworthy.toml:1 |
        | **editable-source** | lid | `lid` names no source; tagworthy.toml:1 |
        | **editable-source** | oak-lid | `oak-lid` names no source; tagworthy.toml:1 |
        | **licence** |  | the manifest names no licence |

        ### in the way, by part

        | part | remarks |
        | --- | --- |
        | base | carry-mass (62 %), versions-fit, editable-source |
        | oak-lid | carry-mass (37 %), versions-fit, editable-source |
        | lid | editable-source |
        | scanner | versions-fit |

        ### next

        - bring carry-mass down by 100 g; base is 62 % of it
        - a version of `base` within ^2, or another `oak-lid`
        - add the files that `base` is drawn in to its sources
        - add the files that `lid` is drawn in to its sources
        - add the files that `oak-lid` is drawn in to its sources
        - add license = "…" with an SPDX expression to `[design]`
        - or let one through with a reason: a `[waiver.…]` record, up to a value and a release
        "#);
        let open = checklist(
            assessed(SCANNER).variant("open").expect("it is there"),
            Place::Index,
            &|_, _| 1,
        );
        assert_eq!(open.variant.as_ref().map(Id::as_str), Some("open"));
        assert_eq!((open.held_up_by.requirements, open.requirements.len()), (0, 1));
    }

    #[test]
    fn what_is_in_the_way_of_the_design_itself_is_counted_once() {
        let text = SCANNER.replace("at-most = \"700 g\"", "at-most = \"400 g\"");
        let report = checklist(&assessed(&text), Place::WorkingTree, &|_, _| 1);
        let parlour = &report.variants[1];
        assert_eq!((parlour.requirements.len(), parlour.in_common), (0, 5));
        assert!(!parlour.ready);
    }
}
