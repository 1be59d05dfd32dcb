//! The versions of all parts fit each other.

use super::{Check, Context, finding, place};
use crate::design::Design;
use crate::diagnostic::{Code, Span};
use crate::fileset::RepoPath;
use crate::interchange::{Misfit, misfits};
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
    let design = context.design;
    misfits(design).iter().map(|misfit| of_misfit(design, misfit)).collect()
}

fn of_misfit(design: &Design, misfit: &Misfit) -> Finding {
    let (asks, neighbour) = (design.id(misfit.part), design.id(misfit.neighbour));
    let found = match &misfit.found {
        None => format!("`{neighbour}` has no version"),
        Some(version) => format!("`{neighbour}` is {version}"),
    };
    let path: Vec<&str> = misfit.path.iter().map(|part| design.id(*part).as_str()).collect();
    let (path, range) = (path.join(" → "), &misfit.range);
    let (takes, part) =
        if misfit.is_of_contents() { ("takes", misfit.neighbour) } else { ("fits", misfit.part) };
    let through = misfit.path.iter().copied().chain([misfit.neighbour]);
    Finding {
        part: Some(part),
        through: through.filter(|at| *at != part).collect(),
        place: place_of(design, misfit),
        remedy: Some(format!("a version of `{neighbour}` within {range}, or another `{asks}`")),
        ..finding(CHECK.code, format!("{path}: {found}, `{asks}` {takes} {range}"))
    }
}

/// Where the range is written.
fn place_of(design: &Design, misfit: &Misfit) -> Option<(RepoPath, Span)> {
    let record = design.record(misfit.part);
    let links = &design.links[misfit.part.index()];
    let link = || links.iter().find(|link| link.child == misfit.neighbour)?.version.as_ref();
    let neighbour = design.id(misfit.neighbour);
    let fits = || record.fits.iter().find(|(id, _)| id.value == *neighbour).map(|(_, at)| at);
    Some(place(&record.path, if misfit.is_of_contents() { link() } else { fits() }?))
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
