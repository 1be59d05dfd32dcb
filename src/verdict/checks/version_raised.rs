//! `version-raised`: what is another than at the last release says so by its version.

use super::{Check, Context, finding, place};
use crate::design::{Design, PartIx};
use crate::diagnostic::Code;
use crate::facet::{self, Facet};
use crate::interchange::breaks;
use crate::record::Id;
use crate::verdict::{Finding, LastRelease};

pub(super) const CHECK: Check = Check {
    code: Code("version-raised"),
    title: "Versions are raised where parts are others",
    doc: "A part with a version that is another than at the last release in what it is (geometry, \
          material, identity, dimensions, settings, composition) has a higher version than there, \
          and no part has a lower one. An assembly that holds a part which is no longer \
          interchangeable has a higher version too. The last release is the highest one whose tag \
          lies behind the state that is judged, candidates left out; without one every version will \
          do.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    // A variant's parts are those of the design, dropped and swapped on purpose.
    let last = context.occasion.past.last.as_ref().filter(|_| design.variant.is_none());
    let Some(last) = last else { return Vec::new() };
    let parts = design.part_indices();
    let mut found: Vec<Finding> = parts.filter_map(|part| of_part(design, part, last)).collect();
    for broken in breaks(&last.design, design) {
        let ends_at = broken.ends_at.iter().filter_map(|id| design.part(id.as_str()));
        for assembly in ends_at {
            let is_told = found.iter().any(|finding| finding.part == Some(assembly));
            if !is_told && is_as_it_was(design, assembly, last) {
                found.push(of_assembly(design, assembly, &broken.part, last));
            }
        }
    }
    found
}

fn of_part(design: &Design, part: PartIx, last: &LastRelease) -> Option<Finding> {
    let held = design.record(part);
    let then = last.design.part(held.id.as_str())?;
    let version = held.version.as_ref()?;
    let was = &last.design.record(then).version.as_ref()?.value;
    if version.cmp_precedence(was).is_gt() {
        return None;
    }
    let id = held.id.as_str();
    let release = &last.version;
    let message = if version.cmp_precedence(was).is_lt() {
        format!("`{id}` is {}, and was {was} in {release}", version.value)
    } else {
        let changed = facet::of(&last.design, then).changed(&facet::of(design, part));
        let changed: Vec<&str> =
            changed.into_iter().filter(|facet| facet.is_physical()).map(Facet::word).collect();
        if changed.is_empty() {
            return None;
        }
        format!("`{id}` is another than in {release} ({}), and still {was}", changed.join(", "))
    };
    Some(Finding {
        part: Some(part),
        place: Some(place(&held.path, version)),
        remedy: Some(format!("raise the version of `{id}` above {was}")),
        ..finding(CHECK.code, message)
    })
}

fn is_as_it_was(design: &Design, part: PartIx, last: &LastRelease) -> bool {
    let then = last.design.part(design.id(part).as_str());
    let was = then.and_then(|then| last.design.record(then).version.as_ref());
    let is = design.record(part).version.as_ref();
    was.zip(is).is_some_and(|(was, is)| was.cmp_precedence(is).is_eq())
}

fn of_assembly(design: &Design, part: PartIx, broken: &Id, last: &LastRelease) -> Finding {
    let held = design.record(part);
    let id = held.id.as_str();
    let version = held.version.as_ref();
    let stated = version.map(|version| version.value.to_string()).unwrap_or_default();
    let message = format!(
        "`{id}` holds `{broken}`, which is no longer interchangeable with that of {}, and is still \
         {stated}",
        last.version
    );
    Finding {
        part: Some(part),
        through: design.part(broken.as_str()).into_iter().collect(),
        place: version.map(|version| place(&held.path, version)),
        remedy: Some(format!("raise the version of `{id}` above {stated}")),
        ..finding(CHECK.code, message)
    }
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found_since;

    /// A scanner with a gate unit, and the gate in it.
    fn scanner(unit: &str, gate: &str, slot: &str) -> String {
        format!(
            "[part.scanner]\norigin = \"assembled\"\ncontains = {{ unit = 1 }}\n\
             [part.unit]\norigin = \"assembled\"\nversion = \"{unit}\"\ncontains = {{ gate = 1 }}\n\
             [part.gate]\norigin = \"printed\"\nversion = \"{gate}\"\n\
             dimension = {{ slot = \"{slot} ± 0.1 mm\" }}\n"
        )
    }

    #[track_caller]
    fn check(is: &str, expected: &[&str]) {
        let was = scanner("1.0.0", "1.2.0", "5 mm");
        assert_eq!(found_since("version-raised", &was, is, "1.0.0"), expected);
    }

    #[test]
    fn another_part_has_another_version() {
        check(&scanner("1.0.0", "1.2.0", "5 mm"), &[]);
        check(&scanner("1.0.0", "1.3.0", "6 mm"), &[]);
        check(
            &scanner("1.0.0", "1.2.0", "6 mm"),
            &["`gate` is another than in 0.9.0 (dimensions), and still 1.2.0"],
        );
        check(&scanner("1.0.0", "1.1.9", "5 mm"), &["`gate` is 1.1.9, and was 1.2.0 in 0.9.0"]);
    }

    /// Semantic Versioning 2.0.0, 11: what is built otherwise has the same precedence.
    #[test]
    fn another_build_of_a_version_is_no_higher_one() {
        check(
            &scanner("1.0.0", "1.2.0+b", "6 mm"),
            &["`gate` is another than in 0.9.0 (dimensions), and still 1.2.0"],
        );
    }

    /// MIL-STD-100G, 406.13: the assembly at which interchangeability is restored gets a new identity.
    #[test]
    fn an_assembly_that_holds_a_break_is_raised() {
        check(&scanner("1.1.0", "2.0.0", "6 mm"), &[]);
        check(
            &scanner("1.0.0", "2.0.0", "6 mm"),
            &[
                "`unit` holds `gate`, which is no longer interchangeable with that of 0.9.0, and is \
               still 1.0.0",
            ],
        );
    }
}
