//! Steps against the bill of materials: whether they use exactly what the product holds.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::known::is_assembly;
use super::multiplicity::{Multiplicities, multiplicities, multiplicities_down_to};
use super::number;
use crate::design::{Design, PartIx};
use crate::quantity::Amount;
use crate::record::{Id, Origin, Step};

/// What all steps together use and make, beside what the product holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reconciliation {
    /// Every part that is listed or used, in the order of parts; what options add apart, behind it.
    pub rows: Vec<Reconciled>,
    /// Rows that belong to one mistake: fasteners of one kind, of which some lengths are used too
    /// often and others not often enough; the shortest first.
    pub mixed_up: Vec<Vec<usize>>,
}

/// One part by its list and by its steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Reconciled {
    /// The part.
    pub part: PartIx,
    /// Whether this is what optional parts add.
    pub optional: bool,
    /// What the product holds: pieces, or an extent in base units.
    pub listed: Decimal,
    /// What the steps use.
    pub used: Decimal,
    /// What the steps make of it, where it is put together from parts.
    pub made: Option<Decimal>,
    /// Whether a step uses it by another measure than it is contained in, metres against pieces.
    pub other_measure: bool,
    /// The steps that use it, in the order in which they are done.
    pub used_in: Vec<Id>,
    /// The steps that make it.
    pub made_in: Vec<Id>,
}

impl Reconciled {
    /// Whether list and steps agree.
    #[must_use]
    pub fn agrees(&self) -> bool {
        self.is_used_as_listed() && self.made.is_none_or(|made| made == self.listed)
    }

    /// Whether as much is used as is listed.
    #[must_use]
    pub fn is_used_as_listed(&self) -> bool {
        self.listed == self.used && !self.other_measure
    }
}

/// Whether a step is done in a build that holds `counts`: those that are kept to a part, where it does.
#[must_use]
pub fn is_done(design: &Design, step: &Step, counts: &Multiplicities) -> bool {
    let option = step.option.as_ref().map(|option| design.part(option.as_str()));
    design.is_of_build(step.variant.as_ref())
        && option.is_none_or(|part| part.is_some_and(|part| counts.holds(part)))
}

/// How often a step is done in one build.
#[must_use]
pub fn times(step: &Step) -> Decimal {
    step.times.as_ref().map_or(Decimal::ONE, |times| times.value.into())
}

/// Compares the steps of a design, or of a variant of it, with what the product holds. Empty where it
/// has no steps.
///
/// An assembly that steps neither use nor make is a list alone: its parts are fitted in the steps of
/// what is above. One that is used and made by no step comes as it is, and its parts with it.
#[must_use]
pub fn reconcile(design: &Design) -> Reconciliation {
    let build = |with_options| multiplicities(design, design.top, with_options);
    let (base, with) = (build(false), build(true));
    let done_in = |counts: &Multiplicities| Done::of(design, counts);
    let (done, done_with) = (done_in(&base), done_in(&with));
    if done_with.parts.is_empty() {
        return Reconciliation::default();
    }
    let listed = |with_options| {
        let comes_as_it_is = |part| done_with.comes_as_it_is(design, part);
        multiplicities_down_to(design, design.top, with_options, comes_as_it_is)
    };
    let (listed, listed_with) = (listed(false), listed(true));
    let mut rows = Vec::new();
    for part in design.part_indices().filter(|part| *part != design.top) {
        let plain = done.to(part);
        let all = done_with.to(part);
        let count = |counts: &Multiplicities| counts.of(part).unwrap_or(Decimal::MAX);
        let row = |optional, listed, did: Did| Reconciled {
            part,
            optional,
            listed,
            used: did.used,
            made: is_put_together(design, part).then_some(did.made),
            other_measure: did.other_measure,
            used_in: did.used_in,
            made_in: did.made_in,
        };
        let more = count(&listed_with).saturating_sub(count(&listed));
        let optional = row(true, more, all.beyond(&plain));
        let base = row(false, count(&listed), plain);
        let is_a_list = is_assembly(design, part) && all.used.is_zero() && all.made.is_zero();
        let told = [base, optional].into_iter().filter(|row| is_told(design, row));
        rows.extend(told.filter(|_| !is_a_list));
    }
    let mixed_up = mixed_up(design, &rows);
    Reconciliation { rows, mixed_up }
}

/// Whether there is anything to say of a row. A program need not be put in by a step.
fn is_told(design: &Design, row: &Reconciled) -> bool {
    let is_program = design.record(row.part).origin.value == Origin::Firmware;
    let is_made = row.made.is_some_and(|made| !made.is_zero());
    let is_listed = !row.listed.is_zero() && !is_program;
    is_listed || is_made || !row.used.is_zero() || row.other_measure
}

/// Whether somebody has to make it of its parts: an assembly that is not bought as it is.
fn is_put_together(design: &Design, part: PartIx) -> bool {
    is_assembly(design, part) && design.record(part).origin.value == Origin::Assembled
}

/// What is done to one part.
#[derive(Clone, Debug, Default)]
struct Did {
    used: Decimal,
    made: Decimal,
    other_measure: bool,
    used_in: Vec<Id>,
    made_in: Vec<Id>,
}

impl Did {
    /// What is done in `self` beyond what is done in `other`.
    fn beyond(&self, other: &Self) -> Self {
        let more = |all: &[Id], some: &[Id]| {
            all.iter().filter(|id| !some.contains(id)).cloned().collect::<Vec<_>>()
        };
        Self {
            used: self.used.saturating_sub(other.used),
            made: self.made.saturating_sub(other.made),
            other_measure: self.other_measure && !other.other_measure,
            used_in: more(&self.used_in, &other.used_in),
            made_in: more(&self.made_in, &other.made_in),
        }
    }
}

/// What the steps of one build do, by part.
struct Done {
    parts: BTreeMap<PartIx, Did>,
}

impl Done {
    fn of(design: &Design, counts: &Multiplicities) -> Self {
        let mut parts: BTreeMap<PartIx, Did> = BTreeMap::new();
        for step in design.steps.iter().filter(|step| is_done(design, step, counts)) {
            let all =
                |amount: &Amount| number::times(amount.exact, times(step)).unwrap_or(Decimal::MAX);
            for (id, amount) in &step.uses {
                let Some(part) = design.part(id.as_str()) else { continue };
                let did = parts.entry(part).or_default();
                did.used = did.used.saturating_add(all(amount));
                did.other_measure |= amount.dimension != design.amounts[part.index()];
                did.used_in.push(step.id.value.clone());
            }
            for (id, amount) in &step.makes {
                let Some(part) = design.part(id.as_str()) else { continue };
                let did = parts.entry(part).or_default();
                did.made = did.made.saturating_add(all(amount));
                did.made_in.push(step.id.value.clone());
            }
        }
        Self { parts }
    }

    fn to(&self, part: PartIx) -> Did {
        self.parts.get(&part).cloned().unwrap_or_default()
    }

    fn comes_as_it_is(&self, design: &Design, part: PartIx) -> bool {
        let did = self.parts.get(&part);
        is_assembly(design, part)
            && did.is_some_and(|did| did.made.is_zero() && !did.used.is_zero())
    }
}

/// Rows of one kind of fastener of which some are used too often and others not often enough.
fn mixed_up(design: &Design, rows: &[Reconciled]) -> Vec<Vec<usize>> {
    let mut kinds: BTreeMap<(bool, String), Vec<(Decimal, usize)>> = BTreeMap::new();
    for (at, row) in rows.iter().enumerate().filter(|(_, row)| !row.is_used_as_listed()) {
        let designation = design.record(row.part).designation.as_ref();
        if let Some((kind, length)) = designation.and_then(|text| kind_and_length(text)) {
            kinds.entry((row.optional, kind)).or_default().push((length, at));
        }
    }
    let in_order = |mut group: Vec<(Decimal, usize)>| {
        group.sort_unstable();
        group.into_iter().map(|(_, at)| at).collect::<Vec<_>>()
    };
    let is_mixed = |group: &Vec<usize>| {
        group.iter().any(|at| rows[*at].used > rows[*at].listed)
            && group.iter().any(|at| rows[*at].used < rows[*at].listed)
    };
    kinds.into_values().map(in_order).filter(is_mixed).collect()
}

/// A designation without the length behind its last ×, and that length: `ISO 4762 M3` and 8 of
/// `ISO 4762 M3x8`.
fn kind_and_length(designation: &str) -> Option<(String, Decimal)> {
    let (kind, rest) = designation.rsplit_once(['x', '×'])?;
    let rest = rest.trim_start();
    let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(rest.len());
    let length = rest[..end].parse().ok()?;
    Some((format!("{} {}", kind.trim_end(), rest[end..].trim()).trim().to_owned(), length))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    /// `PART LISTED/USED` each, with what is made and what is optional; then what is mixed up.
    fn told(design: &Design) -> Vec<String> {
        let found = reconcile(design);
        let row = |row: &Reconciled| {
            let made = row.made.map(|made| format!(" made {made}")).unwrap_or_default();
            let optional = if row.optional { " optional" } else { "" };
            let (id, listed, used) = (design.id(row.part), row.listed, row.used);
            let differs = if row.agrees() { "" } else { " differs" };
            format!("{id} {}/{}{made}{optional}{differs}", listed.normalize(), used.normalize())
        };
        let mixed = |group: &Vec<usize>| {
            let ids = group.iter().map(|at| design.id(found.rows[*at].part).as_str());
            format!("mixed up: {}", ids.collect::<Vec<_>>().join(", "))
        };
        found.rows.iter().map(row).chain(found.mixed_up.iter().map(mixed)).collect()
    }

    fn lines(text: &str) -> Vec<String> {
        told(&fixture::design(text))
    }

    const PARTS: &str = r#"
        [part.scanner]
        origin = "assembled"
        contains = { gate-unit = 2, m3x8 = 6, cover = { count = 1, optional = true } }
        [part.gate-unit]
        origin = "assembled"
        contains = { gate = 1, m3x8 = 4, felt = "0.25 m" }
        [part.gate]
        origin = "printed"
        [part.felt]
        origin = "bought"
        [part.cover]
        origin = "printed"
        [part.m3x8]
        origin = "bought"
        designation = "ISO 4762 M3x8"
        [part.m3x10]
        origin = "bought"
        designation = "ISO 4762 M3x10"
        [variant.bare]
        drop = ["gate-unit"]
    "#;
    const STEPS: &str = r#"
        [step.line-the-gate]
        uses = { gate = 1, m3x8 = 4, felt = "25 cm" }
        makes = { gate-unit = 1 }
        times = 2
        [step.close]
        uses = { gate-unit = 2, m3x8 = 6 }
        [step.cover]
        uses = { cover = 1 }
        option = "cover"
    "#;

    #[test]
    fn steps_that_use_what_is_listed_agree_part_by_part() {
        let expected = [
            "cover 1/1 optional",
            "felt 0.5/0.5",
            "gate 2/2",
            "gate-unit 2/2 made 2",
            "m3x8 14/14",
        ];
        assert_eq!(lines(&format!("{PARTS}{STEPS}")), expected);
        assert_eq!(lines(PARTS), [""; 0], "there are no steps to compare");
    }

    #[test]
    fn screws_of_another_length_are_one_mistake() {
        let steps = STEPS.replace("gate-unit = 2, m3x8 = 6", "gate-unit = 2, m3x8 = 4, m3x10 = 2");
        let found = lines(&format!("{PARTS}{steps}"));
        assert_eq!(
            &found[4..],
            ["m3x10 0/2 differs", "m3x8 14/12 differs", "mixed up: m3x8, m3x10"]
        );
    }

    /// By their ids the screws stand in the order 10, 12, 6, 8.
    #[test]
    fn mixed_up_screws_stand_from_the_shortest_to_the_longest() {
        let screw = |length: u8| {
            format!(
                "[part.m3x{length}]\norigin = \"bought\"\ndesignation = \"ISO 4762 M3x{length}\"\n"
            )
        };
        let screws: String = [6, 8, 10, 12].map(screw).concat();
        let found = lines(&format!(
            "[part.scanner]\norigin = \"assembled\"\n\
             contains = {{ m3x6 = 4, m3x8 = 4, m3x10 = 4, m3x12 = 4 }}\n{screws}\
             [step.close]\nuses = {{ m3x6 = 5, m3x8 = 3, m3x10 = 5, m3x12 = 3 }}\n"
        ));
        assert_eq!(found[4..], ["mixed up: m3x6, m3x8, m3x10, m3x12"]);
    }

    /// Who leaves the cover out still has a screw too many.
    #[test]
    fn screws_of_an_option_are_not_mixed_up_with_those_of_the_product() {
        let parts = PARTS.replace(
            "[part.cover]\n        origin = \"printed\"",
            "[part.cover]\n        origin = \"assembled\"\n        contains = { m3x10 = 2 }",
        );
        assert_ne!(parts, PARTS);
        let steps = STEPS.replace("gate-unit = 2, m3x8 = 6", "gate-unit = 2, m3x8 = 7").replace(
            "uses = { cover = 1 }",
            "uses = { cover = 1, m3x10 = 1 }\nmakes = { cover = 1 }",
        );
        let found = lines(&format!("{parts}{steps}"));
        assert!(found.contains(&"m3x8 14/15 differs".to_owned()), "{found:?}");
        assert!(found.contains(&"m3x10 2/1 optional differs".to_owned()), "{found:?}");
        assert!(!found.iter().any(|line| line.starts_with("mixed up")), "{found:?}");
    }

    #[test]
    fn a_program_needs_no_step_and_what_is_made_for_nothing_is_told() {
        let more = "[part.program]\norigin = \"firmware\"\n\
            [part.jig]\norigin = \"assembled\"\ncontains = { felt = \"0.1 m\" }\n\
            [step.make-a-jig]\nmakes = { jig = 1 }\n";
        let parts = PARTS.replace("m3x8 = 6, cover", "m3x8 = 6, program = 1, cover");
        let found = lines(&format!("{parts}{STEPS}{more}"));
        assert!(!found.iter().any(|line| line.starts_with("program")), "{found:?}");
        assert!(found.contains(&"jig 0/0 made 1 differs".to_owned()), "{found:?}");
    }

    #[test]
    fn an_assembly_that_nobody_makes_comes_with_its_parts() {
        let steps = STEPS.replace("makes = { gate-unit = 1 }", "");
        let found = lines(&format!("{PARTS}{steps}"));
        assert_eq!(
            found[1..4],
            ["felt 0/0.5 differs", "gate 0/2 differs", "gate-unit 2/2 made 0 differs"]
        );
    }

    #[test]
    fn a_variant_is_compared_by_itself() {
        let design = fixture::design(&format!("{PARTS}{STEPS}"));
        let bare = design.as_variant("bare").expect("a variant");
        assert_eq!(told(&bare), ["cover 1/1 optional", "m3x8 6/6"]);
    }

    /// A step that is kept to a part belongs to every build that holds it, optional or not.
    #[test]
    fn a_step_of_a_dropped_part_goes_with_it() {
        let steps = STEPS.replace("m3x8 = 6 }", "}").replace("gate-unit = 2, }", "gate-unit = 2 }")
            + "[step.screw-it]\nuses = { m3x8 = 6 }\noption = \"gate-unit\"\n";
        let design = fixture::design(&format!("{PARTS}{steps}"));
        assert!(told(&design).contains(&"m3x8 14/14".to_owned()));
        let bare = design.as_variant("bare").expect("a variant");
        assert_eq!(told(&bare), ["cover 1/1 optional", "m3x8 6/0 differs"]);
    }

    #[test]
    fn metres_are_no_pieces() {
        let steps = STEPS.replace("felt = \"25 cm\"", "felt = 1");
        let found = lines(&format!("{PARTS}{steps}"));
        assert_eq!(found[1], "felt 0.5/2 differs");
    }

    #[test]
    fn the_length_is_what_stands_behind_the_last_cross() {
        let read = |designation: &str| {
            kind_and_length(designation).map(|(kind, length)| format!("{kind} | {length}"))
        };
        assert_eq!(read("ISO 4762 M3x8").as_deref(), Some("ISO 4762 M3 | 8"));
        assert_eq!(read("ISO 4762 M3 × 8 A2-70").as_deref(), Some("ISO 4762 M3 A2-70 | 8"));
        assert_eq!(read("ISO 2338 3 m6 x 10").as_deref(), Some("ISO 2338 3 m6 | 10"));
        assert_eq!(read("ISO 4762 M2.5x4.5").as_deref(), Some("ISO 4762 M2.5 | 4.5"));
        assert_eq!(read("ISO 7089 3"), None);
        assert_eq!(read("box"), None);
        assert_eq!(read("ISO 4762 M3x8.8.8"), None);
    }
}
