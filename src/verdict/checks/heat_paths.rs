//! `heat-paths`: whatever becomes warm leads its heat to ambient, by paths that can be.

use super::{Check, Context, finding, place};
use crate::design::{Design, PartIx};
use crate::diagnostic::Code;
use crate::evaluate::{Place, heat::Fault};
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("heat-paths"),
    title: "Heat finds its way to ambient",
    doc: "Where a design states heat paths, every place with heat or with a path leads to `ambient` \
          over some of them; a pair of places is named once, no place leads to itself, and every \
          resistance is above zero. What is wrong leaves the temperatures that it reaches unknown; \
          all others are computed.",
    waivable: true,
    run,
};

/// Places that are named in one finding.
const NAMED_PLACES: usize = 5;

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    // A design without any path does not speak of temperatures.
    let has_paths = design.parts.iter().any(|part| !part.heat_paths.is_empty())
        || design.nodes.iter().any(|node| !node.heat_paths.is_empty());
    let steady = context.figures.steady.as_ref().filter(|_| has_paths);
    let builds = [false, true].into_iter().filter_map(|with| steady?.build(with));
    let solutions = builds.filter_map(|build| build.hot.as_ref().or(build.cold.as_ref()));
    let mut faults: Vec<&Fault> = Vec::new();
    for fault in solutions.flat_map(|solution| &solution.faults) {
        // What is wrong without optional parts mostly is so with them.
        if !faults.contains(&fault) {
            faults.push(fault);
        }
    }
    faults.into_iter().map(|fault| found(design, fault)).collect()
}

fn found(design: &Design, fault: &Fault) -> Finding {
    let name = |place: &Place| format!("`{}`", place.id(design));
    let (message, remedy, places): (_, _, Vec<&Place>) = match fault {
        Fault::Floating(places) => (
            format!("the heat of {} finds no way to ambient", named(design, places)),
            "name a heat path that leads to `ambient`",
            places.iter().collect(),
        ),
        Fault::NotPositive(from, to) => (
            format!("the resistance from {} to {} is not above zero", name(from), name(to)),
            "state a resistance above 0 K/W",
            vec![from, to],
        ),
        Fault::Twice(from, to) => (
            format!("the heat path between {} and {} is named twice", name(from), name(to)),
            "name it once, at either end",
            vec![from, to],
        ),
        Fault::ToItself(place) => (
            format!("a heat path leads from {} to itself", name(place)),
            "name the neighbour that it leads to",
            vec![place],
        ),
        Fault::TooLarge(place, count) => (
            format!("{} and {count} places that hang together are too many", name(place)),
            "join places that have one temperature",
            vec![place],
        ),
        Fault::Unsolvable(places) => (
            format!("resistances about {} are too far apart to solve", named(design, places)),
            "join places that have one temperature",
            places.iter().collect(),
        ),
    };
    let mut parts = places.into_iter().filter_map(part);
    let first = parts.next();
    Finding {
        part: first,
        through: parts.collect(),
        place: first.map(|part| {
            let held = design.record(part);
            place(&held.path, &held.id)
        }),
        remedy: Some(remedy.into()),
        ..finding(CHECK.code, message)
    }
}

fn part(place: &Place) -> Option<PartIx> {
    if let Place::Part(part) = place { Some(*part) } else { None }
}

fn named(design: &Design, places: &[Place]) -> String {
    let names = places.iter().take(NAMED_PLACES).map(|place| format!("`{}`", place.id(design)));
    let names = names.collect::<Vec<_>>().join(", ");
    match places.len().saturating_sub(NAMED_PLACES) {
        0 => names,
        more => format!("{names} and {more} more"),
    }
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found;

    fn faults(records: &str) -> Vec<String> {
        let text = format!(
            "[ambient]\nhigh = \"35 °C\"\n[part.scanner]\norigin = \"assembled\"\n\
             contains = {{ lamp = 1, motor = 1 }}\n{records}"
        );
        found("heat-paths", &text, "1.0.0")
    }

    #[test]
    fn a_part_without_a_way_to_ambient_is_named() {
        let lamp = "[part.lamp]\norigin = \"bought\"\nheat = \"6 W\"\n";
        let motor = "[part.motor]\norigin = \"bought\"\nheat = \"2 W\"\n";
        assert_eq!(faults(&format!("{lamp}{motor}")), [""; 0], "no temperatures are spoken of");
        let cooled = "heat-path = [{ to = \"ambient\", resistance = \"4 K/W\" }]\n";
        assert_eq!(
            faults(&format!("{lamp}{cooled}{motor}")),
            ["the heat of `motor` finds no way to ambient"]
        );
        assert_eq!(faults(&format!("{lamp}{cooled}{motor}{cooled}")), [""; 0]);
    }

    #[test]
    fn paths_that_cannot_be_are_named() {
        let with = |resistance: &str, back: &str| {
            faults(&format!(
                "[part.lamp]\norigin = \"bought\"\nheat = \"6 W\"\nheat-path = [\
                 {{ to = \"ambient\", resistance = \"{resistance}\" }}, \
                 {{ to = \"motor\", resistance = \"5 K/W\" }}]\n\
                 [part.motor]\norigin = \"bought\"\n{back}"
            ))
        };
        assert_eq!(with("4 K/W", ""), [""; 0]);
        let twice = with("4 K/W", "heat-path = [{ to = \"lamp\", resistance = \"5 K/W\" }]\n");
        assert!(twice[0].contains("is named twice"), "{twice:?}");
    }
}
