//! Meshes as files of each format, for tests.

#![allow(clippy::unwrap_used, reason = "a test that can't go on has failed")]

mod kept;
mod laws;
mod packages;
mod reference;
mod refused;

use std::io::{Cursor, Write};

use zip::write::{SimpleFileOptions, ZipWriter};

use super::{Facts, Kind, MeshFacts, Triangle};

pub(super) const MM: Kind = Kind::Mesh { unit_m: 1e-3 };

/// The facts of a mesh in mm.
pub(super) fn mesh(bytes: &[u8]) -> MeshFacts {
    match super::of(MM, bytes) {
        Facts::Mesh(mesh) => *mesh,
        other => panic!("no mesh: {other:?}"),
    }
}

/// Why a mesh is refused.
pub(super) fn why(bytes: &[u8]) -> String {
    match super::of(MM, bytes) {
        Facts::Unreadable { why } => why,
        other => panic!("not refused: {other:?}"),
    }
}

/// A cuboid with a corner at the origin: twelve triangles, facing out.
pub(crate) fn cuboid(size: [f32; 3]) -> Vec<Triangle> {
    let corner =
        |bits: usize| [0, 1, 2].map(|axis| if bits >> axis & 1 == 1 { size[axis] } else { 0.0 });
    let faces =
        [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let halves = |[a, b, c, d]: [usize; 4]| [[a, b, c], [a, c, d]];
    faces.into_iter().flat_map(halves).map(|triangle| triangle.map(corner)).collect()
}

pub(super) fn binary_stl(triangles: &[Triangle]) -> Vec<u8> {
    let mut bytes = b"solid although binary".to_vec();
    bytes.resize(80, b' ');
    bytes.extend(u32::try_from(triangles.len()).unwrap().to_le_bytes());
    for triangle in triangles {
        bytes.extend([0; 12]);
        bytes.extend(triangle.as_flattened().iter().flat_map(|value| value.to_le_bytes()));
        bytes.extend([0; 2]);
    }
    bytes
}

pub(crate) fn ascii_stl(triangles: &[Triangle]) -> Vec<u8> {
    let mut text = "solid facet of the gate\n".to_owned();
    for triangle in triangles {
        text += "  facet normal 0 0 0\n    outer loop\n";
        for [x, y, z] in triangle {
            text += &format!("      vertex {x:e} {y:e} {z:e}\n");
        }
        text += "    endloop\n  endfacet\n";
    }
    (text + "endsolid facet of the gate\n").into_bytes()
}

/// A 3MF object's mesh, each triangle with corners of its own.
pub(super) fn mesh_xml(triangles: &[Triangle]) -> String {
    let corners = triangles.iter().flatten();
    let vertices: String =
        corners.map(|[x, y, z]| format!("<vertex x='{x}' y='{y}' z='{z}'/>")).collect();
    let faces: String = (0..triangles.len() * 3)
        .step_by(3)
        .map(|at| format!("<triangle v1='{at}' v2='{}' v3='{}'/>", at + 1, at + 2))
        .collect();
    format!("<mesh><vertices>{vertices}</vertices><triangles>{faces}</triangles></mesh>")
}

/// A 3MF package with the given files beside its relationships.
pub(super) fn package(files: &[(&str, &str)]) -> Vec<u8> {
    const RELATIONSHIPS: &str = "<?xml version='1.0'?>\
        <Relationships xmlns='http://schemas.openxmlformats.org/package/2006/relationships'>\
        <Relationship Target='/Metadata/thumbnail.png' Id='rel-2' \
          Type='http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail'/>\
        <Relationship Target='/3D/3dmodel.model' Id='rel-1' \
          Type='http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel'/></Relationships>";
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (path, text) in [("_rels/.rels", RELATIONSHIPS)].iter().chain(files) {
        writer.start_file(*path, SimpleFileOptions::default()).unwrap();
        writer.write_all(text.as_bytes()).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

/// A 3MF package of one model with the given attributes and content.
pub(super) fn model(attributes: &str, content: &str) -> Vec<u8> {
    let xml = format!("<?xml version='1.0'?><model {attributes}>{content}</model>");
    package(&[("3D/3dmodel.model", &xml)])
}

/// A 3MF package of one object, in mm.
pub(super) fn threemf(triangles: &[Triangle]) -> Vec<u8> {
    let mesh = mesh_xml(triangles);
    let content = format!(
        "<resources><object id='1'>{mesh}</object></resources><build><item objectid='1'/></build>"
    );
    model("unit='millimeter'", &content)
}
