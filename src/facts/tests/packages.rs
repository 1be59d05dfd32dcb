//! 3MF packages: units, components, several files, and what is wrong with them.

use super::{cuboid, mesh, mesh_xml, model, package, threemf, why};

fn cube() -> String {
    mesh_xml(&cuboid([10.0; 3]))
}

/// A model of a cube as object 1 and more, with the given build.
fn with(more: &str, build: &str) -> Vec<u8> {
    let cube = cube();
    let content = format!(
        "<resources><object id='1'>{cube}</object>{more}</resources><build>{build}</build>"
    );
    model("", &content)
}

#[test]
fn units_are_those_of_the_specification() {
    let cube = cube();
    let content = format!(
        "<resources><object id='1'>{cube}</object></resources><build><item objectid='1'/></build>"
    );
    let unit = |attributes: &str| mesh(&model(attributes, &content)).unit_m;
    let words = ["micron", "millimeter", "centimeter", "inch", "foot", "meter"];
    let units = words.map(|word| unit(&format!("unit='{word}'")).unwrap());
    assert_eq!(units, [1e-6, 1e-3, 1e-2, 0.0254, 0.3048, 1.0]);
    assert_eq!(unit(""), Some(1e-3));
    assert_eq!(why(&model("unit='furlong'", &content)), "its unit `furlong` is unknown");
}

#[test]
fn components_are_placed_by_both_transforms() {
    let pair = "<object id='2'><components><component objectid='1'/>\
        <component objectid='1' transform='1 0 0 0 1 0 0 0 1 20 0 0'/></components></object>";
    let turned = "<item objectid='2' transform='0 1 0 -1 0 0 0 0 1 0 0 5'/>";
    let facts = mesh(&with(pair, turned));
    assert_eq!(facts.triangles, 24);
    assert_eq!(facts.bounds, [[-10.0, 0.0, 5.0], [0.0, 30.0, 15.0]]);
    let solid = facts.solid.unwrap();
    assert_eq!((solid.volume, solid.centroid), (2000.0, [-5.0, 15.0, 10.0]));
}

#[test]
fn a_mirrored_object_is_not_inside_out() {
    let facts = mesh(&with("", "<item objectid='1' transform='-1 0 0 0 1 0 0 0 1 0 0 0'/>"));
    let solid = facts.solid.unwrap();
    assert_eq!((solid.volume, solid.inside_out), (1000.0, false));
}

#[test]
fn what_is_not_built_or_only_supports_does_not_count() {
    let support = format!("<object id='2' type='support'>{}</object>", cube());
    let facts = mesh(&with(&support, "<item objectid='1'/><item objectid='2'/>"));
    assert_eq!(facts.triangles, 12);
    assert_eq!(why(&with("", "")), "it has no triangles");
}

#[test]
fn objects_may_lie_in_another_file_of_the_package() {
    let root = "<model xmlns:p='http://schemas.microsoft.com/3dmanufacturing/production/2015/06'>\
        <resources><object id='8'><components><component p:path='/3D/Objects/gate.model' \
        objectid='1'/></components></object></resources><build><item objectid='8'/></build></model>";
    let cube = cube();
    let other = format!("<model><resources><object id='1'>{cube}</object></resources></model>");
    let files = [("3D/3dmodel.model", root), ("3D/Objects/gate.model", &other)];
    assert_eq!(mesh(&package(&files)).geometry, mesh(&threemf(&cuboid([10.0; 3]))).geometry);
    let missing = why(&package(&files[..1]));
    assert!(missing.starts_with("`3D/Objects/gate.model` in it: "), "{missing}");
}

#[test]
fn what_is_wrong_is_said() {
    let built = "<item objectid='1'/>";
    let uses_itself = "<object id='2'><components><component objectid='2'/></components></object>";
    let no_corner = "<object id='2'><mesh><vertices/><triangles>\
        <triangle v1='0' v2='1' v3='2'/></triangles></mesh></object>";
    for (bytes, expected) in [
        (
            with("", "<item objectid='7'/>"),
            "object 7 of `3D/3dmodel.model` is used and does not exist",
        ),
        (
            with(uses_itself, "<item objectid='2'/>"),
            "object 2 of `3D/3dmodel.model` contains itself, or too many levels",
        ),
        (with(no_corner, built), "object 2 has a triangle at a corner that isn't there"),
        (with("", "<item objectid='one'/>"), "a `item` has no number `objectid`"),
        (with("", "<item objectid='1' transform='1 0'/>"), "a transform is not twelve numbers"),
    ] {
        assert_eq!(why(&bytes), expected);
    }
    let whole = threemf(&cuboid([10.0; 3]));
    assert!(why(&whole[..whole.len() / 2]).starts_with("its ZIP package can't be read: "));
}

/// Twenty-five levels of which each uses the next twice: 33 million cubes in two kilobytes.
#[test]
fn an_object_used_without_end_is_refused() {
    let level = |id: u32| {
        let next = format!("<component objectid='{}'/>", if id == 26 { 1 } else { id + 1 });
        format!("<object id='{id}'><components>{next}{next}</components></object>")
    };
    let levels: String = (2..=26).map(level).collect();
    let expected = "its objects are used so often that it has too many triangles";
    assert_eq!(why(&with(&levels, "<item objectid='2'/>")), expected);
}
