//! The versions of all parts fit each other.

use semver::VersionReq;

use super::paths::{Paths, shown};
use super::{Check, Context, finding, place};
use crate::design::{Design, PartIx};
use crate::diagnostic::{At, Code};
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("versions-fit"),
    title: "The versions of all parts fit each other",
    doc: "Where an assembly says which versions of a part it takes, and where a part says which \
          versions of a neighbour it fits, the part that is in the product satisfies that. Ranges \
          are those of Semantic Versioning as `^1.2`, `~1.2`, `>=1, <3`. A part without a version \
          cannot be decided, which is a finding too.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let paths = Paths::of(context.design);
    let held = context.design.part_indices().filter(|part| paths.reach(*part));
    held.flat_map(|part| {
        let mut found = of_contents(context.design, &paths, part);
        found.extend(of_neighbours(context.design, &paths, part));
        found
    })
    .collect()
}

/// The parts that the assembly contains, against the versions that it takes.
fn of_contents(design: &Design, paths: &Paths, assembly: PartIx) -> Vec<Finding> {
    let ranged = design.links[assembly.index()]
        .iter()
        .filter_map(|link| Some((link.child, link.version.as_ref()?)));
    let misfits = ranged.filter_map(|(child, range)| {
        let misfit = misfit(design, child, range)?;
        let mut path = paths.to(assembly);
        path.push(child);
        let id = design.id(assembly);
        let message = format!("{}: {misfit}, `{id}` takes {}", shown(design, &path), range.value);
        path.pop();
        Some(Finding {
            part: Some(child),
            through: path,
            place: Some(place(&design.record(assembly).path, range)),
            remedy: Some(format!("a version of `{}` within {}", design.id(child), range.value)),
            ..finding(CHECK.code, message)
        })
    });
    misfits.collect()
}

/// The neighbours in the product, against the versions that the part fits.
fn of_neighbours(design: &Design, paths: &Paths, part: PartIx) -> Vec<Finding> {
    let record = design.record(part);
    let neighbours = record.fits.iter().filter_map(|(neighbour, range)| {
        let neighbour = design.part(neighbour.as_str()).filter(|there| paths.reach(*there))?;
        Some((neighbour, range))
    });
    let misfits = neighbours.filter_map(|(neighbour, range)| {
        let misfit = misfit(design, neighbour, range)?;
        let path = paths.to(part);
        let id = design.id(part);
        let message = format!("{}: {misfit}, `{id}` fits {}", shown(design, &path), range.value);
        let (fitting, other) = (design.id(neighbour), range.value.to_string());
        Some(Finding {
            part: Some(part),
            through: path.into_iter().chain([neighbour]).filter(|at| *at != part).collect(),
            place: Some(place(&record.path, range)),
            remedy: Some(format!(
                "a version of `{fitting}` within {other}, or a `{id}` that fits it"
            )),
            ..finding(CHECK.code, message)
        })
    });
    misfits.collect()
}

/// In which version the part is there instead of one within `range`.
fn misfit(design: &Design, part: PartIx, range: &At<VersionReq>) -> Option<String> {
    let id = design.id(part);
    match &design.record(part).version {
        None => Some(format!("`{id}` has no version")),
        Some(version) if range.matches(&version.value) => None,
        Some(version) => Some(format!("`{id}` is {}", version.value)),
    }
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found;

    fn with(gate: &str, takes: &str, carrier: &str, fits: &str) -> Vec<String> {
        let version = |version: &str| match version {
            "" => String::new(),
            version => format!("version = \"{version}\""),
        };
        let text = format!(
            r#"
            [part.scanner]
            origin = "assembled"
            contains = {{ gate-unit = 1, film-carrier = 1 }}
            [part.gate-unit]
            origin = "assembled"
            contains.film-gate = {{ count = 1, version = "{takes}" }}
            [part.film-gate]
            origin = "printed"
            fits = {{ film-carrier = "{fits}", spare-carrier = "^9" }}
            {}
            [part.film-carrier]
            origin = "printed"
            {}
            [part.spare-carrier]
            origin = "printed"
            "#,
            version(gate),
            version(carrier),
        );
        found("versions-fit", &text, "1.0.0")
    }

    #[test]
    fn a_part_within_the_range_fits_and_what_the_product_does_not_hold_is_left_alone() {
        assert_eq!(with("2.1.0", "^2", "1.2.7", "^1.2"), [""; 0]);
    }

    #[test]
    fn a_misfit_is_named_with_the_path_from_the_top() {
        assert_eq!(
            with("2.1.0", "^1.3", "1.2.0", "^1.2"),
            ["scanner → gate-unit → film-gate: `film-gate` is 2.1.0, `gate-unit` takes ^1.3"]
        );
        assert_eq!(
            with("2.1.0", "^2", "2.0.0", "^1.2"),
            ["scanner → gate-unit → film-gate: `film-carrier` is 2.0.0, `film-gate` fits ^1.2"]
        );
    }

    #[test]
    fn without_a_version_nothing_is_proven() {
        assert_eq!(
            with("", "^2", "1.2.0", "^1.2"),
            ["scanner → gate-unit → film-gate: `film-gate` has no version, `gate-unit` takes ^2"]
        );
    }

    /// MIL-STD-100G, 406.13: a part that is no longer interchangeable gets a new identity, here a new
    /// major number, and what mates with it must say so.
    #[test]
    fn a_new_major_number_fits_no_old_range() {
        assert!(with("2.0.0", "^2", "1.9.0", "^1.2").is_empty());
        assert_eq!(with("3.0.0", "^2", "1.9.0", "^1.2").len(), 1);
    }
}
