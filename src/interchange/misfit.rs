//! Parts in versions that do not go together.

use semver::{Version, VersionReq};

use super::WhereUsed;
use crate::design::{Design, PartIx};

/// A part that asks for another version of its neighbour than the one that is there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misfit {
    /// The nearest assembly in which the two meet.
    pub assembly: PartIx,
    /// The part that asks: the assembly itself, or a part with `fits`.
    pub part: PartIx,
    /// The part that is asked of.
    pub neighbour: PartIx,
    /// The versions that would do.
    pub range: VersionReq,
    /// The version that is there; `None` where the neighbour does not state one.
    pub found: Option<Version>,
    /// A shortest path from the top through the assembly down to where it does not fit: the
    /// neighbour where the assembly asks, else the part that asks.
    pub path: Vec<PartIx>,
}

/// Every misfit of `design`, in the order of the parts that ask and of their neighbours.
///
/// A `fits` of a part that meets its neighbour nowhere asks for nothing.
#[must_use]
pub fn misfits(design: &Design) -> Vec<Misfit> {
    let used = WhereUsed::of(design);
    let mut misfits: Vec<Misfit> = design
        .part_indices()
        .flat_map(|part| {
            let contained = of_contents(design, &used, part);
            contained.chain(of_neighbours(design, &used, part)).collect::<Vec<_>>()
        })
        .collect();
    misfits.sort_by_key(|misfit| (misfit.part, misfit.neighbour));
    misfits
}

/// Ranges in `contains` of the assembly.
fn of_contents<'a>(
    design: &'a Design,
    used: &'a WhereUsed,
    assembly: PartIx,
) -> impl Iterator<Item = Misfit> + 'a {
    design.links[assembly.index()].iter().filter_map(move |link| {
        let range = &link.version.as_ref()?.value;
        let found = refused(design, range, link.child)?;
        let mut path = used.from_top(assembly);
        path.push(link.child);
        let (part, neighbour) = (assembly, link.child);
        Some(Misfit { assembly, part, neighbour, range: range.clone(), found, path })
    })
}

/// Ranges in `fits` of the part.
fn of_neighbours<'a>(
    design: &'a Design,
    used: &'a WhereUsed,
    part: PartIx,
) -> impl Iterator<Item = Misfit> + 'a {
    design.record(part).fits.iter().filter_map(move |(neighbour, range)| {
        let neighbour = design.part(neighbour.as_str())?;
        let found = refused(design, range, neighbour)?;
        let (here, there) = (used.climb(part), used.climb(neighbour));
        let meet = |assembly: &&PartIx| here.passes(**assembly) && there.passes(**assembly);
        // Of the assemblies that hold both, the last in topological order holds no other of them.
        let assembly = *design.order.iter().rev().find(meet)?;
        let path = used.through(assembly, &here);
        Some(Misfit { assembly, part, neighbour, range: range.value.clone(), found, path })
    })
}

/// The version of `part`, where it is not within `range`.
fn refused(design: &Design, range: &VersionReq, part: PartIx) -> Option<Option<Version>> {
    let version = design.record(part).version.as_ref().map(|at| &at.value);
    let fits = version.is_some_and(|version| range.matches(version));
    (!fits).then(|| version.cloned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::design;

    const SCANNER: &str = r#"
        [part.scanner]
        origin = "assembled"
        contains = { head = { version = "^1.2" }, lid = 1 }
        [part.head]
        origin = "assembled"
        version = "1.3.0"
        contains = { gate-unit = 1, carrier = 1 }
        [part.gate-unit]
        origin = "assembled"
        contains = { gate = 1 }
        [part.gate]
        origin = "printed"
        fits = { carrier = "^2.1", spare-carrier = "^9" }
        [part.carrier]
        origin = "printed"
        version = "2.1.4"
        [part.spare-carrier]
        origin = "printed"
        version = "1.0.0"
        [part.lid]
        origin = "printed"
    "#;

    fn check(from: &str, to: &str, expected: &str) {
        let text = SCANNER.replace(from, to);
        assert_ne!(text, SCANNER);
        let design = design(&text);
        let id = |ix: &PartIx| design.id(*ix).as_str();
        let line = |misfit: &Misfit| {
            let path: Vec<_> = misfit.path.iter().map(id).collect();
            let found = misfit.found.as_ref().map_or("no version".to_owned(), Version::to_string);
            let (part, neighbour) = (id(&misfit.part), id(&misfit.neighbour));
            let (range, assembly) = (&misfit.range, id(&misfit.assembly));
            let path = path.join(" → ");
            format!("{part} takes {neighbour} {range}, not {found}: in {assembly}, {path}")
        };
        let lines: Vec<_> = misfits(&design).iter().map(line).collect();
        assert_eq!(lines.join("\n"), expected);
    }

    #[test]
    fn an_assembly_takes_only_the_versions_that_it_names() {
        let found = "scanner takes head ^1.2, not 2.0.0: in scanner, scanner → head";
        check("version = \"1.3.0\"", "version = \"2.0.0\"", found);
        check("version = \"1.3.0\"", "version = \"1.2.0\"", "");
        let found = "scanner takes head ^1.2, not no version: in scanner, scanner → head";
        check("version = \"1.3.0\"", "", found);
    }

    #[test]
    fn neighbours_meet_in_the_nearest_assembly_that_holds_both() {
        let found =
            "gate takes carrier ^2.1, not 3.0.0: in head, scanner → head → gate-unit → gate";
        check("2.1.4", "3.0.0", found);
    }

    #[test]
    fn a_neighbour_that_is_nowhere_near_asks_for_nothing() {
        // `spare-carrier` is contained nowhere until here.
        check("lid = 1", "lid = 2", "");
        let found =
            "gate takes spare-carrier ^9, not 1.0.0: in scanner, scanner → head → gate-unit → gate";
        check("lid = 1", "spare-carrier = 1", found);
    }

    #[test]
    fn a_pre_release_satisfies_only_a_range_that_names_one_of_the_same_numbers() {
        // The rule of the semver crate; SemVer 2.0.0 itself
        // defines no ranges.
        let found = "scanner takes head ^1.2, not 1.3.0-rc.1: in scanner, scanner → head";
        check("1.3.0", "1.3.0-rc.1", found);
        check("\"^1.2\"", "\">=1.3.0-rc.1, <2\"", "");
    }
}
