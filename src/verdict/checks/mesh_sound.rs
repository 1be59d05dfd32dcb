//! `mesh-sound`: every mesh encloses a solid of the size that its part is declared with.

use super::{Check, Context, finding, place};
use crate::design::{Design, PartIx};
use crate::diagnostic::{At, Code, Span};
use crate::facts::{Facts, MeshFacts};
use crate::quantity::{Measure, Unit, show_measure};
use crate::record::Mesh;
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("mesh-sound"),
    title: "Every mesh is a solid of the declared size",
    doc: "The mesh of a part is closed, its triangles agree on which side is outside, and they do \
          not face inwards. Its bounding box is the part's `size`, to 0.1 mm or 0.5 %, whichever is \
          more; where another unit of length would make it fit, that one is named. A file that \
          states its own unit states the one of the record. A mesh whose content was not fetched \
          or that cannot be read is not sound.",
    waivable: true,
    run,
};

/// The declared size and the mesh may differ by this, or by [`SHARE`] of it.
const LEAST_M: f64 = 1e-4;
const SHARE: f64 = 0.005;

/// Units that drawing programs export in.
const UNITS: [&str; 6] = ["mm", "in", "cm", "m", "µm", "ft"];

/// What is wrong with a mesh.
struct Flaw {
    what: String,
    remedy: String,
    /// Where the record says otherwise.
    span: Span,
}

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    design.part_indices().flat_map(|part| of_part(design, part)).collect()
}

fn of_part(design: &Design, part: PartIx) -> Vec<Finding> {
    let held = design.record(part);
    let (Some(mesh), Some(facts)) = (&held.mesh, design.mesh_facts(part)) else {
        return Vec::new();
    };
    let told = |flaw: Flaw| Finding {
        part: Some(part),
        place: Some(place(&held.path, &At::new((), flaw.span))),
        remedy: Some(flaw.remedy),
        ..finding(
            CHECK.code,
            format!("`{}` (of `{}`) {}", mesh.file.value, held.id.as_str(), flaw.what),
        )
    };
    flaws(facts, mesh, held.size.as_ref()).into_iter().map(told).collect()
}

fn flaws(facts: &Facts, mesh: &Mesh, size: Option<&At<[Measure; 3]>>) -> Vec<Flaw> {
    let flaw = |what: String, remedy: &str| {
        vec![Flaw { what, remedy: remedy.to_owned(), span: mesh.file.span }]
    };
    match facts {
        Facts::Geometry(_) => Vec::new(),
        Facts::Pointer(_) => {
            flaw("is only a pointer here".to_owned(), "fetch the large files of the repository")
        }
        Facts::OutOfReach { why } => {
            flaw(format!("cannot be used here: {why}"), "fetch the files of the repository anew")
        }
        Facts::Unreadable { why } => flaw(format!("cannot be read: {why}"), "export it anew"),
        Facts::Mesh(facts) => {
            let of_surface = surface(facts)
                .into_iter()
                .flat_map(|what| flaw(what, "mend the drawing or the mesh, and export it anew"));
            let of_size = size.and_then(|size| of_size(facts, mesh, size));
            of_surface.chain(of_unit(facts, mesh)).chain(of_size).collect()
        }
    }
}

/// Why the surface is not that of a solid, if it is not.
fn surface(facts: &MeshFacts) -> Option<String> {
    let edges = &facts.edges;
    if !edges.closed() {
        return Some(format!("is not closed: {} edges are open", edges.open));
    }
    if !edges.oriented() {
        let count = edges.mismatched;
        return Some(format!("has no one outside: its triangles disagree at {count} edges"));
    }
    match facts.solid {
        None => Some("encloses nothing".to_owned()),
        Some(solid) => {
            solid.inside_out.then(|| "is inside out: its triangles face inwards".to_owned())
        }
    }
}

/// The file's own unit against the one of the record.
fn of_unit(facts: &MeshFacts, mesh: &Mesh) -> Option<Flaw> {
    let stated_m = facts.unit_m.filter(|unit_m| !is_near(*unit_m, mesh.unit_m.value, SHARE))?;
    let (stated, recorded) = (named(stated_m), named(mesh.unit_m.value));
    Some(Flaw {
        what: format!("states `{stated}` as its unit, where the record has `{recorded}`"),
        remedy: format!("write `unit = \"{stated}\"`, or export it in {recorded}"),
        span: mesh.unit_m.span,
    })
}

/// The bounding box against the declared size.
fn of_size(facts: &MeshFacts, mesh: &Mesh, size: &At<[Measure; 3]>) -> Option<Flaw> {
    let unit_m = facts.unit_m.unwrap_or(mesh.unit_m.value);
    let declared_m = [0, 1, 2].map(|axis| size.value[axis].base);
    let measured_in = |unit_m: f64| facts.size().map(|length| length * unit_m);
    if agrees(declared_m, measured_in(unit_m)) {
        return None;
    }
    let fits =
        |unit: &str| metres(unit).is_some_and(|other| agrees(declared_m, measured_in(other)));
    let right = UNITS.into_iter().find(|unit| fits(unit));
    let guess =
        right.map(|unit| format!(", as if its numbers were `{unit}` and not `{}`", named(unit_m)));
    let shown =
        |sizes: [f64; 3]| sizes.map(|length| show_measure(length, &size.value[0].unit)).join(" x ");
    Some(Flaw {
        what: format!(
            "measures {}, and is declared as {}{}",
            shown(measured_in(unit_m)),
            shown(declared_m),
            guess.unwrap_or_default()
        ),
        remedy: match right {
            Some(unit) => format!("write `unit = \"{unit}\"`, or export it in {}", named(unit_m)),
            None => "correct `size`, or export the mesh of the part as it is drawn".to_owned(),
        },
        span: size.span,
    })
}

fn agrees(declared_m: [f64; 3], measured_m: [f64; 3]) -> bool {
    let mut pairs = declared_m.into_iter().zip(measured_m);
    pairs.all(|(declared, measured)| {
        (declared - measured).abs() <= LEAST_M || is_near(measured, declared, SHARE)
    })
}

fn is_near(value: f64, wanted: f64, share: f64) -> bool {
    (value - wanted).abs() <= share * wanted
}

/// Metres in one `unit`.
fn metres(unit: &str) -> Option<f64> {
    Some(crate::quantity::measure(&format!("1 {unit}")).ok()?.base)
}

/// The unit of `unit_m` metres.
fn named(unit_m: f64) -> String {
    let known = |unit: &&str| metres(unit).is_some_and(|metres| is_near(unit_m, metres, 1e-9));
    let unit = UNITS.into_iter().find(|unit| known(unit)).map(ToOwned::to_owned);
    unit.unwrap_or_else(|| show_measure(unit_m, &Unit::parse("m").unwrap_or_else(|_| Unit::none())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::{self, cuboid_stl};
    use crate::verdict::tests::found;

    const GATE: [f32; 3] = [84.0, 60.0, 9.0];

    fn records(keys: &str, body: &str) -> String {
        format!(
            "\n== parts/gate.toml\n[part.scanner]\norigin = \"printed\"\n{keys}\n\
             == parts/gate.stl\n{body}"
        )
    }

    /// What is found where a gate of 84 x 60 x 9 mm is declared and `body` is its mesh.
    fn check(body: &str) -> Vec<String> {
        let keys = "size = \"84 x 60 x 9 mm\"\nmesh = { file = \"gate.stl\", unit = \"mm\" }";
        found("mesh-sound", &records(keys, body), "1.0.0")
    }

    #[test]
    fn a_solid_of_the_declared_size_is_sound() {
        assert_eq!(check(&cuboid_stl(GATE)), [""; 0]);
        assert_eq!(check(&cuboid_stl([84.4, 60.0, 9.09])), [""; 0], "0.5 % and 0.1 mm");
        let no_size = records("mesh = { file = \"gate.stl\", unit = \"m\" }", &cuboid_stl(GATE));
        assert_eq!(found("mesh-sound", &no_size, "1.0.0"), [""; 0]);
    }

    #[test]
    fn another_size_is_told() {
        assert_eq!(
            check(&cuboid_stl([84.0, 60.0, 9.11])),
            ["`gate.stl` (of `scanner`) measures 84 mm x 60 mm x 9.11 mm, and is declared as \
              84 mm x 60 mm x 9 mm"]
        );
    }

    /// An inch is 25.4 mm exactly (international yard and pound agreement, 1959).
    #[test]
    fn a_mesh_in_the_wrong_unit_is_recognised() {
        let scaled = |by: f32| check(&cuboid_stl(GATE.map(|length| length / by))).remove(0);
        for (by, unit) in [(25.4, "in"), (10.0, "cm"), (1000.0, "m")] {
            let told = scaled(by);
            assert!(
                told.ends_with(&format!(", as if its numbers were `{unit}` and not `mm`")),
                "{told}"
            );
        }
        assert!(scaled(2.0).ends_with("84 mm x 60 mm x 9 mm"), "no unit is two others");
    }

    #[test]
    fn an_open_mesh_and_one_inside_out_are_not_sound() {
        let sound = cuboid_stl(GATE);
        let last = sound.rfind("  facet").expect("a facet");
        assert_eq!(
            check(&format!("{}endsolid\n", &sound[..last])),
            ["`gate.stl` (of `scanner`) is not closed: 3 edges are open"]
        );
        let mirrored = sound.replace("vertex 8.4e1", "vertex -8.4e1");
        assert_eq!(
            check(&mirrored),
            ["`gate.stl` (of `scanner`) is inside out: its triangles face inwards"]
        );
    }

    #[test]
    fn what_cannot_be_read_or_was_not_fetched_is_not_sound() {
        assert_eq!(
            check(&fixture::pointer_to("a mesh")),
            ["`gate.stl` (of `scanner`) is only a pointer here"]
        );
        assert!(
            check("no mesh").remove(0).starts_with("`gate.stl` (of `scanner`) cannot be read: ")
        );
    }

    #[test]
    fn the_unit_that_a_file_states_is_the_one_of_the_record() {
        let keys = "size = \"84 x 60 x 9 mm\"\nmesh = { file = \"gate.stl\", unit = \"in\" }";
        let design = fixture::design(&records(keys, &cuboid_stl(GATE)));
        let mesh = design.record(design.top).mesh.clone().expect("a mesh");
        let Some(Facts::Mesh(facts)) = design.mesh_facts(design.top) else { panic!("a mesh") };
        let stated = MeshFacts { unit_m: Some(1e-3), ..(**facts).clone() };
        let size = design.record(design.top).size.as_ref();
        let flaws = flaws(&Facts::Mesh(Box::new(stated)), &mesh, size);
        let told: Vec<_> = flaws.iter().map(|flaw| flaw.what.as_str()).collect();
        assert_eq!(told, ["states `mm` as its unit, where the record has `in`"]);
    }
}
